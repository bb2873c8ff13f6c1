"""The measures: each a name, a kind and a function; and their figures over the collection or a group of it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pandas as pd

from . import contributions as give
from .figures import MEAN, RATIO, SHARE, Figure, Record, make_figure
from .frames import Frames

Contributions = Mapping[str, pd.DataFrame]


@dataclass(frozen=True)
class Measure:
    """One measure: its figures are told apart by their keys."""

    code: str
    kinds: Mapping[str, str]
    """Kind of figure by key; the empty key stands for every other."""
    function: Callable[[Frames], pd.DataFrame]
    counts: str
    """What its denominators count: `instruments`, `stops`, `pipes`, `segments`, or pairs of things."""

    def kind(self, key: str) -> str:
        """The kind of the figure of a key."""
        return self.kinds.get(key, self.kinds.get("", SHARE))


MEASURES: tuple[Measure, ...] = (
    Measure("instruments", {}, give.instruments_sharing, "instruments"),
    Measure("stops", {}, give.stops_by_sharing, "stops"),
    Measure("unification", {}, give.stops_by_unification, "stops"),
    Measure("economy", {"": RATIO}, give.calls_per_pipe, "calls"),
    Measure("callers", {}, give.pipes_by_callers, "pipes"),
    Measure("patterns", {}, give.instruments_by_pattern, "instruments"),
    Measure("intervals", {}, give.instruments_by_interval, "instruments"),
    Measure("devices", {}, give.instruments_by_device, "instruments"),
    Measure("ranks", {"": RATIO}, give.stops_per_rank, "ranks"),
    Measure("families", {"": MEAN}, give.families_per_instrument, "instruments"),
    Measure("sounds", {}, give.sound_families_shared, "stops"),
    Measure("trebles", {}, give.treble_completion, "stops"),
    Measure("basses", {"common-bass-keys": MEAN}, give.common_basses, "instruments"),
    Measure("pedal", {}, give.pedal_stops_shared, "stops"),
    Measure("mistuning", {"": MEAN}, give.mistuning, "stops"),
    Measure("repertoire", {"": RATIO}, give.coincidence_rate, "calls"),
    Measure("evidence", {}, give.segments_by_evidence, "segments"),
)
BY_CODE: Mapping[str, Measure] = {measure.code: measure for measure in MEASURES}


def contributions_of(frames: Frames) -> dict[str, pd.DataFrame]:
    """What every instrument contributes to every measure.

    >>> from publishing.statistics.frames import frames_of
    >>> sum(len(table) for table in contributions_of(frames_of([])).values())
    0
    """
    return {measure.code: _contributions(measure.code, frames) for measure in MEASURES}


def _contributions(code: str, frames: Frames) -> pd.DataFrame:
    """Made once for each measure: pages in several languages, tables and studies all ask for them."""
    made: pd.DataFrame = frames.once(f"contributions to {code}", lambda: BY_CODE[code].function(frames))
    return made


Indexed = Mapping[str, Mapping[str, list[tuple[str, float, float]]]]
"""Measure -> reference -> (key, count, of)."""


def index_contributions(given: Contributions) -> Indexed:
    """The contributions by measure and instrument, so that a group reads only its own.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> index_contributions(contributions_of(frames_of([example_instrument()])))["ranks"]
    {'ORG-1': [('stops-per-rank', 2.0, 1.0)]}
    """
    found: dict[str, dict[str, list[tuple[str, float, float]]]] = {}
    for code, table in given.items():
        rows = found.setdefault(code, {})
        for reference, key, count, of in table[give.COLUMNS].itertuples(index=False):
            rows.setdefault(reference, []).append((key, count, of))
    return found


def figures_of_group(
    code: str, indexed: Indexed, weights: Mapping[str, float], evidence: Mapping[str, str]
) -> list[Figure]:
    """The figures of one measure over some instruments, each with its weight (1 but for uncertain dates).

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> indexed = index_contributions(contributions_of(frames_of([example_instrument()])))
    >>> [(f.key, f.count, f.of) for f in figures_of_group("stops", indexed, {"ORG-1": 0.5}, {})]
    [('independent', 0.0, 1.0), ('part', 1.0, 1.0), ('whole', 0.0, 1.0)]
    """
    rows, measure = indexed[code], BY_CODE[code]
    records: dict[str, list[Record]] = {}
    for reference, weight in sorted(weights.items()):
        for key, count, of in rows.get(reference, ()):
            records.setdefault(key, []).append(
                Record(reference, count * weight, of * weight, evidence.get(reference, ""))
            )
    made = [make_figure(key, key, measure.kind(key), found) for key, found in records.items()]
    return [figure for figure in made if figure.of]


def evidence_of(frames: Frames) -> dict[str, str]:
    """Weakest evidence of the sharing of each instrument, by reference.

    >>> from publishing.statistics.frames import frames_of
    >>> evidence_of(frames_of([]))
    {}
    """
    return dict(zip(frames.instruments["reference"], frames.instruments["evidence"], strict=True))


def figures_of_measure(code: str, frames: Frames) -> list[Figure]:
    """The figures of one measure over all instruments of which a specification counts.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> [(f.key, f.count, f.of) for f in figures_of_measure("stops", frames_of([example_instrument()]))]
    [('independent', 0.0, 2.0), ('part', 2.0, 2.0), ('whole', 0.0, 2.0)]
    """
    indexed = index_contributions({code: _contributions(code, frames)})
    weights = dict.fromkeys(frames.counted["reference"], 1.0)
    return figures_of_group(code, indexed, weights, evidence_of(frames))


def sharing_share(frames: Frames) -> Figure:
    """Of published instruments with a specification, those in which some pipe is called by two stops.

    >>> from publishing.statistics.frames import frames_of
    >>> sharing_share(frames_of([])).of
    0
    """
    found = figures_of_measure("instruments", frames)
    return found[0] if found else make_figure("sharing", "sharing", SHARE, [])


def instruments_by_pattern(frames: Frames) -> list[Figure]:
    """For each pattern, the instruments that have it, of all sharing instruments.

    >>> from publishing.statistics.frames import frames_of
    >>> instruments_by_pattern(frames_of([]))
    []
    """
    return figures_of_measure("patterns", frames)


def devices_recorded(frames: Frames) -> list[Figure]:
    """For each device, the sharing instruments it was recorded in; empty key: not known.

    >>> from publishing.statistics.frames import frames_of
    >>> devices_recorded(frames_of([]))
    []
    """
    return figures_of_measure("devices", frames)
