"""From tables to rows of the record: built, checked, saved in one action; both texts kept where two people met."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.http import QueryDict
from django.utils.translation import gettext as _

from inventory.actions import Clash, StaleRecord, change_record
from inventory.models import Root, User
from inventory.models.searching import plain_words

from .cells import BadCell, Column, read_cell, write_cell
from .grids import Line, Table, uid_of

TRIES = 3
KEEP = "keep|"
Rows = dict[str, models.Model]


@dataclass(frozen=True)
class Told:
    """One cell of a table that tells of several rows at once, and how it would be written now."""

    table: Table
    line: Line
    column: str
    now: Callable[[], str]


@dataclass
class Built:
    """Rows made from tables, ready for an action."""

    put: list[models.Model] = field(default_factory=list)
    remove: list[Any] = field(default_factory=list)
    places: dict[str, tuple[Table, Line]] = field(default_factory=dict)
    """Table and line by the path of their row."""
    saved: set[str] = field(default_factory=set)
    """Paths of rows that are in the database."""
    links: list[Any] = field(default_factory=list)
    """Rows that hold many others: as the action takes them."""
    told: dict[str, Told] = field(default_factory=dict)
    """Cells that tell of rows of their own, by the beginning of the paths of these rows."""
    is_faulty: bool = False


@dataclass(frozen=True)
class Contested:
    """One cell that two people changed: both texts, and the field that says which to keep."""

    name: str
    label: str
    was: str
    mine: str
    theirs: str


@dataclass
class Result:
    """What became of the tables."""

    root: Root | None = None
    contested: list[Contested] = field(default_factory=list)
    who: str = ""
    version: int = 0
    message: str = ""


Build = Callable[[], Built]


def save_tables(
    root: Root, build: Build, *, version: int, by: User, why: str, also: Iterable[Any] = ()
) -> Result:
    """Save everything in one change. Cells the other person alone changed take the other's text."""
    who = ""
    for _attempt in range(TRIES):
        built = build()
        if built.is_faulty:
            return Result(version=version, message=_("Not saved yet: look at the marked lines."))
        try:
            saved = change_record(
                root,
                version=version,
                by=by,
                why=why,
                put=[*also, *built.put],
                remove=built.remove,
                links=built.links,
            )
        except StaleRecord as stale:
            contested = _settle(stale, built)
            who, version = stale.who, stale.found
            if contested:
                return Result(contested=contested, who=who, version=version)
            continue
        except ValidationError as refused:
            return Result(version=version, message=_tell(refused, built))
        return Result(root=saved, who=who, version=saved.version)
    return Result(version=version, message=_("The record changes too quickly; try again in a moment."))


def _settle(stale: StaleRecord, built: Built) -> list[Contested]:
    """Take over what only the other changed; answer what both did."""
    contested = []
    for clash in stale.clashes:
        path, _mark, name = clash.path.rpartition("#")
        if path not in built.places or path not in built.saved:
            continue  # the whole row is mine or theirs: both stay
        table, line = built.places[path]
        column = next((column for column in table.sheet.columns if column.name == name), None)
        if column is None:
            continue
        if clash.is_contested:
            contested.append(_contested(table, line, column, clash))
        elif clash.mine == clash.was != clash.theirs:
            line.values[name] = write_cell(column, clash.theirs)
    return contested + _settle_told(stale, built)


def _settle_told(stale: StaleRecord, built: Built) -> list[Contested]:
    """The same for cells that tell of rows of their own."""
    contested = []
    for beginning, told in built.told.items():
        clashes = [clash for clash in stale.clashes if clash.path.startswith(beginning)]
        theirs = any(clash.theirs != clash.was for clash in clashes)
        mine = any(clash.mine != clash.was for clash in clashes)
        now = told.now()
        if not theirs or now == told.line.values.get(told.column, ""):
            continue
        if not mine:
            told.line.values[told.column] = now
            continue
        column = told.table.sheet.column(told.column)
        clash = Clash(beginning, _("(see the history)"), told.line.values[told.column], now)
        contested.append(_contested(told.table, told.line, column, clash))
    return contested


def _contested(table: Table, line: Line, column: Column, clash: Clash) -> Contested:
    def words(value: Any) -> str:
        return write_cell(column, value) or _("(empty)")

    title = line.values.get("label") or line.values.get("name") or line.uid
    return Contested(
        f"{KEEP}{table.sheet.name}|{line.uid}|{column.name}",
        f"{title}: {column.label}",
        words(clash.was),
        words(clash.mine),
        words(clash.theirs),
    )


