"""One cell of a table: what may stand in it, how a value is typed, and what was typed as a value."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _

from inventory.organ.errors import OrganError
from inventory.organ.footages import read_footage, write_footage
from inventory.organ.note_names import read_note
from inventory.organ.notes import note_name

from .parts.values import Words

NOTES = {note_name(note): note for note in range(128)}
Choices = Sequence[tuple[str, Any]]


class BadCell(ValueError):
    """A cell holds what cannot be read; the message says what to write."""


@dataclass(frozen=True)
class Column:
    """One column of a table: a field of the rows, as it is typed."""

    name: str
    label: Words
    kind: str = "text"
    """``text``, ``number``, ``fraction`` (of 1, typed in percent), ``note``, ``choice``, ``yes`` (a choice
    of two), ``row`` (another row), ``notes`` or ``numbers`` (lists), ``composition`` (of a mixture)."""
    size: int = 8
    choices: Choices = ()
    is_further: bool = False
    """Folded away until it is wanted, for a line that would be too long otherwise."""
    hint: Words = ""


def write_cell(column: Column, value: Any) -> str:
    """A value as it is typed."""
    if value is None:
        return ""
    if column.kind == "row":
        if isinstance(value, list | tuple):  # a natural key, as the history keeps it
            return str(value[-1]) if value else ""
        return str(getattr(value, "code", value))
    if column.kind == "note":
        return note_name(int(value))
    if column.kind == "notes":
        return " ".join(note_name(note) for note in value)
    if column.kind == "numbers":
        return " ".join(str(number) for number in value)
    if column.kind == "fraction":
        return f"{float(value) * 100:.4g}"
    if column.kind == "composition":
        return write_composition(value)
    if column.kind == "yes":
        return "yes" if value else ""
    return str(value)


def read_cell(column: Column, text: str) -> Any:
    """What was typed, as a value."""
    if column.kind == "number":
        return read_whole(text)
    if column.kind == "fraction":
        try:
            percent = float(text.replace(",", "."))
        except ValueError:
            percent = -1.0
        if not 0 <= percent <= 100:
            raise BadCell(_("%(text)s: write a number from 0 to 100.") % {"text": text[:40] or "–"})
        return round(percent / 100, 6)
    if column.kind == "note":
        return read_note_cell(text)
    if column.kind == "composition":
        return read_composition_cell(text)
    if column.kind == "yes":
        return text == "yes"
    if column.kind == "numbers":
        return [read_whole(one) for one in text.replace(",", " ").split()]
    if column.kind == "notes":
        return [read_note_cell(one) for one in text.replace(",", " ").split()] or None
    return text


def write_composition(rows: Any) -> str:
    """A mixture as it is typed: ``C: 2, 1 1/3, 1; c: 4, 2 2/3, 2``."""
    return "; ".join(
        (f"{note_name(row['from_note'])}: " if row.get("from_note") is not None else "")
        + ", ".join(row.get("footages", ()))
        for row in rows or ()
    )


def read_composition_cell(text: str) -> list[dict[str, Any]] | None:
    """The breaks of a mixture, each with its note and its footages; nothing for nothing."""
    rows = []
    for piece in filter(None, (one.strip() for one in text.split(";"))):
        note, colon, footages = piece.rpartition(":")
        try:
            read = [write_footage(read_footage(one.strip())) for one in footages.split(",") if one.strip()]
        except OrganError as error:
            raise BadCell(
                _("%(text)s cannot be read (%(why)s); write as in C: 2, 1 1/3, 1; c: 4, 2 2/3, 2.")
                % {"text": piece[:60], "why": error}
            ) from None
        rows.append({"from_note": read_note_cell(note.strip()) if colon else None, "footages": read})
    return rows or None


def read_whole(text: str) -> int | None:
    """A whole number, or None for nothing."""
    if not text:
        return None
    plain = text.replace("−", "-").replace("+", "")
    if not plain.lstrip("-").isdecimal() or len(plain) > 5:
        raise BadCell(_("%(text)s is no whole number.") % {"text": text[:40]})
    return int(plain)


def read_note_cell(text: str) -> int | None:
    """A note by its name (C, c, c¹, C₁) or its MIDI number."""
    if not text:
        return None
    if text.isdecimal() and len(text) <= 3:
        return int(text)
    if text in NOTES:
        return NOTES[text]
    try:
        found = read_note(text).note
    except OrganError:
        found = None
    if found is None:
        raise BadCell(
            _("%(text)s is no note: write C for the lowest key of an 8′ stop, c, c¹, or C₁ for 16′ C.")
            % {"text": text[:40]}
        )
    return found
