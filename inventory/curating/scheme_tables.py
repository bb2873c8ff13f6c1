"""The tables of one scheme: from its rows, from a form, and as a scheme that is looked at before it is saved."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _

from inventory.models import Chest, Device, Rank, Segment, Specification, Stop
from inventory.organ.schemes import Scheme
from inventory.schemes import scheme_of, scheme_with

from .cells import BadCell
from .grid_saving import Builder, Built, settle_choices
from .grids import Line, Table, uid_of
from .parts.scheme_sheets import CHESTS, RANKS, SCHEME_SHEETS, SEGMENTS
from .stoplist_tables import Tables, saved_rows


def stops_of(specification: Specification) -> list[Stop]:
    """The stops of a stoplist, keyboard by keyboard."""
    found = Stop.objects.filter(specification=specification).select_related(
        "keyboard", "specification__instrument"
    )
    return list(found.order_by("keyboard__order", "keyboard__code", "order", "code"))


def segments_of(specification: Specification) -> list[Segment]:
    """The segments of a stoplist in the order of its stops."""
    found = Segment.objects.filter(stop__specification=specification).select_related(
        "stop__specification__instrument", "rank__specification", "device", "chest__specification"
    )
    return list(found.order_by("stop__keyboard__order", "stop__order", "stop__code", "first_key", "code"))


@dataclass(frozen=True)
class SchemeRows:
    """What the tables of a scheme are made of, read once for a page."""

    ranks: list[Rank]
    chests: list[Chest]
    segments: list[Segment]
    stops: list[Stop]
    devices: list[Device]

    @classmethod
    def of(cls, specification: Specification) -> SchemeRows:
        return cls(
            saved_rows(specification, Rank),
            saved_rows(specification, Chest),
            segments_of(specification),
            stops_of(specification),
            list(Device.objects.order_by("code")),
        )


def scheme_tables_of(specification: Specification, rows: SchemeRows) -> Tables:
    """The tables of a saved scheme."""
    tables = {
        "rank": Table.of_rows(RANKS, rows.ranks),
        "chest": Table.of_rows(CHESTS, rows.chests),
        "segment": Table.of_rows(SEGMENTS, rows.segments),
    }
    return with_scheme_choices(tables, rows)


def scheme_tables_of_post(data: QueryDict, rows: SchemeRows) -> Tables:
    """The tables as typed."""
    tables = {sheet.name: Table.of_post(sheet, data) for sheet in SCHEME_SHEETS}
    return with_scheme_choices(tables, rows)


def with_scheme_choices(tables: Tables, rows: SchemeRows) -> Tables:
    """What the segments may name: stops, the ranks and chests of the tables, devices."""
    empty = ("", "–")
    tables["segment"].choices = {
        "stop": [(stop.code, f"{stop.label} · {stop.keyboard}") for stop in rows.stops],
        "rank": [(line.uid, line.values["name"] or line.uid) for line in tables["rank"].lines],
        "chest": [empty, *((line.uid, line.values["name"] or line.uid) for line in tables["chest"].lines)],
        "device": [("", _("not seen")), *((one.code, str(one)) for one in rows.devices)],
    }
    return tables


def build_scheme(
    specification: Specification, tables: Tables, data: QueryDict | None, rows: SchemeRows | None = None
) -> Built:
    """Rows of a scheme from its tables; to be saved they are read anew."""
    rows = rows or SchemeRows.of(specification)
    saved: dict[str, list[Any]] = {"rank": rows.ranks, "chest": rows.chests, "segment": rows.segments}
    if data is not None:
        there = {name: {uid_of(row): row for row in rows} for name, rows in saved.items()}
        settle_choices(tables.values(), there, data)
    builder = Builder("specification", specification)
    ranks = builder.take(tables["rank"], saved["rank"], {})
    chests = builder.take(tables["chest"], saved["chest"], {})
    lookups = {
        "stop": {stop.code: stop for stop in rows.stops},
        "rank": ranks,
        "chest": chests,
        "device": {device.code: device for device in rows.devices},
    }
    builder.take(tables["segment"], saved["segment"], lookups, _check_segment, lambda _line: Segment())
    # Segments go before the ranks they ask, so that nothing asks a rank that is gone.
    builder.built.remove.sort(key=lambda row: not isinstance(row, Segment))
    return builder.built


def _check_segment(row: Any, _line: Line) -> None:
    if row.pipes == []:
        row.pipes = None
    ways = [way for way in (row.interval, row.shift, row.pipes) if way is not None]
    if len(ways) != 1:
        raise BadCell(
            _(
                "Say in one way which pipes are asked: semitones up (0 for the same note), "
                "or pipe = key +, or pipe by pipe."
            )
        )
    if row.first_key is None or row.last_key is None or not 1 <= row.first_key <= row.last_key:
        raise BadCell(_("Write the first and the last key, the lower first."))


def drafted_scheme(specification: Specification, built: Built) -> Scheme:
    """The scheme as it would be, from the lines that can be read."""

    def rows(model: type) -> list[Any]:
        return [row for row in built.put if isinstance(row, model)]

    return scheme_with(scheme_of(specification), rows(Rank), rows(Segment), rows(Chest))
