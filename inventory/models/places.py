"""Places: a tree from region to building, the exact position and the grid it may be shown on."""

from __future__ import annotations

from typing import Self

from django.db import models
from django.utils.translation import gettext_lazy as _

from .base import Root
from .finding import FindingQuerySet


class PlaceKind(models.TextChoices):
    ISLAND = "island", _("island")
    REGION = "region", _("region")
    TOWN = "town", _("town or village")
    BUILDING = "building", _("building")
    STORE = "store", _("store")


class PlaceQuerySet(FindingQuerySet):
    def buildings(self) -> Self:
        return self.filter(kind=PlaceKind.BUILDING)

    def inside(self, place: Place) -> Self:
        """Places whose parent is this one, by name."""
        return self.filter(parent=place).order_by("name")


class Place(Root):
    """A place an instrument stands, stood or was made in."""

    translated = "note"
    """The text that may be added in French and Spanish."""

    name = models.CharField(_("name"), max_length=120)
    other_names = models.CharField(
        _("other names"), max_length=300, blank=True, help_text=_("Older or foreign names, separated by ;")
    )
    kind = models.CharField(_("kind"), max_length=10, choices=PlaceKind)
    parent = models.ForeignKey(
        "self", models.PROTECT, null=True, blank=True, related_name="parts", verbose_name=_("lies in")
    )
    latitude = models.DecimalField(
        _("latitude"),
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        help_text=_("Exact. Never published."),
    )
    longitude = models.DecimalField(
        _("longitude"),
        max_digits=8,
        decimal_places=5,
        null=True,
        blank=True,
        help_text=_("Exact. Never published."),
    )
    grid_degrees = models.DecimalField(
        _("grid it may be shown on"),
        max_digits=4,
        decimal_places=3,
        null=True,
        blank=True,
        help_text=_("1, 0.1, 0.01 or 0.001 degrees; the middle of the square is shown. Empty: not shown."),
    )
    access = models.TextField(
        _("access"), blank=True, help_text=_("Way in, ladders, times. Never published.")
    )
    custodian = models.TextField(
        _("custodian"), blank=True, help_text=_("Who holds keys and gives permission. Named persons only.")
    )
    note = models.TextField(_("note"), blank=True, help_text=_("Published with the place."))
    note_fr = models.TextField(
        _("note in French"), blank=True, help_text=_("Shown on French pages in its place. Published.")
    )
    note_es = models.TextField(
        _("note in Spanish"), blank=True, help_text=_("Shown on Spanish pages in its place. Published.")
    )

    objects = PlaceQuerySet.as_manager()

    class Meta(Root.Meta):
        verbose_name = _("place")
        verbose_name_plural = _("places")
        ordering = ["reference"]
        # Lists of instruments are sorted by the names of their places.
        indexes = [models.Index(fields=["name"], name="place_by_name")]
        constraints = [
            *Root.Meta.constraints,
            models.CheckConstraint(
                condition=models.Q(latitude__isnull=True) | models.Q(latitude__range=(-90, 90)),
                name="place_latitude_range",
            ),
            models.CheckConstraint(
                condition=models.Q(longitude__isnull=True) | models.Q(longitude__range=(-180, 180)),
                name="place_longitude_range",
            ),
            models.CheckConstraint(
                condition=models.Q(grid_degrees__isnull=True)
                | models.Q(grid_degrees__in=["1", "0.1", "0.01", "0.001"]),
                name="place_grid_known",
            ),
        ]