def settle_choices(tables: Iterable[Table], rows: Mapping[str, Rows], data: QueryDict) -> None:
    """Where the person chose the other's text, it takes the place of their own."""
    for key in data:
        if not key.startswith(KEEP) or data[key] != "theirs":
            continue
        sheet, uid, name = [*key.removeprefix(KEEP).split("|"), "", ""][:3]
        table = next((table for table in tables if table.sheet.name == sheet), None)
        line = table.find(uid) if table else None
        row = rows.get(sheet, {}).get(uid)
        if table is not None and line is not None and row is not None and hasattr(row, name):
            line.values[name] = write_cell(table.sheet.column(name), getattr(row, name))


def _tell(refused: ValidationError, built: Built) -> str:
    """Beside the line the refusal speaks of; answers what is said at the top."""
    row = getattr(refused, "row", None)
    path = row.path_in_root() if row is not None else ""
    if path in built.places:
        line = built.places[path][1]
        known = set(line.values)
        for name, messages in getattr(refused, "message_dict", {"": refused.messages}).items():
            line.faults[name if name in known else ""] = " ".join(messages)
        title = line.values.get("label") or line.values.get("name") or line.uid
        return _("Not saved yet: look at the line “%(line)s”. %(why)s") % {
            "line": title[:60],
            "why": " ".join(refused.messages[:3]),
        }
    return _("Not saved yet: %(why)s") % {"why": " ".join(refused.messages[:3])}


class Builder:
    """Makes rows of the lines of several tables of one specification or photograph."""

    def __init__(self, parent_field: str, parent: models.Model) -> None:
        self.parent_field, self.parent = parent_field, parent
        self.built = Built()
        self.rows: dict[str, Rows] = {}

    def take(
        self,
        table: Table,
        saved: Iterable[models.Model],
        lookups: Mapping[str, Mapping[str, models.Model]],
        fill: Callable[[models.Model, Line], None] | None = None,
        prepare: Callable[[Line], models.Model] | None = None,
    ) -> Rows:
        """Build the rows of one table; `lookups` hold the rows that its `row` columns may name."""
        there = {uid_of(row): row for row in saved}
        codes = {row.code for row in there.values()}  # type: ignore[attr-defined]
        kept: Rows = {}
        for place, line in enumerate(table.lines, start=1):
            if table.asks and not line.taken:
                continue
            row = there.get(line.uid)
            is_saved = row is not None
            if row is None:
                row = prepare(line) if prepare else table.sheet.model(**{self.parent_field: self.parent})
                row.code = self._code(table, line, codes)  # type: ignore[attr-defined]
                codes.add(row.code)  # type: ignore[attr-defined]
            if hasattr(row, "order"):
                row.order = place
            self._fill(table, line, row, lookups)
            if fill is not None and not line.faults:
                try:
                    fill(row, line)
                except BadCell as bad:
                    line.faults.setdefault("", str(bad))
            if line.faults:
                self.built.is_faulty = True
                continue
            kept[line.uid] = row
            path = row.path_in_root()  # type: ignore[attr-defined]
            self.built.places[path] = (table, line)
            if is_saved:
                self.built.saved.add(path)
            self.built.put.append(row)
        self.built.remove += [row for uid, row in there.items() if uid in table.known and not table.find(uid)]
        self.rows[table.sheet.name] = kept
        return kept

    def _fill(
        self, table: Table, line: Line, row: models.Model, lookups: Mapping[str, Mapping[str, models.Model]]
    ) -> None:
        line.faults = {}
        for column in table.sheet.columns:
            text = line.values.get(column.name, "")
            if column.name not in {f.name for f in row._meta.fields}:
                continue
            try:
                if column.kind == "row":
                    other = lookups.get(column.name, {}).get(text) if text else None
                    if other is None and (text or not row._meta.get_field(column.name).null):
                        raise BadCell(_("Choose one from the list."))
                    setattr(row, column.name, other)
                else:
                    value = read_cell(column, text)
                    if value is None and not row._meta.get_field(column.name).null:
                        raise BadCell(_("Write a number."))
                    setattr(row, column.name, value)
            except BadCell as bad:
                line.faults[column.name] = str(bad)

    def _code(self, table: Table, line: Line, taken: set[str]) -> str:
        if not line.is_new and re.fullmatch(r"[A-Za-z0-9._-]{1,64}", line.uid) and line.uid not in taken:
            return line.uid  # somebody took the row away meanwhile: it keeps its code
        words = " ".join(line.values.get(name, "") for name in ("label", "name", "footage", "first_key"))
        stem = re.sub(r"[^a-z0-9]+", "-", plain_words(words)).strip("-")[:40].strip("-") or table.sheet.name
        code, number = stem, 2
        while code in taken:
            code, number = f"{stem}-{number}", number + 1
        return code
