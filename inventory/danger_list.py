"""The danger list: every instrument with a judgement or an open danger, in three judgements beside one another.

The tool advises; the body decides. Nothing here adds one judgement to another, and what is not known enough
to be ranked is set apart in each.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import lru_cache
from typing import TypeVar

from inventory.estimates.danger import Change, Judged, Reason, judge, reasons, smallest_change
from inventory.estimates.smaa_samples import Criterion as Weighed
from inventory.estimates.smaa_samples import Score
from inventory.models import Criterion, Danger, Decision, Judgement
from inventory.models.danger import Advice

SEED = 1885
"""Fixed, so that the same records give the same list."""
SAMPLES = 10_000
SOON = timedelta(days=90)
"""A deadline nearer than this puts an instrument on the emergency track."""
Row = TypeVar("Row", Danger, Decision)
JUDGEMENTS = ("loss", "likely", "help")
MOST_CHANGES = 200
"""Entries up to which the list itself works out what would change each; above, each entry's own page does."""


@dataclass(frozen=True)
class JudgementOfAll:
    """One judgement over the whole list."""

    code: str
    criteria: tuple[Criterion, ...]
    weighed: tuple[Weighed, ...]
    entries: Mapping[str, Mapping[str, Score]]
    judged: Judged

    def reasons_for(self, reference: str) -> tuple[Reason, ...]:
        """Why an instrument stands where it stands."""
        return reasons(reference, self.entries, self.weighed)

    def change_for(self, reference: str) -> Change | None:
        """The smallest single change that would move it."""
        entries = tuple(
            (name, tuple(sorted(scores.items()))) for name, scores in sorted(self.entries.items())
        )
        return _smallest_change(reference, entries, self.weighed)


@dataclass(frozen=True)
class Entry:
    """One instrument of the list."""

    reference: str
    bands: Mapping[str, int | None]
    """Band from 1 by judgement; None: not known enough."""
    dangers: tuple[Danger, ...] = ()
    """Open ones, the nearest deadline first."""
    decision: Decision | None = None
    """The last one."""
    is_emergency: bool = False
    deadline: date | None = None


@dataclass(frozen=True)
class DangerList:
    """All of it, at one moment."""

    version: int
    judgements: Mapping[str, JudgementOfAll] = field(default_factory=dict)
    entries: Mapping[str, Entry] = field(default_factory=dict)
    """By reference."""

    def advice_for(self, reference: str) -> Advice:
        """By the rule printed with the list: first bands that stand above others, deadlines, and what is unknown."""
        entry = self.entries[reference]
        if entry.is_emergency:
            return Advice.EMERGENCY
        if entry.bands.get("loss") is None or entry.bands.get("likely") is None:
            return Advice.LOOK
        loss, likely, help_first = (self._is_first(entry, code) for code in JUDGEMENTS)
        if loss and likely:
            return Advice.SAVE if help_first else Advice.DOCUMENT
        if likely:
            return Advice.STABILISE
        return Advice.WATCH if loss else Advice.NONE

    def _is_first(self, entry: Entry, code: str) -> bool:
        """In the first band, where there is more than one: if all are tied, nobody stands out."""
        one = self.judgements.get(code)
        return one is not None and len(one.judged.bands) > 1 and entry.bands[code] == 1


def make_danger_list(
    judgements: Iterable[Judgement],
    dangers: Iterable[Danger],
    decisions: Iterable[Decision],
    *,
    today: date,
    criteria: Iterable[Criterion] | None = None,
) -> DangerList:
    """The list from the rows a reader may know; what the reader may not know is not guessed at.

    `today` decides which deadlines are near; rows come with their instrument and criterion. `criteria` are all
    of them, where they are known already.
    """
    judgements = list(judgements)
    if criteria is None:
        criteria = Criterion.objects.order_by("version", "code")
    criteria = list(criteria)
    version = max((row.criterion.version for row in judgements), default=0)
    standing = [row for row in judgements if row.criterion.version == version]
    open_dangers = _by_instrument(row for row in dangers if row.ended == Danger.Ended.OPEN)
    decided = _by_instrument(decisions)
    everyone = sorted({row.instrument.reference for row in standing} | set(open_dangers))
    here = [one for one in criteria if one.version == version]
    found = ((code, _judge_all(code, here, standing, everyone)) for code in JUDGEMENTS)
    told = {code: one for code, one in found if one is not None}
    entries = {}
    for reference in everyone:
        near = sorted(open_dangers.get(reference, []), key=_deadline)
        # Of an uncertain deadline the earliest day counts: too early does no harm.
        deadline = near[0].deadline_earliest if near else None
        last = sorted(decided.get(reference, []), key=lambda row: (row.when_sort or 0, row.code))
        entries[reference] = Entry(
            reference=reference,
            bands={code: one.judged.band_of(reference) for code, one in told.items()},
            dangers=tuple(near),
            decision=last[-1] if last else None,
            is_emergency=deadline is not None and deadline <= today + SOON,
            deadline=deadline,
        )
    return DangerList(version, told, entries)


def scores_of(rows: Iterable[Judgement]) -> dict[str, Score]:
    """One instrument's ranges by criterion: each assessor's last word, and the span of all assessors.

    Two assessors who differ leave the whole range between them open: a difference is not averaged away.
    """
    last: dict[tuple[str, str], Judgement] = {}
    for row in sorted(rows, key=lambda row: (row.when_sort or 0, row.code)):
        last[row.criterion.code, row.assessor] = row
    scores: dict[str, Score] = {}
    for (criterion, _assessor), row in last.items():
        low, high = scores[criterion] if criterion in scores else (row.low, row.high)  # type: ignore[misc]
        scores[criterion] = (min(low, row.low), max(high, row.high))
    return scores


@lru_cache(maxsize=4096)
def _smallest_change(
    reference: str,
    entries: tuple[tuple[str, tuple[tuple[str, Score], ...]], ...],
    weighed: tuple[Weighed, ...],
) -> Change | None:
    """Worked out once for the same judgements: every language and page asks the same."""
    return smallest_change(reference, {name: dict(scores) for name, scores in entries}, weighed, seed=SEED)


def _judge_all(
    code: str, known: list[Criterion], standing: list[Judgement], everyone: list[str]
) -> JudgementOfAll | None:
    criteria = tuple(sorted((one for one in known if one.judgement == code), key=lambda one: one.code))
    if not criteria:
        return None
    weighed = tuple(Weighed(one.code, 0, 5) for one in criteria)
    here = {one.code for one in criteria}
    rows: dict[str, list[Judgement]] = {reference: [] for reference in everyone}
    for row in standing:
        if row.criterion.code in here:
            rows[row.instrument.reference].append(row)
    entries = {reference: scores_of(found) for reference, found in rows.items()}
    return JudgementOfAll(
        code, criteria, weighed, entries, judge(entries, weighed, seed=SEED, samples=SAMPLES)
    )


def _deadline(row: Danger) -> tuple[date, str]:
    return row.deadline_earliest or date.max, row.code


def _by_instrument(rows: Iterable[Row]) -> dict[str, list[Row]]:
    found: dict[str, list[Row]] = {}
    for row in rows:
        found.setdefault(row.instrument.reference, []).append(row)
    return found
