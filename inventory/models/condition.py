"""Condition: surveys, parts looked at, defects that persist, note trials, hazards."""

from __future__ import annotations

from typing import Any

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from .base import Belonging, code_field, unique_code
from .choices import Audience, Certainty, Knowledge, RecordingLevel
from .fields import EdtfField


def _class_0_to_3(name: Any) -> models.PositiveSmallIntegerField:
    """A class of EN 16096 (0 to 3; the wording is from memory and should be checked)."""
    return models.PositiveSmallIntegerField(
        name,
        null=True,
        blank=True,
        validators=[MaxValueValidator(3)],
        help_text=_("0 to 3. Empty: not judged."),
    )


class Playability(models.TextChoices):
    """How far the whole instrument could be played at a visit, whatever the state of its parts."""

    FULL = "full", _("everything tried plays")
    SMALL_FAULTS = "small faults", _("plays, with small faults")
    SOME_OUT = "some out", _("some stops or notes are out")
    LIMITED = "limited", _("a few stops only")
    SILENT = "silent", pgettext_lazy("an instrument", "silent")
    NOT_TRIED = "not tried", _("not tried")


class Survey(Belonging):
    """One visit: who, when, how deep, and what could not be reached."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="surveys")
    code = code_field()
    when = EdtfField(_("date"), help_text=_("Day or month of the visit."))
    level = models.PositiveSmallIntegerField(_("recording level"), choices=RecordingLevel)
    surveyor = models.CharField(
        _("surveyor"), max_length=120, help_text=_("Never published as it stands here.")
    )
    printed_as = models.CharField(
        _("surveyor, as printed"),
        max_length=60,
        blank=True,
        help_text=_("A role or initials; a name only where the person agreed. Published."),
    )
    hours = models.DecimalField(_("hours on site"), max_digits=5, decimal_places=1, null=True, blank=True)
    limits = models.TextField(
        _("what was not reached"), help_text=_("A survey that does not say is no evidence. Published.")
    )
    temperature_c = models.DecimalField(
        _("°C at the pipes"), max_digits=4, decimal_places=1, null=True, blank=True
    )
    humidity_percent = models.PositiveSmallIntegerField(
        _("relative humidity, %"), null=True, blank=True, validators=[MaxValueValidator(100)]
    )
    pressure_mm = models.DecimalField(
        _("wind pressure, mm water"), max_digits=6, decimal_places=1, null=True, blank=True
    )
    pitch_hz = models.DecimalField(
        _("a′ of a flue stop, Hz"),
        max_digits=6,
        decimal_places=2,
        null=True,
        blank=True,
        validators=[MinValueValidator(300), MaxValueValidator(600)],
        help_text=_("At the temperature above. Never of a reed: reeds do not follow the temperature."),
    )
    playability = models.CharField(
        _("playability of the whole"),
        max_length=16,
        choices=Playability,
        blank=True,
        help_text=_("Apart from condition: silent and untouched may be the best state. Empty: not said."),
    )
    notes_heard = models.PositiveIntegerField(_("note-stops heard"), null=True, blank=True)
    notes_tried = models.PositiveIntegerField(_("note-stops tried"), null=True, blank=True)
    findings = models.TextField(_("in words"), blank=True, help_text=_("Published only with consent."))
    private_findings = models.TextField(_("private findings"), blank=True, help_text=_("Never published."))
    signed = models.BooleanField(
        _("signed"), default=False, help_text=_("A signed survey is not changed; write a new one.")
    )

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("survey")
        verbose_name_plural = _("surveys")
        ordering = ["instrument", "when_sort", "code"]
        constraints = [
            *unique_code("instrument"),
            models.CheckConstraint(
                condition=models.Q(notes_heard__isnull=True)
                | models.Q(notes_tried__isnull=True)
                | models.Q(notes_heard__lte=models.F("notes_tried")),
                name="survey_heard_within_tried",
            ),
            # A pitch without its temperature cannot be compared with another.
            models.CheckConstraint(
                condition=models.Q(pitch_hz__isnull=True) | models.Q(temperature_c__isnull=False),
                name="survey_pitch_has_temperature",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.when} {self.get_level_display()}"


class PartCondition(Belonging):
    """One part at one survey: condition, playability and integrity are judged apart."""

    survey = models.ForeignKey(Survey, models.CASCADE, related_name="parts")
    code = code_field()
    part = models.ForeignKey(
        "inventory.Part", models.PROTECT, related_name="conditions", verbose_name=_("part")
    )
    looked_at = models.CharField(
        _("looked at"), max_length=16, choices=Knowledge, default=Knowledge.NOT_LOOKED_AT
    )
    condition_class = _class_0_to_3(_("condition class"))
    urgency_class = _class_0_to_3(_("urgency class"))
    recommendation_class = _class_0_to_3(_("recommendation class"))
    playability = models.CharField(_("playability"), max_length=120, blank=True)
    integrity = models.CharField(
        _("integrity"), max_length=200, blank=True, help_text=_("What is of which layer.")
    )
    note = models.TextField(_("note"), blank=True)

    root_path = "survey__instrument"
    natural = ("survey__instrument__reference", "survey__code", "code")

    class Meta:
        verbose_name = _("condition of a part")
        verbose_name_plural = _("conditions of parts")
        ordering = ["survey", "code"]
        constraints = unique_code("survey")


class Defect(Belonging):
    """A defect keeps its identity from survey to survey."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="defects")
    code = code_field()
    kind = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        related_name="+",
        verbose_name=_("kind"),
        limit_choices_to={"vocabulary": "defect"},
    )
    part = models.ForeignKey(
        "inventory.Part",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="defects",
        verbose_name=_("part"),
    )
    where = models.CharField(
        _("where"), max_length=200, help_text=_("Stop and notes, or the place on the part.")
    )
    cause = models.CharField(_("supposed cause"), max_length=200, blank=True)
    cause_certainty = models.CharField(_("how sure"), max_length=10, choices=Certainty, blank=True)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("defect")
        verbose_name_plural = _("defects")
        ordering = ["instrument", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return f"{self.kind}: {self.where}"


class DefectObservation(Belonging):
    """What one survey found of a defect."""

    class Course(models.TextChoices):
        NEW = "new", _("new")
        WORSE = "worse", _("worse")
        SAME = "same", _("same")
        BETTER = "better", _("better")
        CURED = "cured", _("cured")
        NOT_LOOKED_AT = "not looked at again", _("not looked at again")

    defect = models.ForeignKey(Defect, models.CASCADE, related_name="observations")
    code = code_field()
    survey = models.ForeignKey(Survey, models.PROTECT, related_name="observations", verbose_name=_("survey"))
    course = models.CharField(_("course"), max_length=20, choices=Course)
    affected = models.PositiveIntegerField(_("affected"), null=True, blank=True)
    out_of = models.PositiveIntegerField(_("out of"), null=True, blank=True)
    photograph = models.ForeignKey(
        "inventory.Photograph",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("photograph"),
        help_text=_("From the same place as the last one, so that the two make a pair."),
    )
    note = models.TextField(_("note"), blank=True)

    root_path = "defect__instrument"
    natural = ("defect__instrument__reference", "defect__code", "code")

    class Meta:
        verbose_name = _("observation of a defect")
        verbose_name_plural = _("observations of defects")
        ordering = ["defect", "survey__when_sort", "code"]
        constraints = [
            *unique_code("defect"),
            models.UniqueConstraint(fields=["defect", "survey"], name="defect_observed_once"),
        ]


class Trial(Belonging):
    """Stops drawn, keys held, and what was heard. What is not listed was not observed."""

    survey = models.ForeignKey(Survey, models.CASCADE, related_name="trials")
    code = code_field()
    number = models.PositiveSmallIntegerField(_("number"), default=1)
    specification = models.ForeignKey("inventory.Specification", models.PROTECT, related_name="trials")
    stops = models.JSONField(_("stops drawn"), default=list, help_text=_("Codes of stops and couplers."))
    keys = models.JSONField(
        _("keys held"),
        default=list,
        blank=True,
        help_text=_('[{"keyboard": "I", "key": 1}]; empty: none held.'),
    )
    heard = models.JSONField(
        _("heard"), default=list, blank=True, help_text=_('[{"stop": "a", "key": 1, "as": "speaks"}]')
    )
    extra = models.JSONField(
        _("also sounded"),
        null=True,
        blank=True,
        help_text=_("Empty: not listened for. []: nothing else sounded. Else rank, pipe, loud or faint."),
    )

    root_path = "survey__instrument"
    natural = ("survey__instrument__reference", "survey__code", "code")

    class Meta:
        verbose_name = _("note trial")
        verbose_name_plural = _("note trials")
        ordering = ["survey", "number", "code"]
        constraints = unique_code("survey")


class Hazard(Belonging):
    """Something that can hurt whoever climbs in. Local codes and licensed practice prevail."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="hazards")
    code = code_field()
    kind = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        related_name="+",
        verbose_name=_("kind"),
        limit_choices_to={"vocabulary": "hazard"},
    )
    where = models.CharField(_("where"), max_length=200)
    precaution = models.TextField(_("precaution"), blank=True)
    survey = models.ForeignKey(
        Survey, models.SET_NULL, null=True, blank=True, related_name="hazards", verbose_name=_("seen at")
    )
    audience = models.CharField(_("who may read"), max_length=10, choices=Audience, default=Audience.TEAM)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("hazard")
        verbose_name_plural = _("hazards")
        ordering = ["instrument", "code"]
        constraints = unique_code("instrument")
