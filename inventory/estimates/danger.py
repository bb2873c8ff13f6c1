"""One judgement of danger over many instruments: bands, what is not known enough, why, what would change it.

The three judgements (what would be lost, how likely and how soon, what help can do) are each made with this and
printed beside one another; nothing here adds one to another.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from inventory.estimates.errors import EstimateError
from inventory.estimates.smaa import Acceptability, rank_acceptability, tied_bands
from inventory.estimates.smaa_samples import Criterion, Score, bounds_of

MOST_UNKNOWN = 0.5
"""An instrument whose ranges cover more than this share of all they could is not ranked."""

Scores = Mapping[str, Mapping[str, Score]]


@dataclass(frozen=True)
class Judged:
    """One judgement over all instruments that were looked at."""

    bands: tuple[tuple[str, ...], ...]
    """The first rank's band first; inside a band nothing is ranked."""
    unknown: tuple[str, ...]
    """Not known enough to be ranked, in alphabetical order: a band apart, above and below nothing."""
    acceptability: Acceptability | None
    """Of the ranked ones; None if there are none."""

    def band_of(self, name: str) -> int | None:
        """Number of the band from 1; None where not enough is known.

        >>> Judged((("A",), ("B",)), ("C",), None).band_of("B")
        2
        """
        for number, band in enumerate(self.bands, start=1):
            if name in band:
                return number
        return None


@dataclass(frozen=True)
class Reason:
    """How one criterion speaks in one instrument's place."""

    criterion: str
    says: str
    """``for`` (towards the first band), ``against``, ``neither`` or ``unknown``."""
    low: float
    """Lowest place on the criterion, 0 (speaks least) to 1 (most)."""
    high: float


@dataclass(frozen=True)
class Change:
    """One criterion judged otherwise, and the band that follows."""

    criterion: str
    low: float
    """The value it would have to take, in the criterion's own figures."""
    high: float
    band: int | None
    """Where the instrument would then stand; None: not known enough."""
    size: float
    """How far that is from what stands there, as a share of the criterion's span."""


def unknown_share(scores: Mapping[str, Score], criteria: Sequence[Criterion]) -> float:
    """Return how much of all that could be known of an instrument is not.

    Parameters
    ----------
    scores
        Value, range or None by criterion; absent is not known.
    criteria
        All criteria of the judgement, each counting alike.

    Returns
    -------
    float
        0 (every value known) to 1 (nothing known): the mean width of the ranges.

    Raises
    ------
    EstimateError
        If a value names no criterion or is outside its span.

    References
    ----------
    A rule of this project.

    Examples
    --------
    >>> unknown_share({"pipes": 3, "case": (0, 5)}, [Criterion("pipes", 0, 5), Criterion("case", 0, 5)])
    0.5
    """
    low, high = bounds_of({"it": scores}, criteria)
    return float(np.mean(high - low))


def judge(
    entries: Scores,
    criteria: Sequence[Criterion],
    *,
    seed: int,
    samples: int = 10_000,
    certainty: float = 0.9,
    most_unknown: float = MOST_UNKNOWN,
) -> Judged:
    """Return the bands of one judgement, over every weighting of its criteria and all that is unknown.

    Parameters
    ----------
    entries
        Instrument -> value, range or None by criterion.
    criteria
        Of this one judgement, with their directions.
    seed
        The same seed gives the same answer, whatever the order of the entries.
    samples
        100 to 1000000 weightings.
    certainty
        How often all of a band must stand above an instrument for it to begin the next band.
    most_unknown
        Share of the unknown above which an instrument is set apart.

    Returns
    -------
    Judged
        Bands, those not known enough, and the shares behind them.

    Raises
    ------
    EstimateError
        If there is no criterion, or a value or setting is out of its range.

    References
    ----------
    SMAA-2 (see `rank_acceptability`) inside the judgement; bands and setting apart are rules of this project.

    Examples
    --------
    >>> criteria = [Criterion("mechanism", 0, 5), Criterion("pipes", 0, 5)]
    >>> found = judge({"A": {"mechanism": 5, "pipes": 4}, "B": {"mechanism": 1, "pipes": 1}, "C": {}}, criteria, seed=1)
    >>> found.bands, found.unknown
    ((('A',), ('B',)), ('C',))
    """
    if not 0 <= most_unknown <= 1:
        raise EstimateError(f"most unknown {most_unknown} is outside 0 to 1; {MOST_UNKNOWN} is usual")
    # By name, so that the same records give the same bytes in whatever order they were read.
    names = sorted(entries)
    unknown = tuple(name for name in names if unknown_share(entries[name], criteria) > most_unknown)
    ranked = {name: entries[name] for name in names if name not in unknown}
    if not ranked:
        return Judged((), unknown, None)
    found = rank_acceptability(ranked, criteria, seed=seed, samples=samples)
    bands = tuple(tuple(sorted(band)) for band in tied_bands(found, certainty))
    return Judged(bands, unknown, found)


