"""Readings taken from pipes: the three notes, the measures in mm, the pitch with its temperature."""

from __future__ import annotations

from typing import Any

from django.core.validators import MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .choices import PipeState
from .ranks import Rank


def _millimetres(name: Any) -> models.DecimalField:
    return models.DecimalField(
        name, max_digits=7, decimal_places=2, null=True, blank=True, validators=[MinValueValidator(0)]
    )


class PipeReading(Belonging):
    """One pipe as one survey read it. Sizes and alloys are never published."""

    rank = models.ForeignKey(Rank, models.CASCADE, related_name="readings", verbose_name=_("rank"))
    code = code_field()
    pipe = models.PositiveSmallIntegerField(_("pipe"), validators=[MinValueValidator(1)])
    survey = models.ForeignKey(
        "inventory.Survey",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="readings",
        verbose_name=_("survey"),
    )
    state = models.CharField(_("state"), max_length=20, choices=PipeState, blank=True)
    marked_note = models.CharField(_("marked"), max_length=20, blank=True, help_text=_("As the mark reads."))
    standing_note = models.CharField(_("stands at"), max_length=20, blank=True)
    sounding_note = models.CharField(_("sounds"), max_length=20, blank=True)
    outside_diameter_mm = _millimetres(_("outside diameter, mm"))
    wall_mm = _millimetres(_("wall, mm"))
    width_mm = _millimetres(_("inside width, mm"))
    depth_mm = _millimetres(_("inside depth, mm"))
    body_length_mm = _millimetres(_("body, mm"))
    foot_length_mm = _millimetres(_("foot, mm"))
    toe_hole_mm = _millimetres(_("toe hole, mm"))
    toe_hole_across_mm = _millimetres(_("toe hole across, mm"))
    mouth_width_mm = _millimetres(_("mouth width, mm"))
    cut_up_mm = _millimetres(_("cut-up, mm"))
    pitch_hz = models.DecimalField(_("pitch, Hz"), max_digits=8, decimal_places=3, null=True, blank=True)
    temperature_c = models.DecimalField(_("at °C"), max_digits=4, decimal_places=1, null=True, blank=True)
    note = models.CharField(_("note"), max_length=300, blank=True)

    root_path = "rank__specification__instrument"
    natural = (
        "rank__specification__instrument__reference",
        "rank__specification__code",
        "rank__code",
        "code",
    )

    class Meta:
        verbose_name = _("pipe reading")
        verbose_name_plural = _("pipe readings")
        ordering = ["rank", "pipe", "code"]
        constraints = [
            *unique_code("rank"),
            models.CheckConstraint(condition=models.Q(pipe__gte=1), name="reading_pipe_from_1"),
            # A pitch without its temperature cannot be compared with another.
            models.CheckConstraint(
                condition=models.Q(pitch_hz__isnull=True) | models.Q(temperature_c__isnull=False),
                name="reading_pitch_has_temperature",
            ),
        ]
