"""The danger list as one person may read it: rows of records they may know, each by its own audience."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TypeVar

from inventory.danger_list import DangerList, make_danger_list
from inventory.models import Danger, Decision, Instrument, Judgement, User
from inventory.readers import reader_of
from inventory.visibility import includes, readable

Row = TypeVar("Row", Judgement, Danger, Decision)


@dataclass(frozen=True)
class ReadList:
    """The list, and what pages print beside it."""

    found: DangerList
    instruments: Mapping[str, Instrument] = field(default_factory=dict)
    """By reference."""
    judgements: Mapping[str, tuple[Judgement, ...]] = field(default_factory=dict)
    dangers: Mapping[str, tuple[Danger, ...]] = field(default_factory=dict)
    """Open ones and those that ended."""
    decisions: Mapping[str, tuple[Decision, ...]] = field(default_factory=dict)
    """The last one first."""

    @property
    def ended(self) -> list[Danger]:
        """What left the list, and why."""
        return [
            row for _reference, rows in sorted(self.dangers.items()) for row in rows if row.ended != "open"
        ]


def read_danger_list(user: User, *, today: date) -> ReadList:
    """Everything this person may read of the list: what they may not read counts for nothing in their bands."""
    reader = reader_of(user)

    def readable_rows(model: type[Row], *related: str) -> list[Row]:
        rows = model.objects.filter(readable(user, "instrument", "instrument__")).select_related(
            "instrument", "instrument__place", *related
        )
        return [
            row
            for row in rows.order_by("instrument__reference", "code")
            if includes(reader.audience_for("instrument", row.instrument.reference), row.audience)
        ]

    judgements = readable_rows(Judgement, "criterion")
    dangers = readable_rows(Danger, "kind")
    decisions = readable_rows(Decision)
    decisions.sort(key=lambda row: (row.when_sort or 0, row.code), reverse=True)
    found = make_danger_list(judgements, dangers, decisions, today=today)
    everyone = [*judgements, *dangers, *decisions]
    return ReadList(
        found,
        {row.instrument.reference: row.instrument for row in everyone},
        _by_instrument(judgements),
        _by_instrument(dangers),
        _by_instrument(decisions),
    )


def _by_instrument(rows: Iterable[Row]) -> dict[str, tuple[Row, ...]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row.instrument.reference, []).append(row)
    return {reference: tuple(listed) for reference, listed in found.items()}
