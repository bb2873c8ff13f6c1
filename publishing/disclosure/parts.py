"""Small values made from columns: links, dates, places' positions."""

from __future__ import annotations

import math
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any

from inventory.edtf import date_in_words, parse_edtf

from .door import Row
from .values import Link, Position, When

EARTH_RADIUS_M = 6_371_008.8  # mean radius R1 of the GRS 80 ellipsoid (IUGG), in metres
FOLDERS = {"instrument": "instruments", "maker": "makers", "place": "places", "source": "sources"}
Links = Mapping[int, Link]


def link(kind: str, row: Row) -> Link:
    """The link to a record's page."""
    return Link(FOLDERS[kind], row["reference"], row["name"])


@lru_cache(maxsize=20_000)
def _read_date(text: str) -> tuple[str, int | None, int | None, int | None]:
    """Parsed once for each text: a collection has few different ones."""
    read = parse_edtf(text)
    return (
        date_in_words(text),
        read.sort_key,
        read.earliest.year if read.earliest else None,
        read.latest.year if read.latest else None,
    )


def when(text: str) -> When | None:
    """A date as written with its reading, or None where nothing is written."""
    return When(text, *_read_date(text)) if text else None


def other_languages(row: Row, column: str) -> tuple[tuple[str, str], ...]:
    """A text in the languages it has beside its own: code and text."""
    found = ((code, row[f"{column}_{code}"].strip()) for code in ("fr", "es"))
    return tuple((code, text) for code, text in found if text)


def iso_day(day: date | None) -> str:
    """A day as the catalogue prints it, or nothing."""
    return day.isoformat() if day else ""


def plain_number(value: Decimal | None) -> str:
    """A measure as people write it: no trailing noughts."""
    return "" if value is None else f"{value.normalize():f}"


def keys_of(first: int | None, last: int | None) -> tuple[int, int] | None:
    """A stop's own compass where it has one."""
    return None if first is None or last is None else (first, last)


def shown_position(latitude: Any, longitude: Any, grid_degrees: Any) -> Position | None:
    """The middle of the grid square that holds a point; never the point itself.

    The square is fixed, so that showing it a hundred times says no more than once. The
    radius is that of the circle around the middle that covers the whole square, rounded
    up to 10 m, on a sphere.
    """
    if latitude is None or longitude is None or grid_degrees is None:
        return None
    grid = Decimal(grid_degrees)
    middles = [
        (Decimal(value) / grid).to_integral_value(rounding="ROUND_FLOOR") * grid + grid / 2
        for value in (latitude, longitude)
    ]
    half = math.radians(float(grid) / 2)
    lat = math.radians(float(middles[0]))
    corners = [_distance_m(lat, lat + sign * half, half) for sign in (-1, 1)]
    radius = int(math.ceil(max(corners) / 10) * 10)
    return Position(float(middles[0]), float(middles[1]), float(grid), radius)


def _distance_m(latitude: float, other: float, across: float) -> float:
    """Great-circle distance between two points `across` radians of longitude apart."""
    a = (
        math.sin((other - latitude) / 2) ** 2
        + math.cos(latitude) * math.cos(other) * math.sin(across / 2) ** 2
    )
    return 2 * EARTH_RADIUS_M * math.asin(math.sqrt(a))
