"""The table of the labelled regions of a picture."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import Region

from ..cells import Column
from ..grids import Sheet

REGIONS = Sheet(
    "region",
    Region,
    _("Regions"),
    _("region"),
    (
        Column("label", _("Label"), size=18),
        Column("about", _("Shows"), "choice"),
        Column("x", _("Left, %"), "fraction"),
        Column("y", _("Top, %"), "fraction"),
        Column("width", _("Width, %"), "fraction"),
        Column("height", _("Height, %"), "fraction"),
    ),
)
