"""What a figure is: a sum of what instruments contribute, with its n, its denominator and its interval."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from inventory.estimates.bootstrap import bootstrap_ratio
from inventory.estimates.wilson import wilson_interval

SMALL = 6
"""Groups of fewer instruments are marked, not ranked, and given no percentage (a rule of this house)."""
SEED = 20_000
RESAMPLES = 1_000
FEW_RESAMPLES, MANY = 200, 5_000
SHARE, RATIO, MEAN = "share", "ratio", "mean"


class Record(NamedTuple):
    """What one instrument contributes to a figure."""

    reference: str
    count: float
    of: float
    evidence: str = ""
    """Weakest evidence of its sharing; empty where it shares nothing or nothing is said."""


@dataclass(frozen=True)
class Figure:
    """Count ÷ of, summed over the records, with intervals; no value where there is no denominator."""

    key: str
    """Stands for the figure in addresses."""
    name: str
    kind: str
    """`share` (count of of), `ratio` or `mean` (count per of)."""
    count: float
    of: float
    records: tuple[Record, ...]
    low: float | None = None
    high: float | None = None
    """Wilson 95 % interval of a share, as if what is counted were independent."""
    drawn_low: float | None = None
    drawn_high: float | None = None
    """95 % interval when instruments are drawn again with all they hold (seeded bootstrap)."""

    @property
    def share(self) -> float | None:
        """The value, or None when nothing was looked at."""
        return self.count / self.of if self.of else None

    @cached_property
    def n(self) -> int:
        """Instruments the figure rests on: those with any part in the denominator."""
        return sum(1 for record in self.records if record.of)

    @cached_property
    def is_small(self) -> bool:
        """Whether it rests on too few instruments to be ranked or put in per cents."""
        return self.n < SMALL or self.of < SMALL

    @cached_property
    def evidence(self) -> Mapping[str, int]:
        """Instruments counted in the figure by the weakest evidence of their sharing; empty key: not said."""
        return Counter(record.evidence for record in self.records if record.count)


def make_figure(key: str, name: str, kind: str, records: Iterable[Record]) -> Figure:
    """A figure from what instruments contribute, with its intervals.

    Shares get a Wilson interval; shares of things that come several to an instrument (stops,
    pipes), ratios and means also one from drawing instruments again, with a fixed seed.

    >>> figure = make_figure("x", "", SHARE, [Record("ORG-1", 1, 1), Record("ORG-2", 0, 1)])
    >>> figure.share, round(figure.low, 3), round(figure.high, 3), figure.n, figure.is_small
    (0.5, 0.095, 0.905, 2, True)
    >>> make_figure("x", "", SHARE, []).low is None
    True
    """
    kept = tuple(record for record in records if record.of or record.count)
    count, of = round(sum(r.count for r in kept), 9), round(sum(r.of for r in kept), 9)
    low, high = (wilson_interval(count, of) or (None, None)) if kind == SHARE else (None, None)
    drawn_low = drawn_high = None
    large = of >= SMALL and sum(1 for record in kept if record.of) >= SMALL  # small ones print no interval
    if large and (kind != SHARE or any(record.of != 1 for record in kept)):
        found = bootstrap_ratio(
            [r.count for r in kept], [r.of for r in kept], seed=SEED,
            resamples=RESAMPLES if len(kept) < MANY else FEW_RESAMPLES,
        )  # fmt: skip
        if found is not None:
            drawn_low, drawn_high = found.low, found.high
    return Figure(key, name, kind, count, of, kept, low, high, drawn_low, drawn_high)
