"""Percentile bootstrap: how sure a mean or a ratio of a small collection is."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.estimates.errors import EstimateError

LEAST_RESAMPLES, MOST_RESAMPLES = 100, 1_000_000
VALUES_AT_ONCE = 2_000_000
"""Drawn values held in memory at one time."""


@dataclass(frozen=True)
class Bootstrap:
    """An estimate, its interval and the number it rests on."""

    estimate: float
    low: float
    high: float
    count: int
    """Instruments (or whatever was drawn) the estimate rests on."""


def bootstrap_mean(
    values: Sequence[float], *, seed: int, resamples: int = 2000, level: float = 0.95
) -> Bootstrap | None:
    """Return a mean with its percentile bootstrap interval.

    Parameters
    ----------
    values
        One finite number for each instrument.
    seed
        The same seed gives the same interval.
    resamples
        100 to 1000000.
    level
        Share of resamples inside the interval, between 0 and 1.

    Returns
    -------
    Bootstrap or None
        None without values. With one value the interval has no width and says nothing: print the count.

    Raises
    ------
    EstimateError
        If a value is not finite or a setting is out of its range.

    References
    ----------
    B. Efron and R. Tibshirani, *An Introduction to the Bootstrap* (1993), chapter 13 (from memory).

    Examples
    --------
    >>> found = bootstrap_mean([2, 4, 6, 8], seed=1)
    >>> found.estimate, found.low < 5 < found.high, found.count
    (5.0, True, 4)
    """
    drawn = _as_numbers(values)
    if drawn.size == 0:
        return None
    means = _resample(drawn.size, seed, resamples, level, lambda chosen: drawn[chosen].mean(axis=1))
    low, high = _percentiles(means, level)
    return Bootstrap(float(drawn.mean()), low, high, int(drawn.size))


def bootstrap_ratio(
    above: Sequence[float], below: Sequence[float], *, seed: int, resamples: int = 2000, level: float = 0.95
) -> Bootstrap | None:
    """Return a ratio of two sums with its percentile bootstrap interval.

    Parameters
    ----------
    above, below
        One pair for each instrument, such as shared pipes and pipes; `below` >= 0. Pairs are
        drawn together. The ratio is of the sums, not the mean of ratios: large instruments
        weigh more.
    seed, resamples, level
        As in `bootstrap_mean`.

    Returns
    -------
    Bootstrap or None
        None without pairs, or when `below` sums to 0. Resamples whose `below` is 0 are left out.

    Raises
    ------
    EstimateError
        If the lengths differ, a value is not finite, `below` has a negative, or a setting is
        out of its range.

    References
    ----------
    As `bootstrap_mean`.

    Examples
    --------
    >>> found = bootstrap_ratio([0, 49, 12], [54, 73, 54], seed=1)
    >>> round(found.estimate, 3), found.count
    (0.337, 3)
    """
    top, bottom = _as_numbers(above), _as_numbers(below)
    if top.size != bottom.size:
        raise EstimateError(f"{top.size} values above and {bottom.size} below; give one pair an instrument")
    if bottom.size and bottom.min() < 0:
        raise EstimateError(f"value {bottom.min():g} below is under 0; a ratio needs 0 or more")
    if bottom.sum() == 0:
        return None

    def ratios(chosen: NDArray[np.intp]) -> NDArray[np.float64]:
        under = bottom[chosen].sum(axis=1)
        over = top[chosen].sum(axis=1)
        return np.asarray(over[under > 0] / under[under > 0])

    found = _resample(top.size, seed, resamples, level, ratios)
    low, high = _percentiles(found, level)
    return Bootstrap(float(top.sum() / bottom.sum()), low, high, int(top.size))


def _as_numbers(values: Sequence[float]) -> NDArray[np.float64]:
    numbers = np.asarray(values, dtype=np.float64).reshape(-1)
    if not np.all(np.isfinite(numbers)):
        raise EstimateError("a value is not a finite number; leave out what is not known and say how many")
    return numbers


def _resample(
    count: int,
    seed: int,
    resamples: int,
    level: float,
    figure: Callable[[NDArray[np.intp]], NDArray[np.float64]],
) -> NDArray[np.float64]:
    """Draw with replacement, in blocks that bound the memory, and take the figure of each row."""
    if not LEAST_RESAMPLES <= resamples <= MOST_RESAMPLES:
        raise EstimateError(f"resamples {resamples} are outside {LEAST_RESAMPLES} to {MOST_RESAMPLES}")
    if not 0 < level < 1:
        raise EstimateError(f"level {level} is not between 0 and 1; 0.95 is usual")
    chance = np.random.default_rng(seed)
    rows = max(1, VALUES_AT_ONCE // count)
    blocks = [
        figure(chance.integers(0, count, size=(min(rows, resamples - done), count)))
        for done in range(0, resamples, rows)
    ]
    return np.concatenate(blocks)


def _percentiles(figures: NDArray[np.float64], level: float) -> tuple[float, float]:
    low, high = np.quantile(figures, [(1 - level) / 2, (1 + level) / 2])
    return float(low), float(high)
