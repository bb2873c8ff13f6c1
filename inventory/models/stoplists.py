"""Stoplists: dated specifications, their keyboards, divisions, stops, controls and couplers."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, NaturalQuerySet, code_field, unique_code
from .choices import (
    HowCounted,
    KeyboardKind,
    Knowledge,
    SpecificationBasis,
    StopState,
)
from .fields import EdtfField

IN_SPECIFICATION = ("specification__instrument__reference", "specification__code", "code")


class SpecificationQuerySet(NaturalQuerySet):
    def current(self) -> SpecificationQuerySet:
        """The one specification of each instrument that says how it is now."""
        return self.filter(is_current=True)

    def in_order(self) -> SpecificationQuerySet:
        """Oldest first; those without a date last."""
        return self.order_by("instrument", models.F("when_sort").asc(nulls_last=True), "code")


class Specification(Belonging):
    """The stoplist of an instrument at one time, from one basis."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="specifications")
    code = code_field(_("As in: as-built, 1885, as-found."))
    name = models.CharField(_("name"), max_length=160)
    when = EdtfField(_("date"), blank=True)
    basis = models.CharField(_("basis"), max_length=12, choices=SpecificationBasis)
    layer = models.ForeignKey(
        "inventory.Layer", models.SET_NULL, null=True, blank=True, related_name="specifications"
    )
    is_current = models.BooleanField(
        _("as it is now"), default=False, help_text=_("One specification of an instrument at most.")
    )
    as_written = models.TextField(_("as written"), blank=True, help_text=_("The source's text, unchanged."))
    language = models.CharField(_("language of the text"), max_length=12, blank=True)

    natural = ("instrument__reference", "code")
    objects = SpecificationQuerySet.as_manager()

    class Meta:
        verbose_name = _("specification")
        verbose_name_plural = _("specifications")
        ordering = ["instrument", "code"]
        constraints = [
            *unique_code("instrument"),
            models.UniqueConstraint(
                fields=["instrument"], condition=models.Q(is_current=True), name="one_current_specification"
            ),
        ]

    def __str__(self) -> str:
        return f"{self.instrument_id and self.instrument.reference} · {self.name}"


class OfSpecification(Belonging):
    """A row of a specification, named by a code inside it, in a stated order."""

    order = models.PositiveSmallIntegerField(_("order"), default=0)

    root_path = "specification__instrument"
    natural = IN_SPECIFICATION

    class Meta:
        abstract = True
        ordering = ["specification", "order", "code"]


class Keyboard(OfSpecification):
    """A manual or a pedalboard and the notes of its keys."""

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="keyboards")
    code = code_field(_("As in: I, II, P."))
    name = models.CharField(_("name"), max_length=80, blank=True)
    kind = models.CharField(_("kind"), max_length=8, choices=KeyboardKind, default=KeyboardKind.MANUAL)
    keys = models.PositiveSmallIntegerField(
        _("number of keys"), validators=[MinValueValidator(1), MaxValueValidator(128)]
    )
    low_note = models.PositiveSmallIntegerField(
        _("note of the lowest key"),
        default=36,
        validators=[MaxValueValidator(127)],
        help_text=_("As MIDI number: 36 is C of the 8′ octave."),
    )
    notes = models.JSONField(
        _("notes of the keys"),
        null=True,
        blank=True,
        help_text=_(
            "Only for short or broken octaves and missing notes: the note each key sounds, lowest key first."
        ),
    )
    reach = models.PositiveSmallIntegerField(
        _("channels beyond the last key"), default=0, help_text=_("Played by couplers only.")
    )
    compass_as_written = models.CharField(_("compass as written"), max_length=80, blank=True)

    class Meta(OfSpecification.Meta):
        verbose_name = _("keyboard")
        verbose_name_plural = _("keyboards")
        constraints = [
            *unique_code("specification"),
            models.CheckConstraint(condition=models.Q(keys__range=(1, 128)), name="keyboard_keys_range"),
        ]

    def __str__(self) -> str:
        return self.name or self.code

    def note_list(self) -> tuple[int, ...]:
        """Sounding note of each key, lowest key first."""
        if self.notes:
            return tuple(self.notes)
        return tuple(range(self.low_note, self.low_note + self.keys))


class Division(OfSpecification):
    """A group of stops as the builder thought of it."""

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="divisions")
    code = code_field()
    name = models.CharField(_("name as written"), max_length=120)
    keyboard = models.ForeignKey(Keyboard, models.SET_NULL, null=True, blank=True, related_name="divisions")
    enclosed = models.CharField(
        _("in a swell box"), max_length=16, choices=Knowledge, default=Knowledge.NOT_LOOKED_AT
    )

    class Meta(OfSpecification.Meta):
        verbose_name = _("division")
        verbose_name_plural = _("divisions")
        constraints = unique_code("specification")

    def __str__(self) -> str:
        return self.name


