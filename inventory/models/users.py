"""People who sign in, their role, and the private facts named persons may read."""

from django.contrib.auth.models import AbstractUser
from django.db import models
from django.utils.translation import gettext_lazy as _


class Role(models.TextChoices):
    """What a person may do, least first; each may do all that those before it may."""

    READER = "reader", _("reader: reads what is for people who are signed in")
    SURVEYOR = "surveyor", _("surveyor: writes drafts and survey results")
    CURATOR = "curator", _("curator: changes any record, asks for review")
    EDITOR = "editor", _("editor: reviews, releases and withdraws")
    KEEPER = "keeper", _("keeper: also people, vocabularies and settings")


class User(AbstractUser):
    """A person who signs in."""

    role = models.CharField(
        _("role"),
        max_length=10,
        choices=Role,
        default=Role.READER,
        help_text=_("What this person may do in the record."),
    )

    def natural_key(self) -> tuple[str]:
        return (self.username,)


class Confidence(models.Model):
    """One person may read what is kept for named persons about one record."""

    user = models.ForeignKey(User, models.CASCADE, related_name="confidences", verbose_name=_("person"))
    root_kind = models.CharField(_("kind of record"), max_length=20)
    reference = models.CharField(_("reference"), max_length=64)
    given_because = models.CharField(_("given because"), max_length=300)

    class Meta:
        verbose_name = _("confidence")
        verbose_name_plural = _("confidences")
        constraints = [
            models.UniqueConstraint(fields=["user", "root_kind", "reference"], name="confidence_once")
        ]

    def __str__(self) -> str:
        return f"{self.user} · {self.root_kind} {self.reference}"
