"""Maps drawn by ourselves: the whole, one for each region with a list beside it, and locators for records."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.drawings.maps import Cell, Frame, Place, frame_of, locator_map
from inventory.drawings.svg import Drawing, number
from inventory.punctuation import in_figures, semicolons
from publishing.disclosure.instruments import Collection
from publishing.disclosure.values import Link, Position, PublicPlace

from .coast import Coast, open_coast

COAST_FILE = "map/coast.svg"
WIDE, NARROW = 720.0, 400.0


@dataclass(frozen=True)
class Locator:
    """A small map for a record: the coast as a file all pages share, and one square laid over it."""

    file: str
    width: int
    height: int
    square: tuple[str, str, str, str]
    words: str


@dataclass(frozen=True)
class Pair:
    """One map for a desk and for a telephone."""

    wide: Drawing
    narrow: Drawing


@dataclass(frozen=True)
class Locators:
    """Makes the small maps of records: all that is needed of the collection is its coast and frame."""

    coast: Coast
    frame: Frame | None

    def of(self, place: PublicPlace | None) -> Locator | None:
        """The small map of a place; None where its position or the coast is not known."""
        frame = self.frame
        if place is None or place.position is None or frame is None:
            return None
        cell = self.coast.cell(place.position)
        x, y = frame.at(cell.x, cell.y + cell.tall)
        square = (x, y, cell.size * frame.scale, cell.tall * frame.scale)
        return Locator(
            COAST_FILE,
            round(frame.width),
            round(frame.height),
            (number(square[0]), number(square[1]), number(square[2]), number(square[3])),
            radius_in_words([place.position]),
        )


class Maps:
    """Gathers who stands where, and draws it at the end."""

    def __init__(self, collection: Collection) -> None:
        self.places = {place.reference: place for place in collection.places.values()}
        self.shown = [place for place in self.places.values() if place.position is not None]
        self.coast: Coast = open_coast(
            settings.COLLECTION_COASTLINE, [place.position for place in self.shown if place.position]
        )
        frame = frame_of(self.coast.outlines(), (), WIDE) if self.coast.islands else None
        self.locators = Locators(self.coast, frame)
        self.here: dict[str, list[Link]] = defaultdict(list)

    def add(self, stands: tuple[str, Link] | None) -> None:
        """Take one instrument: the reference of its place, and the way to it."""
        if stands is not None:
            self.here[stands[0]].append(stands[1])

    def files(self) -> Iterator[tuple[str, bytes]]:
        """The coast that locators share."""
        if self.coast.islands:
            drawing = locator_map(self.coast.outlines(), (), prefix="coast", title=_("The coast"), width=WIDE)
            yield COAST_FILE, drawing.svg.encode()

    def context(self) -> dict[str, Any]:
        """What the template `map.html` prints."""
        regions: dict[str, list[PublicPlace]] = defaultdict(list)
        for place in self.shown:
            if self.here[place.reference]:
                regions[self.region_of(place)].append(place)
        everywhere = [place for places in regions.values() for place in places]
        unplaced = [
            (place, self.here[place.reference])
            for place in self.places.values()
            if self.here[place.reference] and place.position is None
        ]
        return {
            "title": _("Map"),
            "description": _("Where the published instruments stand, to the square each may be shown in."),
            "section": "map.html",
            "whole": self._whole(everywhere) if everywhere else None,
            "regions": [
                self._region(number, name, places)
                for number, (name, places) in enumerate(sorted(regions.items()), start=1)
            ],
            "unplaced": sorted(unplaced, key=lambda one: (one[0].name, one[0].reference)),
        }

    def region_of(self, place: PublicPlace) -> str:
        """The island a place lies on, else the widest region known around it."""
        around = [place, *(self.places[one.reference] for one in place.within)]
        return next((one for one in around if one.kind == "island"), around[-1]).name

    def _whole(self, places: Sequence[PublicPlace]) -> Pair:
        positions = _positions(places)
        names = [Place(x, y, name) for name, x, y in self.coast.middles()]
        return self._pair(
            "whole", _("The whole area"), [self.coast.cell(at) for at in positions], positions, names,
            self.coast.outlines(),
        )  # fmt: skip

    def _region(self, count: int, name: str, places: Sequence[PublicPlace]) -> dict[str, Any]:
        """A region's map with numbered squares; squares larger than the rest together stand in the list only."""
        by_square: dict[Position, list[PublicPlace]] = defaultdict(list)
        for place in sorted(places, key=lambda one: (one.name, one.reference)):
            assert place.position is not None
            by_square[place.position].append(place)
        finest = min(at.grid_degrees for at in by_square)
        order = sorted(by_square, key=lambda at: (at.grid_degrees, -at.latitude, at.longitude))
        drawn = [at for at in order if at.grid_degrees <= 4 * finest]
        cells = [self.coast.cell(at, str(n)) for n, at in enumerate(drawn, start=1)]
        land = [outline for outline in self.coast.outlines() if any(_touches(outline, one) for one in cells)]
        return {
            "anchor": f"region-{count}",
            "name": name,
            "pair": self._pair(f"region-{count}", name, cells, drawn, (), land),
            "squares": [
                {
                    "number": str(drawn.index(at) + 1) if at in drawn else "–",
                    "words": radius_in_words([at]),
                    "places": [(place, self.here[place.reference]) for place in by_square[at]],
                }
                for at in order
            ],
        }

    def _pair(
        self, prefix: str, title: str, cells: Sequence[Cell], positions: Sequence[Position],
        names: Sequence[Place], land: Sequence[Sequence[tuple[float, float]]],
    ) -> Pair:  # fmt: skip
        made = []
        finest = min(cells, key=lambda one: one.size)
        for width, part in ((WIDE, prefix), (NARROW, f"{prefix}-narrow")):
            drawing = locator_map(
                land,
                cells,
                places=names,
                grid=(finest.size, finest.tall),
                title=title,
                prefix=part,
                width=width,
            )
            made.append(replace(drawing, caption=radius_in_words(positions)))
        return Pair(*made)


def radius_in_words(positions: Sequence[Position]) -> str:
    """How close the squares are, and how far a place may lie from the middle of its own."""
    farthest: dict[float, int] = {}
    for at in positions:
        farthest[at.grid_degrees] = max(at.radius_m, farthest.get(at.grid_degrees, 0))
    lines = [
        _("a square of %(grid)s°, within %(km)s km of its middle")
        % {"grid": in_figures(f"{grid:g}"), "km": in_figures(f"{math.ceil(metres / 100) / 10:.1f}")}
        for grid, metres in sorted(farthest.items())
    ]
    return _("Not the exact place is shown: %(lines)s.") % {"lines": semicolons(lines)}


def count_in_words(count: int) -> str:
    """How many instruments a line of the list leads to."""
    return ngettext("%(n)s instrument", "%(n)s instruments", count) % {"n": count}


def _positions(places: Sequence[PublicPlace]) -> list[Position]:
    found = {place.position for place in places if place.position is not None}
    return sorted(found, key=lambda at: (-at.grid_degrees, -at.latitude, at.longitude))


def _touches(outline: Sequence[tuple[float, float]], cell: Cell) -> bool:
    xs, ys = [x for x, _y in outline], [y for _x, y in outline]
    return (
        min(xs) < cell.x + cell.size
        and cell.x < max(xs)
        and min(ys) < cell.y + cell.tall
        and cell.y < max(ys)
    )