class Stop(OfSpecification):
    """A right of access to pipes: what a label at the console names."""

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="stops")
    code = code_field()
    keyboard = models.ForeignKey(Keyboard, models.CASCADE, related_name="stops")
    division = models.ForeignKey(Division, models.SET_NULL, null=True, blank=True, related_name="stops")
    label = models.CharField(_("label as written"), max_length=120)
    name = models.CharField(_("name"), max_length=120)
    family = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("family"),
        limit_choices_to={"vocabulary": "family"},
    )
    footage = models.CharField(
        _("footage"),
        max_length=16,
        blank=True,
        help_text=_("8, 2 2/3, 1 3/5. Empty for mixtures and noises."),
    )
    composition = models.JSONField(
        _("composition"),
        null=True,
        blank=True,
        help_text=_('For mixtures: [{"from_note": 36, "footages": ["2", "1 1/3"]}, …].'),
    )
    first_key = models.PositiveSmallIntegerField(_("from key"), null=True, blank=True)
    last_key = models.PositiveSmallIntegerField(_("to key"), null=True, blank=True)
    half = models.CharField(
        _("half"), max_length=8, blank=True, choices=[("bass", _("bass half")), ("treble", _("treble half"))]
    )
    state = models.CharField(_("state"), max_length=10, choices=StopState, default=StopState.PRESENT)
    layer = models.ForeignKey(
        "inventory.Layer",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="stops",
        verbose_name=_("layer"),
    )
    earlier_name = models.CharField(_("earlier name"), max_length=120, blank=True)
    note = models.TextField(_("note"), blank=True)

    class Meta(OfSpecification.Meta):
        verbose_name = _("stop")
        verbose_name_plural = _("stops")
        constraints = [
            *unique_code("specification"),
            models.CheckConstraint(
                condition=models.Q(first_key__isnull=True)
                | models.Q(last_key__isnull=True)
                | models.Q(first_key__lte=models.F("last_key")),
                name="stop_keys_in_order",
            ),
        ]

    def __str__(self) -> str:
        return self.label


class Control(OfSpecification):
    """A knob, lever or tablet with one or more positions; positions exclude each other."""

    class Kind(models.TextChoices):
        KNOB = "knob", _("knob")
        HALF = "half-stop knob", _("knob of a half-stop")
        HALF_DRAW = "half-draw", _("knob with a half-drawn position")
        TABLET = "tablet", _("tablet")
        LEVER = "lever", _("lever or foot pedal")

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="controls")
    code = code_field()
    label = models.CharField(_("label as written"), max_length=120, blank=True)
    kind = models.CharField(_("kind"), max_length=16, choices=Kind, default=Kind.KNOB)

    class Meta(OfSpecification.Meta):
        verbose_name = _("control")
        verbose_name_plural = _("controls")
        constraints = unique_code("specification")

    def __str__(self) -> str:
        return self.label or self.code


class ControlPosition(Belonging):
    """One position of a control and the stops it draws."""

    control = models.ForeignKey(Control, models.CASCADE, related_name="positions")
    code = code_field()
    number = models.PositiveSmallIntegerField(_("position"), default=1)
    stops = models.ManyToManyField(Stop, related_name="positions", blank=True, verbose_name=_("stops drawn"))

    root_path = "control__specification__instrument"
    natural = (
        "control__specification__instrument__reference",
        "control__specification__code",
        "control__code",
        "code",
    )

    class Meta:
        verbose_name = _("position of a control")
        verbose_name_plural = _("positions of controls")
        ordering = ["control", "number"]
        constraints = unique_code("control")


class Coupler(OfSpecification):
    """Joins the keys of two keyboards, or of one to itself at an interval."""

    class Moves(models.TextChoices):
        KEY = "key", _("the key: other couplers follow")
        CHANNEL = "channel", _("the channel: other couplers do not follow")

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="couplers")
    code = code_field()
    label = models.CharField(_("label as written"), max_length=120, blank=True)
    from_keyboard = models.ForeignKey(Keyboard, models.CASCADE, related_name="couplers_from")
    to_keyboard = models.ForeignKey(Keyboard, models.CASCADE, related_name="couplers_to")
    shift = models.SmallIntegerField(_("semitones"), default=0)
    moves = models.CharField(_("moves"), max_length=8, choices=Moves, default=Moves.KEY)
    always = models.BooleanField(
        _("permanent"),
        default=False,
        help_text=_("Such as a pull-down pedal, which has no stops of its own."),
    )

    class Meta(OfSpecification.Meta):
        verbose_name = _("coupler")
        verbose_name_plural = _("couplers")
        constraints = unique_code("specification")

    def __str__(self) -> str:
        return self.label or self.code


class Accessory(OfSpecification):
    """A tremulant, a bell star, a ventil: named at the console, no stop."""

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="accessories")
    code = code_field()
    label = models.CharField(_("label as written"), max_length=120)

    class Meta(OfSpecification.Meta):
        verbose_name = _("accessory")
        verbose_name_plural = _("accessories")
        constraints = unique_code("specification")


class Count(OfSpecification):
    """A number kept with how it was counted; counts that disagree stand side by side."""

    class What(models.TextChoices):
        KNOBS = "knobs", _("knobs")
        STOPS = "stops", _("stops")
        RANKS = "ranks", _("ranks")
        PIPES = "pipes", _("pipes")

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="counts")
    code = code_field()
    what = models.CharField(_("what"), max_length=6, choices=What)
    number = models.PositiveIntegerField(_("number"))
    how = models.CharField(_("how counted"), max_length=10, choices=HowCounted)
    note = models.CharField(_("note"), max_length=200, blank=True)

    class Meta(OfSpecification.Meta):
        verbose_name = _("count")
        verbose_name_plural = _("counts")
        constraints = unique_code("specification")
