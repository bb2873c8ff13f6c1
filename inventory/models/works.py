"""Works: options, packages, cost lines, phases, funding, gifts. Estimates, never tenders."""

from __future__ import annotations

from decimal import Decimal

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .fields import EdtfField


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


class CostLine(Belonging):
    """A quantity at three prices: an estimate with its basis and price year. Private."""

    class Kind(models.TextChoices):
        WORK = "work", _("work")
        OPENING = "opening up", _("opening up")
        PROVISIONAL = "provisional", _("provisional sum")
        REPEATED = "repeated", _("repeats with each phase")
        DOCUMENTATION = "documentation", _("documentation")

    package = models.ForeignKey(Package, models.CASCADE, related_name="lines")
    code = code_field()
    phase = models.ForeignKey(
        Phase, models.SET_NULL, null=True, blank=True, related_name="lines", verbose_name=_("phase")
    )
    kind = models.CharField(_("kind"), max_length=14, choices=Kind, default=Kind.WORK)
    text = models.CharField(_("work"), max_length=200)
    quantity = models.DecimalField(
        _("quantity"), max_digits=9, decimal_places=2, default=Decimal(1), validators=[MinValueValidator(0)]
    )
    unit = models.CharField(_("unit"), max_length=40)
    low = models.DecimalField(
        _("low, each"), max_digits=12, decimal_places=2, validators=[MinValueValidator(0)]
    )
    likely = models.DecimalField(_("likely, each"), max_digits=12, decimal_places=2)
    high = models.DecimalField(_("high, each"), max_digits=12, decimal_places=2)
    currency = models.CharField(_("currency"), max_length=3, default="XTS", help_text=_("ISO 4217."))
    price_year = models.PositiveSmallIntegerField(_("price year"))
    basis = models.CharField(
        _("basis"), max_length=200, help_text=_("Quotation, comparison, allowance; by whom.")
    )
    defect = models.ForeignKey(
        "inventory.Defect",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="lines",
        verbose_name=_("mends"),
    )

    root_path = "package__instrument"
    natural = ("package__instrument__reference", "package__code", "code")

    class Meta:
        verbose_name = _("cost line")
        verbose_name_plural = _("cost lines")
        ordering = ["package", "code"]
        constraints = [
            *unique_code("package"),
            models.CheckConstraint(
                condition=models.Q(low__lte=models.F("likely")) & models.Q(likely__lte=models.F("high")),
                name="cost_low_likely_high",
            ),
        ]


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
