"""Ranks: rows of pipes at the time of a specification, and where ranges of them come from."""

from __future__ import annotations

from django.core.validators import MaxValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .choices import Certainty, HowCounted
from .stoplists import OfSpecification, Specification


class Rank(OfSpecification):
    """A row of pipes at the time of the specification."""

    class Makes(models.TextChoices):
        PIPES = "pipes", _("pipes")
        BARS = "bars", _("bars")
        BELLS = "bells", _("bells")

    specification = models.ForeignKey(Specification, models.CASCADE, related_name="ranks")
    code = code_field()
    name = models.CharField(_("name"), max_length=120)
    part = models.ForeignKey(
        "inventory.Part",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="ranks",
        verbose_name=_("the physical set"),
        help_text=_("The same set of pipes may stand in several dated specifications."),
    )
    pipes = models.PositiveSmallIntegerField(
        _("pipes"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(1000)],
        help_text=_("Empty: not counted."),
    )
    counted = models.CharField(_("how counted"), max_length=10, choices=HowCounted, blank=True)
    low_note = models.PositiveSmallIntegerField(
        _("note of the lowest pipe"),
        null=True,
        blank=True,
        validators=[MaxValueValidator(127)],
        help_text=_("As MIDI number, at the pitch it sounds: 36 is an 8′ C, 24 a 16′ C. Empty: not known."),
    )
    notes = models.JSONField(
        _("notes of the pipes"),
        null=True,
        blank=True,
        help_text=_("Only for rows with gaps, lowest pipe first."),
    )
    missing = models.JSONField(_("missing pipes"), default=list, blank=True, help_text=_("Their numbers."))
    tones = models.JSONField(
        _("pipes with several notes"),
        default=dict,
        blank=True,
        help_text=_('{"1": [36, 37]}: pipe 1 speaks both.'),
    )
    makes = models.CharField(_("made of"), max_length=6, choices=Makes, default=Makes.PIPES)
    family = models.ForeignKey(
        "inventory.Term",
        models.PROTECT,
        null=True,
        blank=True,
        related_name="+",
        verbose_name=_("family"),
        limit_choices_to={"vocabulary": "family"},
    )
    form = models.CharField(
        _("form"), max_length=160, blank=True, help_text=_("Open, stopped, conical. Published.")
    )
    alloy = models.CharField(
        _("material or alloy"), max_length=160, blank=True, help_text=_("Never published.")
    )

    class Meta(OfSpecification.Meta):
        verbose_name = _("rank")
        verbose_name_plural = _("ranks")
        constraints = [
            *unique_code("specification"),
            models.CheckConstraint(
                condition=models.Q(pipes__isnull=True) | models.Q(pipes__range=(0, 1000)),
                name="rank_pipes_range",
            ),
        ]

    def __str__(self) -> str:
        return self.name


class RankRange(Belonging):
    """Where some pipes of a rank come from: the natural unit of provenance is the range of notes."""

    rank = models.ForeignKey(Rank, models.CASCADE, related_name="ranges")
    code = code_field()
    first_pipe = models.PositiveSmallIntegerField(_("from pipe"))
    last_pipe = models.PositiveSmallIntegerField(_("to pipe"))
    layer = models.ForeignKey(
        "inventory.Layer",
        models.SET_NULL,
        null=True,
        blank=True,
        related_name="ranges",
        verbose_name=_("layer"),
    )
    certainty = models.CharField(_("certainty"), max_length=10, choices=Certainty, default=Certainty.PROBABLE)
    text = models.CharField(_("in words"), max_length=300, blank=True, help_text=_("Published."))
    materials = models.CharField(_("materials"), max_length=200, blank=True, help_text=_("Never published."))

    root_path = "rank__specification__instrument"
    natural = (
        "rank__specification__instrument__reference",
        "rank__specification__code",
        "rank__code",
        "code",
    )

    class Meta:
        verbose_name = _("range of pipes")
        verbose_name_plural = _("ranges of pipes")
        ordering = ["rank", "first_pipe"]
        constraints = [
            *unique_code("rank"),
            models.CheckConstraint(
                condition=models.Q(first_pipe__gte=1) & models.Q(first_pipe__lte=models.F("last_pipe")),
                name="range_pipes_in_order",
            ),
        ]
