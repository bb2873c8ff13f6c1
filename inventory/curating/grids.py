"""Rows typed in a table: read from a form, moved, doubled, divided. Nothing is saved here."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.http import QueryDict
from django.utils.translation import gettext as _

from .cells import Choices, Column, write_cell
from .parts.values import Words

MOST_LINES = 1500
LONGEST_TITLE = 60


@dataclass(frozen=True)
class Sheet:
    """What a table holds: rows of one model."""

    name: str
    model: type[models.Model]
    title: Words
    one: Words
    columns: tuple[Column, ...]
    can_divide: bool = False

    def column(self, name: str) -> Column:
        return next(column for column in self.columns if column.name == name)

    def empty_values(self) -> dict[str, str]:
        """What a new line holds: nothing, but in boxes to choose from what the record would begin with."""
        known = {field.name: field for field in self.model._meta.fields}
        return {
            column.name: str(known[column.name].get_default() or "")
            if column.kind == "choice" and column.name in known
            else ""
            for column in self.columns
        }


@dataclass
class Line:
    """One line of a table, as text."""

    uid: str
    """The row's code, or ``new-3`` while it has none."""
    values: dict[str, str]
    asked: str = ""
    """What is asked about it."""
    taken: bool = True
    faults: dict[str, str] = field(default_factory=dict)

    @property
    def is_new(self) -> bool:
        return self.uid.startswith("new-")


@dataclass
class Table:
    """The lines of a sheet in their order."""

    sheet: Sheet
    lines: list[Line] = field(default_factory=list)
    known: list[str] = field(default_factory=list)
    """Codes of the rows the form was filled from: what is gone from the lines is to be taken away."""
    choices: Mapping[str, Choices] = field(default_factory=dict)
    asks: bool = False
    """Whether each line can be left out."""
    fresh: str = ""
    """The line that a step has just made: the next keystroke goes there."""

    @classmethod
    def of_rows(cls, sheet: Sheet, rows: Iterable[models.Model]) -> Table:
        """The table of rows as they are saved."""
        table = cls(sheet)
        for row in rows:
            values = {column.name: write_cell(column, getattr(row, column.name)) for column in sheet.columns}
            table.lines.append(Line(uid_of(row), values))
        table.known = [line.uid for line in table.lines]
        return table

    @classmethod
    def of_post(cls, sheet: Sheet, data: QueryDict) -> Table:
        """The table as somebody typed it."""
        table = cls(sheet, known=data.getlist(f"{sheet.name}.known")[:MOST_LINES])
        table.asks = f"{sheet.name}.asks" in data
        for uid in data.getlist(f"{sheet.name}.lines")[:MOST_LINES]:
            at = f"{sheet.name}.{uid}."
            values = {column.name: data.get(at + column.name, "").strip() for column in sheet.columns}
            taken = not table.asks or at + "taken" in data
            table.lines.append(Line(uid, values, data.get(at + "asked", ""), taken))
        return table

    def find(self, uid: str) -> Line | None:
        return next((line for line in self.lines if line.uid == uid), None)

    def add(self, after: Line | None = None, **values: str) -> Line:
        """A new line, at the end or after another."""
        numbers = [
            int(line.uid[4:])
            for line in self.lines
            if line.is_new and line.uid[4:].isdigit() and len(line.uid) < 12
        ]
        line = Line(f"new-{max(numbers, default=0) + 1}", self.sheet.empty_values())
        line.values.update(values)
        place = self.lines.index(after) + 1 if after in self.lines else len(self.lines)
        self.lines.insert(place, line)
        return line

    def step(self, what: str, uid: str) -> str:
        """Move, double, divide or take away one line; answers what was done, for the reader."""
        if what == "add":
            last = self.lines[-1].values if self.lines else {}
            kept = {c.name: last.get(c.name, "") for c in self.sheet.columns if c.kind == "row"}
            self.fresh = self.add(**kept).uid
            return _("A line was added at the end.")
        line = self.find(uid)
        if line is None:
            return _("This line is no longer there.")
        place = self.lines.index(line)
        if what in ("up", "down"):
            other = place + (-1 if what == "up" else 1)
            if 0 <= other < len(self.lines):
                self.lines[place], self.lines[other] = self.lines[other], line
            return _("Moved to place %(place)d.") % {"place": self.lines.index(line) + 1}
        if what == "duplicate":
            self.fresh = self.add(line, **line.values).uid
            return _("A copy stands after it.")
        if what == "divide" and self.sheet.can_divide:
            self.fresh = self.add(line, **{**line.values, "half": "treble"}).uid
            line.values["half"] = "bass"
            return _("Divided: bass and treble. Write the keys where they part.")
        if what == "remove":
            self.lines.remove(line)
            return _("Taken out of the table. It is gone from the record once you save.")
        return ""

    def shown(self) -> dict[str, Any]:
        """What the template asks for."""
        return {
            "sheet": self.sheet,
            "known": self.known,
            "asks": self.asks,
            "lines": [self._shown_line(line, place) for place, line in enumerate(self.lines, start=1)],
        }

    def _shown_line(self, line: Line, place: int) -> dict[str, Any]:
        at = f"{self.sheet.name}.{line.uid}"
        cells: list[dict[str, Any]] = []
        for column in self.sheet.columns:
            choices = list(self.choices.get(column.name, column.choices))
            value = line.values.get(column.name, "")
            if choices and value not in {code for code, _label in choices}:
                choices.insert(0, (value, value or "–"))
            cells.append(
                {
                    "column": column,
                    "name": f"{at}.{column.name}",
                    "value": value,
                    "choices": choices,
                    "is_choice": column.kind in ("choice", "row", "yes"),
                    "fault": line.faults.get(column.name, ""),
                    "is_fresh": line.uid == self.fresh and not cells,
                }
            )
        title = next(
            (value for name, value in line.values.items() if name in ("label", "name") and value), ""
        )
        title = title if len(title) <= LONGEST_TITLE else f"{title[:LONGEST_TITLE]}…"
        return {
            "uid": line.uid, "at": at, "place": place, "cells": cells, "asked": line.asked, "taken": line.taken,
            "title": title or f"{self.sheet.one} {place}", "fault": line.faults.get("", ""),
            "near": [cell for cell in cells if not cell["column"].is_further],
            "further": [cell for cell in cells if cell["column"].is_further],
            "is_open": any(c["column"].is_further and (c["value"] or c["fault"]) for c in cells),
        }  # fmt: skip


def uid_of(row: models.Model) -> str:
    """What a line is known by: the codes of its row below the specification."""
    path = str(row.path_in_root()).partition(":")[2]  # type: ignore[attr-defined]
    return path.partition("/")[2] or path