def reasons(name: str, entries: Scores, criteria: Sequence[Criterion]) -> tuple[Reason, ...]:
    """Return how each criterion speaks in an instrument's place, the strongest first.

    Parameters
    ----------
    name
        One of the entries.
    entries, criteria
        As for `judge`.

    Returns
    -------
    tuple of Reason
        A criterion speaks for (against) where the whole range lies above (below) the middle value of all
        entries; ``unknown`` where the range is the whole span.

    Raises
    ------
    EstimateError
        If the entry is not among them.

    References
    ----------
    A rule of this project.

    Examples
    --------
    >>> criteria = [Criterion("mechanism", 0, 5), Criterion("pipes", 0, 5)]
    >>> entries = {"A": {"mechanism": 5}, "B": {"mechanism": 1, "pipes": 2}, "C": {"mechanism": 1, "pipes": 2}}
    >>> [(reason.criterion, reason.says) for reason in reasons("A", entries, criteria)]
    [('mechanism', 'for'), ('pipes', 'unknown')]
    """
    if name not in entries:
        raise EstimateError(f"{name!r} is none of the {len(entries)} entries; name one of them")
    names = sorted(entries)
    low, high = bounds_of({one: entries[one] for one in names}, criteria)
    middle = np.median((low + high) / 2, axis=0)
    row = names.index(name)
    found = []
    for column, criterion in enumerate(criteria):
        least, most = float(low[row, column]), float(high[row, column])
        says = "neither"
        if least == 0 and most == 1:
            says = "unknown"
        elif least > middle[column]:
            says = "for"
        elif most < middle[column]:
            says = "against"
        found.append(
            (abs((least + most) / 2 - float(middle[column])), Reason(criterion.name, says, least, most))
        )
    order = {"for": 0, "against": 1, "neither": 2, "unknown": 3}
    found.sort(key=lambda pair: (order[pair[1].says], -pair[0], pair[1].criterion))
    return tuple(reason for _strength, reason in found)


def smallest_change(
    name: str,
    entries: Scores,
    criteria: Sequence[Criterion],
    *,
    seed: int,
    samples: int = 2_000,
    certainty: float = 0.9,
    most_unknown: float = MOST_UNKNOWN,
    steps: int = 5,
) -> Change | None:
    """Return the smallest single change of a value that moves an instrument into another band.

    Parameters
    ----------
    name
        One of the entries.
    entries, criteria, seed, samples, certainty, most_unknown
        As for `judge`.
    steps
        Into how many steps each criterion's span is cut; values tried are the ends of the steps.

    Returns
    -------
    Change or None
        None if no single value on its own moves it. Bands here come from `samples` weightings.

    Raises
    ------
    EstimateError
        As `judge`, and if the entry is not among them.

    References
    ----------
    A rule of this project: every value of every criterion is tried, one criterion at a time.

    Examples
    --------
    >>> criteria = [Criterion("mechanism", 0, 5)]
    >>> change = smallest_change("B", {"A": {"mechanism": 3}, "B": {"mechanism": 1}}, criteria, seed=1)
    >>> (change.criterion, change.low, change.band)
    ('mechanism', 3.0, 1)
    """
    if name not in entries:
        raise EstimateError(f"{name!r} is none of the {len(entries)} entries; name one of them")
    if not 1 <= steps <= 100:
        raise EstimateError(f"steps {steps} are outside 1 to 100; 5 is usual")

    def band_with(scores: Mapping[str, Score]) -> int | None:
        told = judge(
            {**entries, name: scores}, criteria,
            seed=seed, samples=samples, certainty=certainty, most_unknown=most_unknown,
        )  # fmt: skip
        return told.band_of(name)

    now = band_with(entries[name])
    low, high = bounds_of({name: entries[name]}, criteria)
    tries: list[tuple[float, int, int]] = []
    for column in range(len(criteria)):
        for step in range(steps + 1):
            place = step / steps
            size = max(abs(place - float(low[0, column])), abs(place - float(high[0, column])))
            if size > 0:
                tries.append((size, column, step))
    for size, column, step in sorted(tries):
        criterion = criteria[column]
        value = float(criterion.least + (criterion.most - criterion.least) * step / steps)
        band = band_with({**entries[name], criterion.name: value})
        if band != now:
            return Change(criterion.name, value, value, band, size)
    return None
