"""Works: options, packages, phases, funding, gifts, and what the estimates rest on. Never tenders."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .fields import EdtfField


def amount_field(name: Any, **more: Any) -> models.DecimalField:
    """Money or hours: never below nothing."""
    more.setdefault("max_digits", 12)
    return models.DecimalField(name, decimal_places=2, validators=[MinValueValidator(0)], **more)


class Package(Belonging):
    """Works that belong together, under one option for the instrument's future."""

    class Option(models.TextChoices):
        LEAVE = "leave", _("leave and monitor")
        STABILISE = "stabilise", _("stabilise")
        CONSERVE = "conserve", _("conserve as found")
        RESTORE = "restore", _("restore to a documented state")

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="packages")
    code = code_field()
    option = models.CharField(_("option"), max_length=10, choices=Option)
    name = models.CharField(_("name"), max_length=160)
    target_state = models.TextField(_("state aimed at, and why"), blank=True)
    chosen = models.BooleanField(_("chosen"), default=False)
    audience_note = models.TextField(_("for owners and donors"), blank=True)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("package of works")
        verbose_name_plural = _("packages of works")
        ordering = ["instrument", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return self.name


class Phase(Belonging):
    """A stretch of works that leaves the organ usable or safely stored."""

    package = models.ForeignKey(Package, models.CASCADE, related_name="phases")
    code = code_field()
    order = models.PositiveSmallIntegerField(_("order"), default=1)
    name = models.CharField(_("name"), max_length=160)
    when = EdtfField(_("planned"), blank=True)
    leaves = models.CharField(_("leaves the organ"), max_length=200, blank=True)

    root_path = "package__instrument"
    natural = ("package__instrument__reference", "package__code", "code")

    class Meta:
        verbose_name = _("phase")
        verbose_name_plural = _("phases")
        ordering = ["package", "order"]
        constraints = unique_code("package")

    def __str__(self) -> str:
        return self.name


class Funding(Belonging):
    """Money in sight and how sure it is. Donors are for named persons only."""

    class Certain(models.TextChoices):
        SECURED = "secured", _("secured")
        PLEDGED = "pledged", _("pledged")
        APPLIED = "applied for", _("applied for")

    package = models.ForeignKey(Package, models.CASCADE, related_name="funding")
    code = code_field()
    state = models.CharField(_("how sure"), max_length=12, choices=Certain)
    amount = models.DecimalField(
        _("amount"), max_digits=12, decimal_places=2, validators=[MinValueValidator(0)]
    )
    giver = models.CharField(_("giver"), max_length=160, help_text=_("Named persons only."))
    printed_as = models.CharField(
        _("printed as"), max_length=160, blank=True, help_text=_("With the giver's consent.")
    )

    root_path = "package__instrument"
    natural = ("package__instrument__reference", "package__code", "code")

    class Meta:
        verbose_name = _("funding")
        verbose_name_plural = _("funding")
        ordering = ["package", "code"]
        constraints = unique_code("package")


class Gift(Belonging):
    """A gift for one pipe. A shared pipe is one pipe with several voices: it is given once."""

    rank = models.ForeignKey("inventory.Rank", models.PROTECT, related_name="gifts", verbose_name=_("rank"))
    code = code_field()
    pipe = models.PositiveSmallIntegerField(_("pipe"), validators=[MinValueValidator(1)])
    funding = models.ForeignKey(Funding, models.CASCADE, related_name="gifts", verbose_name=_("funding"))

    def __str__(self) -> str:
        return f"{self.rank}, {self.pipe}"

    def clean(self) -> None:
        """The pipe stands there, and nobody gave it before, in this stoplist or another of the same pipes."""
        super().clean()
        rank = self.rank
        if (rank.pipes is not None and self.pipe > rank.pipes) or self.pipe in rank.missing:
            raise ValidationError(
                {"pipe": gettext("%(rank)s has no pipe %(pipe)s.") % {"rank": rank, "pipe": self.pipe}}
            )
        same = models.Q(rank=rank) | (models.Q(rank__part=rank.part_id) if rank.part_id else models.Q())
        if Gift.objects.filter(same, pipe=self.pipe).exclude(pk=self.pk).exists():
            raise ValidationError(
                {
                    "pipe": gettext(
                        "Pipe %(pipe)s of %(rank)s is given already. It is one pipe, whatever number of "
                        "stops it speaks for: choose another."
                    )
                    % {"pipe": self.pipe, "rank": rank}
                }
            )

    root_path = "rank__specification__instrument"
    natural = (
        "rank__specification__instrument__reference",
        "rank__specification__code",
        "rank__code",
        "code",
    )

    class Meta:
        verbose_name = _("gift for a pipe")
        verbose_name_plural = _("gifts for pipes")
        ordering = ["rank", "pipe"]
        constraints = [
            *unique_code("rank"),
            models.UniqueConstraint(fields=["rank", "pipe"], name="pipe_given_once"),
        ]


class WorksPlan(Belonging):
    """What the estimates of one instrument rest on, and what must be settled before work begins."""

    class Settled(models.TextChoices):
        NOT_ASKED = "not asked", _("not asked")
        YES = "yes", _("settled")
        NO = "no", _("not settled")
        NOT_NEEDED = "not needed", _("not needed")

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="works_plans")
    code = code_field()
    tax_percent = models.DecimalField(
        _("tax, %"), max_digits=5, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)],
        help_text=_("Empty: not known, and said so."),
    )  # fmt: skip
    tax_note = models.CharField(_("about the tax"), max_length=200, blank=True)
    inflation_percent = models.DecimalField(
        _("prices rise, % a year"), max_digits=5, decimal_places=2, null=True, blank=True,
        validators=[MinValueValidator(0)], help_text=_("To the middle of each phase. Empty: left out, and said so."),
    )  # fmt: skip
    contingency_percent = models.DecimalField(
        _("contingency, %"), max_digits=5, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)],
        help_text=_("Empty: by the deepest recording level of the surveys."),
    )  # fmt: skip
    pipe_gift = amount_field(_("a gift for one pipe"), null=True, blank=True)
    money_to_put_back = models.CharField(
        _("money to put it back"), max_length=10, choices=Settled, default=Settled.NOT_ASKED
    )
    dry_store = models.CharField(_("a dry store"), max_length=10, choices=Settled, default=Settled.NOT_ASKED)
    ownership = models.CharField(
        _("who owns the parts"), max_length=10, choices=Settled, default=Settled.NOT_ASKED
    )
    solvency = models.CharField(
        _("the builder’s solvency"), max_length=10, choices=Settled, default=Settled.NOT_ASKED
    )
    climate = models.CharField(
        _("climate cured before it returns"), max_length=10, choices=Settled, default=Settled.NOT_ASKED
    )

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("plan of works")
        verbose_name_plural = _("plans of works")
        ordering = ["instrument", "code"]
        constraints = [
            *unique_code("instrument"),
            models.UniqueConstraint(fields=["instrument"], name="one_plan_an_instrument"),
        ]

    def __str__(self) -> str:
        return str(_("plan of works"))
