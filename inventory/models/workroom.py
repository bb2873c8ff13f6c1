"""What the workroom keeps beside the record: answers to findings, saved lists, invitations."""

from __future__ import annotations

from django.conf import settings
from django.db import models
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .evidence import about_field
from .users import Role


class FindingAnswer(Belonging):
    """Somebody looked at a finding and says why it is right; it holds until the facts change."""

    instrument = models.ForeignKey(
        "inventory.Instrument", models.CASCADE, related_name="finding_answers", verbose_name=_("instrument")
    )
    code = code_field()
    finding = models.CharField(_("finding"), max_length=64)
    about = about_field()
    facts = models.CharField(
        _("facts"), max_length=64, help_text=_("A digest of what the finding rested on when it was answered.")
    )
    because = models.TextField(_("because"), help_text=_("Why what was found is right as it is."))
    who = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("who"))
    when = models.DateTimeField(_("when"), default=timezone.now)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("answer to a finding")
        verbose_name_plural = _("answers to findings")
        ordering = ["instrument", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return f"{self.finding}: {self.because}"


class SavedList(models.Model):
    """A search a person comes back to. Only that person sees it."""

    user = models.ForeignKey(settings.AUTH_USER_MODEL, models.CASCADE, related_name="saved_lists")
    name = models.CharField(_("name"), max_length=120)
    query = models.CharField(_("search"), max_length=1000, blank=True)
    made = models.DateTimeField(auto_now_add=True)

    class Meta:
        verbose_name = _("saved list")
        verbose_name_plural = _("saved lists")
        ordering = ["name"]
        constraints = [models.UniqueConstraint(fields=["user", "name"], name="saved_list_name_once")]

    def __str__(self) -> str:
        return self.name


class InvitationQuerySet(models.QuerySet):
    def open(self) -> InvitationQuerySet:
        """Invitations that can still be taken up."""
        return self.filter(used_on__isnull=True, withdrawn=False, until__gt=timezone.now())


class Invitation(models.Model):
    """A link that lets one person make an account of a stated role, once, until a stated hour."""

    for_whom = models.CharField(_("for whom"), max_length=120)
    role = models.CharField(_("role"), max_length=10, choices=Role)
    invited_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, models.PROTECT, related_name="+", verbose_name=_("invited by")
    )
    made = models.DateTimeField(auto_now_add=True)
    until = models.DateTimeField(_("good until"))
    withdrawn = models.BooleanField(_("withdrawn"), default=False)
    used_on = models.DateTimeField(_("used on"), null=True, blank=True)
    used_by = models.OneToOneField(
        settings.AUTH_USER_MODEL,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="invitation",
        verbose_name=_("used by"),
    )

    objects = InvitationQuerySet.as_manager()

    class Meta:
        verbose_name = _("invitation")
        verbose_name_plural = _("invitations")
        ordering = ["-made"]

    def __str__(self) -> str:
        return f"{self.for_whom} ({self.role})"
