"""Rows pasted from a spreadsheet, when a header says what the columns are.

Without a header a tab is a space: the grammar finds the same things in the same order.
"""

from __future__ import annotations

from inventory.organ.sentences import say
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.items import read_item
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.pitches import read_pitch, read_ranks
from inventory.organ.stoplists.qualifiers import read_qualifiers
from inventory.organ.stoplists.stop_names import read_name


def column_roles(line: Line) -> dict[int, str] | None:
    """Role of each column when a row is a header (two known headings or more), else None.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> column_roles(cut_line("Nr.\\tRegister\\tFuß"))
    {0: 'number', 1: 'name', 2: 'footage'}
    """
    roles: dict[int, str] = {}
    cells = _cells(line)
    for column, (first, after) in enumerate(cells):
        found = line.find(first, "column") if after > first else None
        if found is not None and found[1] == after and found[0] not in roles.values():
            roles[column] = found[0]
    return roles if len(roles) >= 2 and "name" in roles.values() else None


def _cells(line: Line) -> list[tuple[int, int]]:
    """(first token, index after) of each tab-separated cell, empty ones included."""
    cells, first = [], 0
    place = 0
    for cell in line.text.split("\t"):
        end = place + len(cell)
        after = first
        while after < len(line.tokens) and line.tokens[after].start < end:
            after += 1
        cells.append((first, after))
        first, place = after, end + 1
    return cells


def read_row(line: Line, roles: dict[int, str]) -> list[StopDraft]:
    """The stops one row means, each cell read in the role of its column.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> (draft,) = read_row(cut_line("1\\tGedackt\\t8"), {0: "number", 1: "name", 2: "footage"})
    >>> draft.number, draft.name, draft.has_pitch
    ('1', 'Gedackt', True)
    """
    cells = _cells(line)
    placed = {roles[column]: cell for column, cell in enumerate(cells) if column in roles}
    draft = StopDraft()
    drafts = [draft]
    first, after = placed.get("name", (0, 0))
    if after > first:
        drafts = read_item(line, first, after) if not line.finds(first, "ditto") else drafts
        draft = drafts[-1]
        if draft.name is None:
            read_name(line, first, after, draft)
    for role, (first, after) in placed.items():
        if after > first and role != "name":
            _read_cell(line, first, after, draft, role)
    for column, (first, after) in enumerate(cells):
        if column not in roles and after > first:
            read_qualifiers(line, first, after, draft, inside=True)
    draft.add_reason(say("columns by the header of the table"))
    return drafts


def _read_cell(line: Line, first: int, after: int, draft: StopDraft, role: str) -> None:
    """One cell in the role of its column."""
    shown = line.slice(first, after)
    number = line.tokens[first].integer if after == first + 1 else None
    if role == "number":
        draft.number = shown.rstrip(".")
    elif role == "footage":
        if draft.has_pitch and "pitch assumed" in " ".join(draft.reasons):
            draft.footages.clear()
            draft.reasons = [reason for reason in draft.reasons if "pitch assumed" not in reason]
        productions = (read_ranks, read_pitch) if draft.compound else (read_pitch, read_ranks)
        if all(production(line, first, after, draft, inside=False) is None for production in productions):
            line.ask(first, after, say("not a footage"))
    elif role == "division":
        kind = line.find(first, "division")
        draft.division, draft.division_kind = shown.rstrip("."), kind[0] if kind else "unknown"
    elif role in ("pipes", "ranks") and number is not None:
        setattr(draft, role, number)
    elif role == "keys" and number is not None:
        draft.add_note(f"{number} keys")
    else:
        read_qualifiers(line, first, after, draft, inside=True)
