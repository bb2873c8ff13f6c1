"""Photographs and drawings of instruments, with labelled regions."""

from __future__ import annotations

from django.core.validators import MaxValueValidator, MinValueValidator
from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Belonging, code_field, unique_code
from .choices import Audience
from .evidence import about_field
from .fields import EdtfField


class Photograph(Belonging):
    """A picture of an instrument. The original stays private; what is shown is made anew from it."""

    instrument = models.ForeignKey("inventory.Instrument", models.CASCADE, related_name="photographs")
    code = code_field()
    order = models.PositiveSmallIntegerField(_("order"), default=0)
    file = models.ImageField(_("file"), upload_to="photographs", width_field="width", height_field="height")
    width = models.PositiveIntegerField(editable=False, default=0)
    height = models.PositiveIntegerField(editable=False, default=0)
    shows = models.CharField(
        _("what it shows"), max_length=300, help_text=_("For somebody who cannot see it. Published.")
    )
    caption = models.CharField(_("caption"), max_length=300, blank=True)
    is_drawn = models.BooleanField(_("drawn, not photographed"), default=False)
    when = EdtfField(_("date"), blank=True)
    direction = models.CharField(_("direction of view"), max_length=120, blank=True)
    credit = models.CharField(_("credit"), max_length=160)
    licence = models.CharField(_("licence"), max_length=80, help_text=_("Without one it is not published."))
    consent = models.CharField(
        _("consent"),
        max_length=12,
        default="not asked",
        choices=[
            ("not asked", _("not asked")),
            ("given", _("given")),
            ("refused", _("refused")),
            ("not needed", _("nobody to ask")),
        ],
    )
    private_note = models.TextField(_("private note"), blank=True, help_text=_("Never published."))
    audience = models.CharField(_("who may see it"), max_length=10, choices=Audience, default=Audience.TEAM)

    natural = ("instrument__reference", "code")

    class Meta:
        verbose_name = _("photograph")
        verbose_name_plural = _("photographs")
        ordering = ["instrument", "order", "code"]
        constraints = unique_code("instrument")

    def __str__(self) -> str:
        return self.caption or self.shows


def _fraction(name: object) -> models.FloatField:
    return models.FloatField(name, validators=[MinValueValidator(0), MaxValueValidator(1)])


class Region(Belonging):
    """A labelled rectangle of a photograph, in fractions of its width and height."""

    photograph = models.ForeignKey(Photograph, models.CASCADE, related_name="regions")
    code = code_field()
    order = models.PositiveSmallIntegerField(_("number"), default=1)
    x = _fraction(_("left"))
    y = _fraction(_("top"))
    width = _fraction(_("width"))
    height = _fraction(_("height"))
    label = models.CharField(_("label"), max_length=160)
    about = about_field()

    root_path = "photograph__instrument"
    natural = ("photograph__instrument__reference", "photograph__code", "code")

    class Meta:
        verbose_name = _("region")
        verbose_name_plural = _("regions")
        ordering = ["photograph", "order"]
        constraints = [
            *unique_code("photograph"),
            models.CheckConstraint(
                condition=models.Q(x__gte=0, y__gte=0, width__gt=0, height__gt=0)
                & models.Q(x__lte=1, y__lte=1, width__lte=1, height__lte=1),
                name="region_inside_picture",
            ),
        ]
