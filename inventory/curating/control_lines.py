"""Controls in the table of a stoplist: each position written as the stops it draws.

``Flute 8 | Flute 8 + Flute 4``: at the first position the one stop, at the second both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from django.utils.translation import gettext as _

from inventory.models import Control, ControlPosition, Specification, Stop

from .cells import BadCell
from .grid_saving import Builder, Told
from .grids import Line, Table
from .stop_names import StopNames

POSITION, STOP = "|", "+"


def controls_of(specification: Specification) -> list[Control]:
    """The controls of a stoplist, each with its positions in words (`draws`)."""
    if specification.pk is None:
        return []
    names = StopNames(Stop.objects.filter(specification=specification))
    found = (
        Control.objects.filter(specification=specification)
        .select_related("specification__instrument")
        .prefetch_related("positions__stops")
    )
    controls = list(found.order_by("order", "code"))
    for control in controls:
        control.draws = _write(control.positions.all(), names)  # type: ignore[attr-defined]
    return controls


def _write(positions: Iterable[ControlPosition], names: StopNames) -> str:
    ordered = sorted(positions, key=lambda position: (position.number, position.code))
    drawn = [f" {STOP} ".join(names.write(stop) for stop in position.stops.all()) for position in ordered]
    return f" {POSITION} ".join(drawn)


def build_controls(builder: Builder, table: Table, saved: Sequence[Control], stops: Iterable[Any]) -> None:
    """Controls and their positions from the table; what is gone from a line is taken away."""
    names = StopNames(stops)
    links: list[tuple[Control, Line, list[list[Any]]]] = []

    def finish(row: Any, line: Line) -> None:
        try:
            links.append((row, line, _read(line.values["draws"], names)))
        except BadCell as bad:
            line.faults["draws"] = str(bad)

    builder.take(table, saved, {}, finish)
    for control, line, positions in links:
        if not line.faults:
            _put_positions(builder, table, control, line, positions)


def _read(text: str, names: StopNames) -> list[list[Any]]:
    if not text.strip():
        return []
    positions = []
    for one in text.split(POSITION):
        drawn = [names.read(name.strip()) for name in one.split(STOP) if name.strip()]
        positions.append(list({stop.code: stop for stop in drawn}.values()))
    return positions


def _put_positions(
    builder: Builder, table: Table, control: Control, line: Line, positions: list[list[Any]]
) -> None:
    built, there = builder.built, []
    if control.pk is not None:
        there = sorted(control.positions.all(), key=lambda position: (position.number, position.code))
        path = f"controlposition:{control.path_in_root().partition(':')[2]}/"
        built.told[path] = Told(table, line, "draws", lambda: _now(control))
    taken = {position.code for position in there}
    for number, stops in enumerate(positions, start=1):
        if number <= len(there):
            position = there[number - 1]
        else:
            code = next(c for c in (f"p{n}" for n in range(number, 1000)) if c not in taken)
            taken.add(code)
            position = ControlPosition(control=control, code=code)
        position.number = number
        built.put.append(position)
        built.links.append((position, "stops", stops))
    built.remove += there[len(positions) :]


def _now(control: Control) -> str:
    """The positions of a control as they are in the record by now."""
    found = next((one for one in controls_of(control.specification) if one.pk == control.pk), None)
    return found.draws if found is not None else _("(empty)")  # type: ignore[attr-defined]
