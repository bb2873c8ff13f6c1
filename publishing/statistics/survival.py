"""From works to silence: spells of going, each with both ends of what is not known about its length.

A *spell* begins with dated works (built, rebuilt, restored, repaired …) and ends with silence
(fell silent, taken down, lost), with the next works, or where the instrument was last known to
go. Only silence counts as an end; the others say that the spell lasted at least so long. Dates
are intervals, and between two visits nobody looked: every spell has a shortest and a longest
length, and the curves are drawn for both. Nothing here is told by maker.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import pandas as pd

from inventory.estimates.kaplan_meier import Survival, estimate_survival
from publishing.disclosure.values import EventValue, PublicInstrument, When

from .dictionary import TEXT, TRUTH, WHOLE, Column

WORKS = frozenset(
    "built rebuilt enlarged overhauled restored repaired conserved reconstructed electrified moved".split()
)
SILENCES = frozenset("silenced dismantled lost".split())
SILENT_STATES = frozenset(("silent", "in pieces", "dispersed", "lost"))
GOING, SILENT = frozenset(("full", "small faults", "some out", "limited")), "silent"
SPELLS = (
    Column("reference", TEXT, "Reference of the instrument."),
    Column("began_with", TEXT, "Code of the kind of works the spell of playing began with."),
    Column("first_year", WHOLE, "Earliest year in which it can have begun.", "year"),
    Column("last_year", WHOLE, "Latest year in which it can have begun.", "year"),
    Column("shortest_years", WHOLE, "Shortest length: last known to go less latest beginning.", "years"),
    Column("longest_years", WHOLE, "Longest length: first known silent less earliest beginning.", "years"),
    Column("fell_silent", TRUTH, "Whether it ended in silence; otherwise it lasted at least so long."),
    Column("ended_with", TEXT, "Silence, next works, or last known going."),
    Column("cause", TEXT, "Recorded cause of the silence, in English; empty: none recorded, or no silence."),
    Column("sharing", TRUTH, "Whether the instrument as found shares pipes."),
)


@dataclass(frozen=True)
class Spell:
    """One spell of going, as a row of the table."""

    reference: str
    began_with: str
    first_year: int
    last_year: int
    shortest_years: int
    longest_years: int
    fell_silent: bool
    ended_with: str
    cause: str
    sharing: bool


@dataclass(frozen=True)
class BothEnds:
    """The two curves: every silence as early as it may be, and as late."""

    early: Survival
    late: Survival


def spells_of(organ: PublicInstrument) -> list[Spell]:
    """The spells of one public instrument; works without a year begin none.

    >>> from publishing.statistics.examples import example_instrument
    >>> spells_of(example_instrument())
    []
    """
    works = [event for event in organ.events if event.kind_code in WORKS and _years(event.when)]
    silences = [event for event in organ.events if event.kind_code in SILENCES and _years(event.when)]
    sharing = bool(organ.current and organ.current.answer["families"])
    made = []
    for place, event in enumerate(works):
        begun = _years(event.when)
        assert begun is not None
        after = works[place + 1 :]
        if any(_years(one.when) == begun for one in after):
            continue  # several works of one date: the last of them begins the spell
        following = next((one for one in after if _begins_after(one, event)), None)
        end = _end_of(organ, begun, following, silences)
        if end is not None:
            low, high, is_silence, how, cause = end
            shortest, longest = max(0, low - begun[1]), max(0, high - begun[0])
            made.append(
                Spell(
                    organ.reference,
                    event.kind_code,
                    *begun,
                    min(shortest, longest),
                    longest,
                    is_silence,
                    how,
                    cause,
                    sharing,
                )  # fmt: skip
            )
    return made


End = tuple[int, int, bool, str, str]


def _end_of(
    organ: PublicInstrument,
    begun: tuple[int, int],
    following: EventValue | None,
    silences: Sequence[EventValue],
) -> End | None:
    """(earliest year, latest year, silence?, how, cause) of a spell that began then; None where nobody knows."""
    limit = _years(following.when) if following else None
    for event in silences:
        fell = _years(event.when)
        if fell is None or fell[1] < begun[0] or (limit and fell[0] > limit[1]):
            continue
        cause = (event.silenced_by or {}).get("en", "") or {"dismantled": "taken down"}.get(
            event.kind_code, ""
        )
        return *_between_visits(organ, begun, fell), True, "silence", cause
    if limit is not None:
        return *limit, False, "next works", ""
    since = _years(organ.status_since)
    if organ.status in SILENT_STATES:
        if since is None or since[1] < begun[0]:
            return None
        return *_between_visits(organ, begun, since), True, "silence", ""
    visits = [
        years for survey in organ.surveys if (years := _years(survey.when)) and survey.playability != SILENT
    ]
    last = max(visits, default=None, key=lambda years: years[1])
    if last is None or last[1] < begun[0]:
        return None
    return *last, False, "last known going", ""


def _between_visits(
    organ: PublicInstrument, begun: tuple[int, int], fell: tuple[int, int]
) -> tuple[int, int]:
    """The years of a silence, narrowed by visits that found the instrument going or silent."""
    low, high = fell
    for survey in organ.surveys:
        seen = _years(survey.when)
        if seen is None or seen[0] < begun[0]:
            continue
        if survey.playability in GOING and low < seen[0] <= high:
            low = seen[0]
        if survey.playability == SILENT and low <= seen[1] < high:
            high = seen[1]
    return low, high


def _begins_after(one: EventValue, event: EventValue) -> bool:
    first, begun = _years(one.when), _years(event.when)
    return bool(first and begun and first[1] > begun[1])


def _years(when: When | None) -> tuple[int, int] | None:
    if when is None or (when.earliest_year is None and when.latest_year is None):
        return None
    if when.earliest_year is None or when.latest_year is None:
        return None  # open at one side: no length can be told
    return when.earliest_year, when.latest_year


def frame_of_spells(spells: Iterable[Spell]) -> pd.DataFrame:
    """Spells as a typed table, in order of reference and beginning; also where there is none.

    >>> frame_of_spells([]).columns.tolist()[:2]
    ['reference', 'began_with']
    """
    names = [column.name for column in SPELLS]
    rows = [tuple(getattr(one, name) for name in names) for one in spells]
    table = pd.DataFrame(rows, columns=names).astype({column.name: column.kind for column in SPELLS})
    return table.sort_values(["reference", "first_year", "began_with"], ignore_index=True)


def both_ends(table: pd.DataFrame) -> BothEnds:
    """The product-limit curves of the spells at their shortest and at their longest.

    >>> spell = Spell("ORG-1", "built", 1850, 1850, 50, 60, True, "silence", "wind", False)
    >>> curves = both_ends(frame_of_spells([spell]))
    >>> curves.early.steps[0].time, curves.late.steps[0].time
    (50.0, 60.0)
    """
    ended = table["fell_silent"].astype(bool).tolist()
    return BothEnds(
        estimate_survival(table["shortest_years"].astype("float64").tolist(), ended),
        estimate_survival(table["longest_years"].astype("float64").tolist(), ended),
    )


def causes_of(table: pd.DataFrame) -> list[tuple[str, list[str]]]:
    """Causes of silence with the references of the instruments, most frequent first; the empty cause last.

    >>> causes_of(frame_of_spells([]))
    []
    """
    silent = table[table["fell_silent"]]
    groups = [(str(cause), sorted(rows["reference"])) for cause, rows in silent.groupby("cause", sort=True)]
    return sorted(groups, key=lambda one: (one[0] == "", -len(one[1]), one[0]))
