"""Instruments: one concept with a stable reference, its layers, events, parts and their movements."""

from __future__ import annotations

from typing import Self

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from .base import Belonging, Root, code_field, unique_code
from .choices import Attribution, Audience, Certainty, InstrumentStatus, Knowledge
from .fields import EdtfField
from .finding import InstrumentFinding


class InstrumentQuerySet(InstrumentFinding):
    def at(self, place: models.Model) -> Self:
        """Instruments standing at a place now, by reference."""
        return self.filter(place=place).order_by("reference")

    def sharing(self) -> Self:
        """Instruments in which some rank is called by two or more stops."""
        from .sharing import Segment  # the two aggregates name each other; this direction is the rarer

        return self.filter(pk__in=Segment.objects.sharing().values("stop__specification__instrument"))

    def worked_on_by(self, maker: models.Model) -> Self:
        """Instruments with an event of this maker, by reference."""
        return self.filter(events__maker=maker).distinct().order_by("reference")


class Instrument(Root):
    """One organ through all its changes and places."""

    translated = "summary"
    """The text that may be added in French and Spanish."""

    name = models.CharField(_("name"), max_length=160, help_text=_("Working title: west-gallery organ."))
    status = models.CharField(_("status"), max_length=20, choices=InstrumentStatus)
    status_since = EdtfField(_("status since"), blank=True)
    place = models.ForeignKey(
        "inventory.Place",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="instruments",
        verbose_name=_("place"),
        help_text=_("Where it stands now. For an organ in pieces leave empty and fill the private store."),
    )
    summary = models.TextField(
        _("summary"), blank=True, help_text=_("What a visitor should know, in a few sentences. Published.")
    )
    summary_fr = models.TextField(
        _("summary in French"), blank=True, help_text=_("Shown on French pages in its place. Published.")
    )
    summary_es = models.TextField(
        _("summary in Spanish"), blank=True, help_text=_("Shown on Spanish pages in its place. Published.")
    )
    action = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("key action"),
        limit_choices_to={"vocabulary": "action"},
    )
    pitch_hz = models.DecimalField(
        _("pitch of a′ in Hz"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(300), MaxValueValidator(600)],
        help_text=_("As measured, with the temperature at the pipes."),
    )
    pitch_temperature_c = models.DecimalField(
        _("at °C"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    temperament = models.CharField(_("temperament"), max_length=60, blank=True)
    wind_pressure_mm = models.DecimalField(
        _("wind pressure, mm water"), max_digits=6, decimal_places=1, null=True, blank=True
    )
    merged_into = models.ForeignKey(
        "self",
        models.PROTECT,
        null=True,
        blank=True,
        editable=False,
        related_name="merged_from",
        verbose_name=_("merged into"),
    )
    # Private facts, each in the field group that `inventory.visibility` gives it.
    owner = models.TextField(_("owner"), blank=True, help_text=_("Never published."))
    contact = models.TextField(_("contact"), blank=True, help_text=_("Named persons only."))
    value_estimate = models.CharField(_("value"), max_length=200, blank=True, help_text=_("Never published."))
    store = models.TextField(_("store"), blank=True, help_text=_("Where parts lie. Never published."))
    access_note = models.TextField(_("access to the inside"), blank=True, help_text=_("Never published."))
    working_note = models.TextField(
        _("working note"), blank=True, help_text=_("For people who are signed in.")
    )

    objects = InstrumentQuerySet.as_manager()

    class Meta(Root.Meta):
        verbose_name = _("instrument")
        verbose_name_plural = _("instruments")
        ordering = ["reference"]
        indexes = [
            *(
                models.Index(fields=[name, "reference"], name=f"instrument_by_{name}")
                for name in ("name", "state", "status")
            ),
            # Holds only what changed since its release: those are few, however many are released.
            models.Index(
                fields=["state", "reference"],
                condition=models.Q(version__gt=models.F("released_version")),
                name="instrument_changed_since",
            ),
        ]


class Tie(Belonging):
    """How one instrument stands to another: parts of it live on there, or its idea does."""

    class Kind(models.TextChoices):
        HOLDS_PARTS = "holds parts of", _("holds parts of")
        COPIED_FROM = "copied from", _("its sharing is copied from")
        REPLACED = "replaced", _("replaced")
        TWIN = "twin", _("made together with")

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="ties")
    code = code_field()
    kind = models.CharField(_("kind"), max_length=20, choices=Kind)
    other = models.ForeignKey(Instrument, models.PROTECT, related_name="ties_to", verbose_name=_("other"))
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    note = models.CharField(_("note"), max_length=300, blank=True)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("tie to another instrument")
        verbose_name_plural = _("ties to other instruments")
        ordering = ["instrument", "code"]
        constraints = [
            *unique_code("instrument"),
            models.CheckConstraint(condition=~models.Q(instrument=models.F("other")), name="tie_not_self"),
        ]


class Layer(Belonging):
    """A time and a hand: parts, ranges of pipes and segments of sharing are given to layers."""

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="layers")
    code = code_field()
    name = models.CharField(_("name"), max_length=160, help_text=_("As in: the enlargement of 1885."))
    when = EdtfField(
        _("date"), blank=True, help_text=_("1885, 1885~ (about), [1884,1885] (one of), [..1790] (before).")
    )
    maker = models.ForeignKey(
        "inventory.Maker",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="layers",
        verbose_name=_("maker"),
    )
    attribution = models.CharField(
        _("attribution"), max_length=12, choices=Attribution, default=Attribution.ANONYMOUS
    )
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    older_than = models.ForeignKey(
        "self",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="younger",
        verbose_name=_("older than"),
        help_text=_("When no date is possible, an order still is."),
    )
    note = models.TextField(_("note"), blank=True)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("layer")
        verbose_name_plural = _("layers")
        ordering = ["instrument", "when_sort", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return self.name


class EventQuerySet(models.QuerySet):
    def in_order(self) -> Self:
        """Events by their earliest day; those without a date last."""
        return self.order_by(models.F("when_sort").asc(nulls_last=True), "code")


class Event(Belonging):
    """Something that happened to an instrument."""

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="events")
    code = code_field()
    kind = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        related_name="+",
        verbose_name=_("what happened"),
        limit_choices_to={"vocabulary": "event"},
    )
    when = EdtfField(_("date"), blank=True)
    maker = models.ForeignKey(
        "inventory.Maker",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="events",
        verbose_name=_("maker"),
    )
    role = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("role"),
        limit_choices_to={"vocabulary": "role"},
    )
    attribution = models.CharField(_("attribution"), max_length=12, choices=Attribution, blank=True)
    layer = models.ForeignKey(
        Layer, models.SET_NULL, null=True, blank=True, related_name="events", verbose_name=_("layer")
    )
    place = models.ForeignKey(
        "inventory.Place", models.PROTECT, null=True, blank=True, related_name="+", verbose_name=_("place")
    )
    from_place = models.ForeignKey(
        "inventory.Place",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("moved from"),
    )
    silenced_by = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("cause of silence"),
        limit_choices_to={"vocabulary": "silence"},
        help_text=_("Only where the organ fell silent: what stopped it, as far as it is known."),
    )
    text = models.TextField(_("in words"), blank=True)
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    documented_before = models.CharField(
        _("documented before the work"), max_length=16, choices=Knowledge, default=Knowledge.NOT_LOOKED_AT
    )
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.PUBLIC)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("event")
        verbose_name_plural = _("events")
        ordering = ["instrument", "when_sort", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return f"{self.kind} {self.when}".strip()


class Part(Belonging):
    """A physical thing with a life of its own: case, chest, bellows, console, a set of pipes."""

    instrument = models.ForeignKey(Instrument, models.CASCADE, related_name="parts")
    code = code_field()
    kind = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        related_name="+",
        verbose_name=_("kind"),
        limit_choices_to={"vocabulary": "part"},
    )
    name = models.CharField(_("name"), max_length=160)
    layer = models.ForeignKey(
        Layer, models.SET_NULL, null=True, blank=True, related_name="parts", verbose_name=_("layer")
    )
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    looked_at = models.CharField(
        _("looked at"), max_length=16, choices=Knowledge, default=Knowledge.NOT_LOOKED_AT
    )
    description = models.TextField(_("description"), blank=True, help_text=_("Published."))
    materials = models.TextField(_("materials and alloys"), blank=True, help_text=_("Never published."))
    opening = models.TextField(
        _("how it opens"), blank=True, help_text=_("Boards and panels that lift. Never published.")
    )

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("part")
        verbose_name_plural = _("parts")
        ordering = ["instrument", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return self.name


class Movement(Belonging):
    """A line of the movement register: no part leaves its place without one."""

    part = models.ForeignKey(Part, models.CASCADE, related_name="movements")
    code = code_field()
    when = EdtfField(_("date"), blank=True)
    came_from = models.CharField(pgettext_lazy("a place", "from"), max_length=200)
    went_to = models.CharField(_("to"), max_length=200, help_text=_("Never published."))
    because = models.CharField(_("why"), max_length=300)
    on_whose_word = models.CharField(_("on whose word"), max_length=200, help_text=_("Never published."))
    return_expected = EdtfField(_("return expected"), blank=True)

    root_path = "part__instrument"
    natural = ("part__instrument__reference", "part__code", "code")

    class Meta:
        verbose_name = _("movement")
        verbose_name_plural = _("movement register")
        ordering = ["part", "when_sort", "code"]
        constraints = unique_code("part")
