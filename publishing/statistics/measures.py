"""Measures over the tables: every figure with its n, its denominator and its interval."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from inventory.estimates.wilson import wilson_interval

from .frames import Frames

SMALL = 5
"""Groups below this many are marked and not ranked (a rule of this house, not of a standard)."""


@dataclass(frozen=True)
class Share:
    """So many of so many, with the Wilson 95 % interval; no share where there is no denominator.

    >>> share = make_share("x", "", 1, 2)
    >>> share.share, round(share.low, 3), round(share.high, 3)
    (0.5, 0.095, 0.905)
    """

    name: str
    key: str
    """Reference or code the figure leads to."""
    count: int
    of: int
    low: float | None
    high: float | None

    @property
    def share(self) -> float | None:
        """The fraction, or None when nothing was looked at."""
        return self.count / self.of if self.of else None

    @property
    def is_small(self) -> bool:
        """Whether the group is too small to be ranked."""
        return self.of < SMALL


def make_share(name: str, key: str, count: int, of: int) -> Share:
    """A share with its interval.

    Parameters
    ----------
    name, key : heading of the row and what it leads to
    count, of : whole numbers, 0 <= count <= of

    >>> make_share("none looked at", "", 0, 0).low is None
    True
    """
    interval = wilson_interval(count, of)
    low, high = interval if interval else (None, None)
    return Share(name, key, count, of, low, high)


def sharing_share(frames: Frames) -> Share:
    """Of all published instruments, those in which some pipe is called by two stops.

    >>> from publishing.statistics.frames import frames_of
    >>> sharing_share(frames_of([])).of
    0
    """
    return make_share("", "", int(frames.instruments["sharing"].sum()), len(frames.instruments))


def sharing_by_maker(frames: Frames) -> list[Share]:
    """For each maker, sharing instruments of all; large groups first by share, small ones by name.

    >>> from publishing.statistics.frames import frames_of
    >>> sharing_by_maker(frames_of([]))
    []
    """
    known = frames.instruments[frames.instruments["maker"] != ""]
    rows = [
        make_share(str(name), str(key), int(group["sharing"].sum()), len(group))
        for (key, name), group in known.groupby(["maker", "maker_name"], sort=True)
    ]
    return sorted(rows, key=lambda s: (s.is_small, 0 if s.is_small else -(s.share or 0), s.name))


def stops_by_sharing(frames: Frames) -> list[Share]:
    """Independent, part-shared and wholly shared stops, of all stops.

    >>> from publishing.statistics.frames import frames_of
    >>> [s.count for s in stops_by_sharing(frames_of([]))]
    [0, 0, 0]
    """
    counts = frames.stops["sharing"].value_counts()
    total = len(frames.stops)
    return [
        make_share(kind, kind, int(counts.get(kind, 0)), total) for kind in ("independent", "part", "whole")
    ]


def instruments_by_pattern(frames: Frames) -> list[Share]:
    """For each pattern, the instruments that have it, of all sharing instruments.

    >>> from publishing.statistics.frames import frames_of
    >>> instruments_by_pattern(frames_of([]))
    []
    """
    sharing = int(frames.instruments["sharing"].sum())
    having = frames.patterns.groupby("pattern")["reference"].nunique()
    rows = [make_share(str(name), str(name), int(n), sharing) for name, n in having.items()]
    return sorted(rows, key=lambda s: (-s.count, s.name))


def segments_by_evidence(frames: Frames) -> list[Share]:
    """On what the recorded sharing rests: segments of shared rows by evidence.

    >>> from publishing.statistics.frames import frames_of
    >>> [s.of for s in segments_by_evidence(frames_of([]))]
    [0, 0, 0, 0]
    """
    shared = frames.segments[frames.segments["shared_rank"]]
    counts = shared["evidence"].value_counts()
    return [
        make_share(kind, kind, int(counts.get(kind, 0)), len(shared))
        for kind in ("seen", "sounded", "source", "inferred")
    ]


def devices_recorded(frames: Frames) -> list[Share]:
    """For each device, the sharing instruments it was recorded in; empty code: not known.

    >>> from publishing.statistics.frames import frames_of
    >>> devices_recorded(frames_of([]))
    []
    """
    shared = frames.segments[frames.segments["shared_rank"]]
    sharing = int(frames.instruments["sharing"].sum())
    having = shared.groupby("device")["reference"].nunique()
    rows = [make_share(str(code), str(code), int(n), sharing) for code, n in having.items()]
    return sorted(rows, key=lambda s: (s.key == "", -s.count, s.name))


def pipes_by_callers(frames: Frames) -> list[Share]:
    """Pipes called by 1, 2, 3 … stops, of all pipes called.

    >>> from publishing.statistics.frames import frames_of
    >>> pipes_by_callers(frames_of([]))
    []
    """
    total = int(frames.pipes["pipes"].sum())
    sums = frames.pipes.groupby("callers")["pipes"].sum()
    return [make_share(str(callers), str(callers), int(n), total) for callers, n in sums.items()]


def calls_per_pipe(frames: Frames) -> pd.DataFrame:
    """Calls, pipes called, shared pipes and economy of each sharing instrument, thriftiest first.

    Economy is 1 − pipes called / calls, from 0 (every call has its own pipe) towards 1.

    >>> from publishing.statistics.frames import frames_of
    >>> len(calls_per_pipe(frames_of([])))
    0
    """
    table = frames.instruments[frames.instruments["sharing"]].copy()
    table["economy"] = 1 - table["pipes_called"] / table["calls"]
    return table.sort_values(["economy", "reference"], ascending=[False, True])
