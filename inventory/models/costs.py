"""Costs: rates and cost lines. Private; estimates, never tenders."""

from __future__ import annotations

from decimal import Decimal

from django.core.exceptions import ValidationError
from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext, pgettext_lazy
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .choices import PipeState
from .works import Package, Phase, amount_field


def _check_rising(row: models.Model, names: tuple[str, str, str]) -> None:
    """Low, likely and high are all given, or none, and they rise."""
    figures = [getattr(row, name) for name in names]
    given = [figure for figure in figures if figure is not None]
    if len(given) not in (0, 3):
        raise ValidationError(gettext("Give low, likely and high, all three or none."))
    if given and not given[0] <= given[1] <= given[2]:
        raise ValidationError(gettext("Low, likely and high must rise in this order."))


class Rate(Belonging):
    """What one unit of a work takes: hours, what an hour costs, material. Private, with its price year.

    Rates belong to the record, not to the house: an estimate stays what it was when rates elsewhere change.
    """

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="rates")
    code = code_field()
    name = models.CharField(_("work"), max_length=160, help_text=_("As in: renew a flap on the old pattern."))
    unit = models.CharField(_("unit"), max_length=40)
    hours_low = amount_field(_("hours each, low"), max_digits=8)
    hours_likely = amount_field(_("hours each, likely"), max_digits=8)
    hours_high = amount_field(_("hours each, high"), max_digits=8)
    hourly = amount_field(_("an hour costs"))
    material = amount_field(_("material and travel, each"), default=Decimal(0))
    price_year = models.PositiveSmallIntegerField(_("price year"))
    basis = models.CharField(_("basis"), max_length=200, help_text=_("Who estimated it, from what, when."))

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = pgettext_lazy("a price", "rate")
        verbose_name_plural = pgettext_lazy("prices", "rates")
        ordering = ["instrument", "code"]
        constraints = [
            *unique_code("instrument"),
            models.CheckConstraint(
                condition=models.Q(hours_low__lte=models.F("hours_likely"))
                & models.Q(hours_likely__lte=models.F("hours_high")),
                name="rate_low_likely_high",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.name} ({self.unit})"

    def clean(self) -> None:
        super().clean()
        _check_rising(self, ("hours_low", "hours_likely", "hours_high"))


class CostLine(Belonging):
    """A quantity at three prices: an estimate with its basis and price year. Private."""

    class Kind(models.TextChoices):
        WORK = "work", _("work")
        OPENING = "opening up", _("opening up")
        PROVISIONAL = "provisional", _("provisional sum")
        REPEATED = "repeated", _("repeats with each phase")
        DOCUMENTATION = "documentation", _("documentation")

    class Step(models.TextChoices):
        """In the order of the work: safe, dry, wind, chests, action, pipes, tuning."""

        SAFE = "safe", _("make safe")
        ADVICE = "advice", _("advice and supervision")
        RECORD = "record", _("documentation")
        CLIMATE = "climate", _("climate and building")
        ACCESS = "access", _("scaffold and protection")
        OPEN = "open", _("opening up")
        DISMANTLE = "dismantle", _("dismantling and store")
        WIND = "wind", _("wind")
        CHESTS = "chests", _("chests")
        ACTION = "action", _("key and stop action")
        PIPES = "pipes", _("pipes")
        CASE = "case", _("case")
        ERECT = "erect", _("putting back")
        TUNE = "tune", _("regulation and tuning")
        OTHER = "other", _("other")

    class QuantityFrom(models.TextChoices):
        TYPED = "typed", _("as typed")
        DEFECT = "defect", _("what the last survey found of the defect")
        BOARDS = "boards", _("boards to lift over valves")
        FLAPS = "flaps", _("valves under the boards lifted")
        PIPES = "pipes", _("pipes in this state at the last reading")
        MISSING = "missing", _("pipes recorded as missing")

    package = models.ForeignKey(Package, models.CASCADE, related_name="lines")
    code = code_field()
    phase = models.ForeignKey(
        Phase, models.SET_NULL, null=True, blank=True, related_name="lines", verbose_name=_("phase")
    )
    kind = models.CharField(
        _("kind"),
        max_length=14,
        choices=Kind,
        default=Kind.WORK,
        help_text=_(
            "What nobody has opened yet is a provisional sum. A repeated line without a phase counts in each."
        ),
    )
    step = models.CharField(_("step"), max_length=10, choices=Step, default=Step.OTHER)
    text = models.CharField(_("work"), max_length=200)
    printed_as = models.CharField(
        _("printed as"),
        max_length=200,
        blank=True,
        help_text=_("For briefs: no names, nothing about access."),
    )
    quantity = models.DecimalField(
        _("quantity"), max_digits=9, decimal_places=2, default=Decimal(1), validators=[MinValueValidator(0)]
    )
    quantity_from = models.CharField(
        _("quantity comes from"),
        max_length=8,
        choices=QuantityFrom,
        default=QuantityFrom.TYPED,
        help_text=_("Linked quantities follow the record; the typed one stands in where nobody has counted."),
    )
    rank = models.ForeignKey(
        "inventory.Rank",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="lines",
        verbose_name=_("of this row"),
        help_text=_("Empty: of the whole instrument as it is now."),
    )
    pipe_state = models.CharField(_("pipes in the state"), max_length=20, choices=PipeState, blank=True)
    unit = models.CharField(_("unit"), max_length=40)
    rate = models.ForeignKey(
        Rate,
        models.PROTECT,
        null=True,
        blank=True,
        related_name="lines",
        verbose_name=pgettext_lazy("a price", "rate"),
        help_text=_("Or three prices below, not both."),
    )
    low = amount_field(_("low, each"), null=True, blank=True)
    likely = amount_field(_("likely, each"), null=True, blank=True)
    high = amount_field(_("high, each"), null=True, blank=True)
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

    def __str__(self) -> str:
        return self.text

    def clean(self) -> None:
        """One price a line, one currency an instrument, and what a linked quantity needs."""
        super().clean()
        _check_rising(self, ("low", "likely", "high"))
        if (self.rate_id is None) == (self.low is None):
            raise ValidationError({"rate": gettext("Choose a rate or give three prices, one of the two.")})
        if self.quantity_from == self.QuantityFrom.DEFECT and self.defect_id is None:
            raise ValidationError({"defect": gettext("Choose the defect whose extent is the quantity.")})
        if self.quantity_from == self.QuantityFrom.PIPES and not self.pipe_state:
            raise ValidationError({"pipe_state": gettext("Choose the state of the pipes that are counted.")})
        if self.phase is not None and self.package_id and self.phase.package_id != self.package_id:
            raise ValidationError({"phase": gettext("Choose a phase of this package.")})
        for name in ("rate", "defect", "rank"):
            other = getattr(self, name)
            if other is not None and other.get_root().pk != self.get_root().pk:
                raise ValidationError({name: gettext("Choose one of this instrument.")})
        others = CostLine.objects.filter(package__instrument=self.get_root()).exclude(pk=self.pk)
        other = others.exclude(currency=self.currency).values_list("currency", flat=True).first()
        if other is not None:
            raise ValidationError(
                {
                    "currency": gettext("Other lines are in %(other)s; one estimate has one currency.")
                    % {"other": other}
                }
            )
