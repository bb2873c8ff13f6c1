"""The tables of one stoplist: filled from its rows or from what was read of a text, and built into rows."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.db import models
from django.http import QueryDict
from django.utils.translation import gettext as _

from inventory.models import Control, ControlPosition, Division, Specification, Term
from inventory.organ.errors import OrganError
from inventory.organ.footages import read_footage, write_footage
from inventory.organ.notes import note_name
from inventory.organ.stoplists import Stoplist
from inventory.saying_anew import in_words

from .cells import write_composition
from .control_lines import build_controls, controls_of
from .grid_saving import Builder, Built, settle_choices
from .grids import Line, Table
from .parts.stoplist_sheets import STOPLIST_SHEETS

Tables = dict[str, Table]


def saved_rows(specification: Specification, model: type[models.Model]) -> list[Any]:
    """Rows of one kind in their order."""
    if specification.pk is None:
        return []
    found = model._default_manager.filter(specification=specification).select_related(
        "specification__instrument", *_related(model)
    )
    return list(found.order_by("order", "code"))


def _related(model: type[models.Model]) -> list[str]:
    wanted = ("keyboard", "division", "from_keyboard", "to_keyboard", "family", "layer")
    return [field.name for field in model._meta.fields if field.name in wanted]


def tables_of(specification: Specification) -> Tables:
    """The tables of a saved stoplist."""
    found = {s.name: Table.of_rows(s, _rows_of(specification, s.model)) for s in STOPLIST_SHEETS}
    return with_choices(found, specification)


def _rows_of(specification: Specification, model: type[models.Model]) -> list[Any]:
    return controls_of(specification) if model is Control else saved_rows(specification, model)


def tables_of_post(data: QueryDict, specification: Specification) -> Tables:
    """The tables as typed."""
    return with_choices({s.name: Table.of_post(s, data) for s in STOPLIST_SHEETS}, specification)


def with_choices(tables: Tables, specification: Specification) -> Tables:
    """Keyboards that stops and couplers may name, those not yet saved among them; families and layers."""
    choices = [(line.uid, line.values["name"] or line.uid) for line in tables["keyboard"].lines]
    empty = ("", "–")
    tables["stop"].choices = {
        "keyboard": choices,
        "family": [empty, *((one.code, str(one)) for one in families())],
        "layer": [empty, *((one.code, one.name) for one in specification.instrument.layers.all())],
    }
    tables["coupler"].choices = {"from_keyboard": choices, "to_keyboard": choices}
    return tables


def build_stoplist(specification: Specification, tables: Tables, data: QueryDict) -> Built:
    """Rows of a stoplist from its tables; divisions go with their keyboards."""
    saved = {sheet.name: _rows_of(specification, sheet.model) for sheet in STOPLIST_SHEETS}
    settle_choices(tables.values(), {n: {row.code: row for row in rows} for n, rows in saved.items()}, data)
    builder = Builder("specification", specification)
    keyboards = builder.take(tables["keyboard"], saved["keyboard"], {})
    divisions = _divisions(builder, specification, saved["stop"], tables)

    def finish_stop(row: Any, line: Line) -> None:
        row.name = line.values["name"] or line.values["label"]
        if row.footage:
            try:
                row.footage = write_footage(read_footage(row.footage))
            except OrganError as error:
                line.faults["footage"] = in_words(error.message)
        if row.pk is None:
            row.division = divisions.get(line.values["keyboard"])

    lookups: dict[str, Any] = {
        "keyboard": keyboards,
        "family": {one.code: one for one in families()},
        "layer": {one.code: one for one in specification.instrument.layers.all()},
    }
    stops = builder.take(tables["stop"], saved["stop"], lookups, finish_stop)
    build_controls(builder, tables["control"], saved["control"], stops.values())
    among = {"from_keyboard": keyboards, "to_keyboard": keyboards}
    builder.take(tables["coupler"], saved["coupler"], among)
    builder.take(tables["accessory"], saved["accessory"], {})
    # Controls are built before the stops are saved, but hold them: positions go last.
    builder.built.put.sort(key=lambda row: isinstance(row, ControlPosition))
    return builder.built


def families() -> list[Term]:
    """The families a stop can be of."""
    return list(Term.objects.of("family").filter(retired=False))


def _divisions(
    builder: Builder, specification: Specification, stops: Iterable[Any], tables: Tables
) -> dict[str, Division]:
    """The division that new stops of each keyboard stand in; new ones only for a stoplist that is new."""
    found = {stop.keyboard.code: stop.division for stop in stops if stop.division is not None}
    if specification.pk is None:
        for place, line in enumerate(tables["keyboard"].lines, start=1):
            row = builder.rows["keyboard"].get(line.uid)
            if row is not None and line.values["name"]:
                division = Division(
                    specification=specification,
                    code=row.code,
                    name=line.values["name"],
                    order=place,
                    keyboard=row,
                )
                builder.built.put.append(division)
                found[line.uid] = division
    return found


def tables_of_reading(read: Stoplist, specification: Specification) -> Tables:
    """What was understood of a text; lines of which something is asked are not taken unless chosen."""
    tables = {sheet.name: Table(sheet, asks=True) for sheet in STOPLIST_SHEETS}
    asked: dict[int, list[str]] = {}
    for question in read.questions:
        asked.setdefault(question.line, []).append(in_words(question.why))
    manuals = 0
    named: dict[str, str] = {}
    for division in read.divisions:
        manuals += division.kind != "pedal"
        name = division.name or (_("Pedal") if division.kind == "pedal" else _("Manual"))
        compass = division.compass
        board = tables["keyboard"].add(
            name=name,
            kind="pedal" if division.kind == "pedal" else "manual",
            keys=str(compass.keys or "") if compass else "",
            low_note=note_name(compass.notes[0]) if compass and compass.notes else "C",
            notes=" ".join(map(note_name, compass.notes)) if compass and has_gaps(compass.notes) else "",
            compass_as_written=compass.text[:80] if compass else "",
        )
        board.asked = "" if compass and compass.keys else _("How many keys has it?")
        named[name.casefold()] = board.uid
        named[("P" if division.kind == "pedal" else ROMAN[min(manuals, len(ROMAN)) - 1]).casefold()] = (
            board.uid
        )
        for stop in division.stops:
            label = " ".join(stop.text.split()) or stop.name or ""
            keys = compass.notes if compass else ()
            line = tables["stop"].add(
                keyboard=board.uid,
                label=label[:120],
                name=(stop.name or label)[:120],
                footage=stop.footage or "",
                half=stop.half if stop.half in ("bass", "treble") else "",
                first_key=str(keys.index(stop.from_note) + 1) if stop.from_note in keys else "",
                last_key=str(keys.index(stop.to_note) + 1) if stop.to_note in keys else "",
                composition=write_composition(
                    [{"from_note": one.from_note, "footages": one.footages} for one in stop.composition]
                ),
                state=stop.state if stop.state in ("present", "prepared", "missing") else "present",
                note="; ".join(_remarks(stop)),
            )
            if stop.line in asked:
                line.asked, line.taken = " · ".join(asked[stop.line]), False
    for coupler in read.couplers:
        ends = [named.get((end or "").casefold(), "") for end in (coupler.origin, coupler.target)]
        line = tables["coupler"].add(
            label=" ".join(coupler.text.split())[:120], from_keyboard=ends[0], to_keyboard=ends[1],
            shift=str(coupler.shift),
        )  # fmt: skip
        if not all(ends):
            line.asked, line.taken = _("Which keyboards does it join?"), False
    for accessory in read.accessories:
        tables["accessory"].add(label=" ".join(accessory.text.split())[:120])
    return with_choices(tables, specification)


def has_gaps(notes: tuple[int, ...]) -> bool:
    """Whether notes are anything but consecutive semitones."""
    return any(b - a != 1 for a, b in zip(notes, notes[1:], strict=False))


ROMAN = ("I", "II", "III", "IV", "V", "VI", "VII")


def _remarks(stop: Any) -> list[str]:
    """What has no column of its own is kept as a note."""
    found = []
    if stop.ranks:
        found.append(_("%(ranks)s ranks") % {"ranks": stop.ranks})
    if stop.borrowed_from:
        found.append(_("borrowed from %(where)s") % {"where": stop.borrowed_from})
    if stop.half == "both":
        found.append(_("drawn in two halves"))
    if stop.state in ("earlier", "derived"):
        found.append(stop.state)
    if stop.notes:
        found.append(stop.notes)
    return found
