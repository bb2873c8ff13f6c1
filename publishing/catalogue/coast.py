"""The coast behind the maps, and squares of the allowed grid laid on it, in kilometres."""

from __future__ import annotations

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from django.utils.translation import gettext_lazy as _

from inventory.drawings.maps import Cell
from inventory.languages import said_later
from publishing.disclosure.values import Position

from .swapping import SiteWriteError

KM_PER_DEGREE = 6_371.0088 * math.pi / 180  # mean radius R1 of the GRS 80 ellipsoid (IUGG)
Outline = list[tuple[float, float]]


class CoastlineUnreadable(SiteWriteError):
    """The file of outlines is there but cannot be read; nothing was published."""


@dataclass(frozen=True)
class Coast:
    """Outlines in degrees, and the latitude along which kilometres to the east are true."""

    islands: tuple[tuple[str, Outline], ...]
    true_latitude: float

    def point(self, longitude: float, latitude: float) -> tuple[float, float]:
        """Kilometres east and north: an equirectangular map, true along one latitude."""
        return longitude * self.across, latitude * KM_PER_DEGREE

    @property
    def across(self) -> float:
        """Kilometres of one degree of longitude."""
        return KM_PER_DEGREE * math.cos(math.radians(self.true_latitude))

    def outlines(self) -> list[Outline]:
        """The land in kilometres."""
        return [[self.point(*at) for at in outline] for _name, outline in self.islands]

    def cell(self, position: Position, label: str = "") -> Cell:
        """The square a place may be shown in."""
        half = position.grid_degrees / 2
        x, y = self.point(position.longitude - half, position.latitude - half)
        return Cell(
            x, y, position.grid_degrees * self.across, label, height=position.grid_degrees * KM_PER_DEGREE
        )

    def middles(self) -> list[tuple[str, float, float]]:
        """Name and middle of each island's bounds, in kilometres."""
        found = []
        for name, outline in self.islands:
            west, south, east, north = _bounds([outline])
            found.append((name, *self.point((west + east) / 2, (south + north) / 2)))
        return found


def open_coast(file: Path, positions: Iterable[Position]) -> Coast:
    """The coast of a file if every shown square touches its bounds, else a map without land."""
    positions = list(positions)
    islands = _read(file) if file.exists() else ()
    if islands:
        west, south, east, north = _bounds([outline for _name, outline in islands])
        for at in positions:
            half = at.grid_degrees / 2
            if not (
                west - half <= at.longitude <= east + half and south - half <= at.latitude <= north + half
            ):
                islands = ()
                break
    latitudes = [y for _name, outline in islands for _x, y in outline] or [at.latitude for at in positions]
    # Clear of the poles, where a degree of longitude has no width to divide by.
    middle = (min(latitudes) + max(latitudes)) / 2 if latitudes else 0.0
    return Coast(islands, round(max(-85.0, min(85.0, middle)), 1))


def _read(file: Path) -> tuple[tuple[str, Outline], ...]:
    try:
        document = json.loads(file.read_text(encoding="utf-8"))
        return tuple(
            (str(one.get("name", "")), [(float(x), float(y)) for x, y in one["outline"]])
            for one in document["islands"]
        )
    except (OSError, ValueError, KeyError, TypeError, AttributeError) as error:
        raise CoastlineUnreadable(
            said_later(
                _(
                    "The coastline %(file)s cannot be read (%(problem)s). It has to hold %(form)s; mend it or set "
                    "COLLECTION_COASTLINE to another file. Nothing was published."
                ),
                file=file.name,
                problem=f"{type(error).__name__}: {error}",
                form='{"islands": [{"name": …, "outline": [[longitude, latitude], …]}]}',
            )
        ) from None


def _bounds(outlines: list[Outline]) -> tuple[float, float, float, float]:
    xs = [x for outline in outlines for x, _y in outline]
    ys = [y for outline in outlines for _x, y in outline]
    return min(xs), min(ys), max(xs), max(ys)
