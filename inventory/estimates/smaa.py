"""Rank acceptability without agreed weights (SMAA-2): how often each would come first, second, ...

Every weighting of the criteria is tried alike (or every one that keeps a stated order of
importance), unknown values range over all they could be, and what is counted is how often
each alternative takes each rank. *First* is whatever the criteria's directions point to.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.estimates.errors import EstimateError
from inventory.estimates.smaa_samples import Criterion, Score, bounds_of, draw_weights

Matrix = NDArray[np.float64]

LEAST_SAMPLES, MOST_SAMPLES = 100, 1_000_000
VALUES_AT_ONCE = 1_000_000
"""Sampled values held in memory at one time."""
TIE = 1e-12
"""Utilities (0 to 1) nearer than this are tied; tied alternatives share their ranks."""


@dataclass(frozen=True)
class Acceptability:
    """What weighting every way gives. Rows follow `names`."""

    names: tuple[str, ...]
    criteria: tuple[str, ...]
    shares: Matrix
    """Alternatives x ranks: share of weightings that give that rank, first rank first."""
    errors: Matrix
    """Standard error of each share from the number of samples: sqrt(share (1 - share) / samples)."""
    central_weights: Matrix
    """Alternatives x criteria: mean of the weightings that put it first; NaN where none does."""
    confidence: Matrix
    """How often it is first at its own central weights; NaN where it has none. 1 where nothing is unknown
    and it is never tied there."""
    pairwise: Matrix
    """Alternatives x alternatives: how often the row's ranks above the column's; a tie counts half."""
    samples: int

    @property
    def expected_ranks(self) -> Matrix:
        """Mean rank of each alternative, 1 for always first."""
        return np.asarray(self.shares @ np.arange(1, len(self.names) + 1))


def rank_acceptability(
    alternatives: Mapping[str, Mapping[str, Score]],
    criteria: Sequence[Criterion],
    *,
    seed: int,
    samples: int = 10_000,
    order: Sequence[str] | None = None,
) -> Acceptability:
    """Return how often each alternative takes each rank over all weightings.

    Parameters
    ----------
    alternatives
        Name -> value by criterion: a number, a range (low, high), or None where it is not known,
        which ranges over the criterion's whole span. Ranges are drawn evenly.
    criteria
        With the value that speaks least for the first rank and the one that speaks most.
    seed
        The same seed gives the same answer.
    samples
        100 to 1000000.
    order
        Names of all criteria, the most important first, where that much is agreed; None tries
        every weighting alike.

    Returns
    -------
    Acceptability
        Shares with their error. They say how far the ranking hangs on weights and on what is
        not known; they are no score.

    Raises
    ------
    EstimateError
        If there is nothing to rank, a value lies outside its criterion's span, or a setting is
        out of its range.

    References
    ----------
    R. Lahdelma, J. Hokkanen, P. Salminen, *EJOR* 106 (1998) 137-143; R. Lahdelma and P. Salminen,
    *Operations Research* 49 (2001) 444-454. Each criterion's value function is a straight line.

    Examples
    --------
    >>> criteria = [Criterion("loss", 0, 1), Criterion("urgency", 0, 1)]
    >>> organs = {"A": {"loss": 1, "urgency": 0}, "B": {"loss": 0, "urgency": 1}, "C": {"loss": 0.6, "urgency": 0.6}}
    >>> found = rank_acceptability(organs, criteria, seed=1)
    >>> [round(float(share), 1) for share in found.shares[:, 0]]  # exactly 0.4, 0.4, 0.2
    [0.4, 0.4, 0.2]
    """
    if not LEAST_SAMPLES <= samples <= MOST_SAMPLES:
        raise EstimateError(
            f"samples {samples} are outside {LEAST_SAMPLES} to {MOST_SAMPLES}; 10000 is usual"
        )
    if not alternatives:
        raise EstimateError("there is no alternative; give at least one to rank")
    low, high = bounds_of(alternatives, criteria)
    chance = np.random.default_rng(seed)
    tally = _Tally(*low.shape)
    # A tie needs alternatives x ranks for each sample; the blocks allow for it.
    for count in _blocks(samples, len(low) * max(low.shape)):
        weights = draw_weights(criteria, count, chance, order)
        tally.add(_draw_scores(low, high, count, chance), weights)
    confidence = _confidence(low, high, tally.central_weights(), samples, chance)
    names = tuple(criterion.name for criterion in criteria)
    return tally.result(tuple(alternatives), names, confidence)


def acceptability_of_samples(scores: Matrix, weights: Matrix) -> Acceptability:
    """Return the acceptability of given samples: no chance is used, the answer is exact.

    Parameters
    ----------
    scores
        Samples x alternatives x criteria, each 0 to 1, more speaking for the first rank.
    weights
        Samples x criteria, each >= 0.

    Returns
    -------
    Acceptability
        Names are numbers from 1. The confidence is taken over the same samples of scores.

    Raises
    ------
    EstimateError
        If the shapes do not fit.

    References
    ----------
    As `rank_acceptability`.

    Examples
    --------
    >>> scores = np.array([[[1.0, 1.0], [0.0, 0.0]]])
    >>> acceptability_of_samples(scores, np.array([[0.5, 0.5]])).shares.tolist()
    [[1.0, 0.0], [0.0, 1.0]]
    """
    if scores.ndim != 3 or weights.ndim != 2 or scores.shape[::2] != weights.shape or 0 in scores.shape:
        raise EstimateError(
            f"scores of shape {scores.shape} and weights of shape {weights.shape} do not fit; "
            "give samples x alternatives x criteria and samples x criteria"
        )
    _, alternatives, criteria = scores.shape
    tally = _Tally(alternatives, criteria)
    tally.add(scores, weights)
    confidence = _first_shares(scores, tally.central_weights()) / len(scores)
    names = tuple(str(number) for number in range(1, alternatives + 1))
    return tally.result(names, tuple(str(number) for number in range(1, criteria + 1)), confidence)


def tied_bands(found: Acceptability, certainty: float = 0.9) -> tuple[tuple[str, ...], ...]:
    """Return the alternatives in bands, those that cannot be told apart together.

    Parameters
    ----------
    found
        From `rank_acceptability`.
    certainty
        How often everyone in a band must rank above an alternative for it to begin the next
        band; above 0.5, at most 1.

    Returns
    -------
    tuple of tuples
        Bands, the first rank's first; inside a band by expected rank, which is no judgement.

    Raises
    ------
    EstimateError
        If the certainty is out of its range.

    References
    ----------
    A rule of this project, on the pairwise shares of SMAA.

    Examples
    --------
    >>> scores = np.array([[[1.0], [0.5], [0.5]]])
    >>> tied_bands(acceptability_of_samples(scores, np.array([[1.0]])))
    (('1',), ('2', '3'))
    """
    if not 0.5 < certainty <= 1:
        raise EstimateError(f"certainty {certainty} is outside 0.5 to 1; 0.9 is usual")
    bands: list[list[int]] = []
    for place in np.argsort(found.expected_ranks, kind="stable"):
        beaten = bands and all(found.pairwise[member, place] >= certainty for member in bands[-1])
        if beaten or not bands:
            bands.append([])
        bands[-1].append(int(place))
    return tuple(tuple(found.names[member] for member in band) for band in bands)


class _Tally:
    """Running counts over blocks of samples."""

    def __init__(self, alternatives: int, criteria: int) -> None:
        self.samples = 0
        self.ranks = np.zeros((alternatives, alternatives))
        self.first_weights = np.zeros((alternatives, criteria))
        self.above = np.zeros((alternatives, alternatives))

    def add(self, scores: Matrix, weights: Matrix) -> None:
        """Count one block: samples x alternatives x criteria, samples x criteria."""
        utilities = np.einsum("sac,sc->sa", scores, weights)
        self.samples += len(weights)
        order = np.argsort(-utilities, axis=1, kind="stable")
        falling = np.take_along_axis(utilities, order, axis=1)
        starts_new = np.ones(order.shape, dtype=bool)
        starts_new[:, 1:] = falling[:, :-1] - falling[:, 1:] > TIE
        clear = starts_new.all(axis=1)
        self._count_clear(order[clear], weights[clear])
        if not clear.all():
            shares = _shared_ranks(order[~clear], starts_new[~clear])
            self.ranks += shares.sum(axis=0)
            self.first_weights += shares[:, :, 0].T @ weights[~clear]
        for row in range(utilities.shape[1]):
            apart = utilities[:, row : row + 1] - utilities
            self.above[row] += (apart > TIE).sum(axis=0) + 0.5 * (np.abs(apart) <= TIE).sum(axis=0)

    def _count_clear(self, order: NDArray[np.intp], weights: Matrix) -> None:
        """Count samples without ties, by far the most: every alternative takes one whole rank."""
        alternatives = len(self.ranks)
        cells = np.bincount(
            (order * alternatives + np.arange(alternatives)).ravel(), minlength=alternatives**2
        )
        self.ranks += cells.reshape(alternatives, alternatives)
        for column in range(weights.shape[1]):
            self.first_weights[:, column] += np.bincount(
                order[:, 0], weights=weights[:, column], minlength=alternatives
            )

    def central_weights(self) -> Matrix:
        """Mean weighting of each alternative's first ranks; NaN where there was none."""
        first = self.ranks[:, :1]
        return np.where(first > 0, self.first_weights / np.where(first > 0, first, 1), np.nan)

    def result(self, names: tuple[str, ...], criteria: tuple[str, ...], confidence: Matrix) -> Acceptability:
        shares = self.ranks / self.samples
        errors = np.sqrt(np.clip(shares * (1 - shares), 0, None) / self.samples)
        pairwise = self.above / self.samples
        return Acceptability(
            names, criteria, shares, errors, self.central_weights(), confidence, pairwise, self.samples
        )


def _shared_ranks(order: NDArray[np.intp], starts_new: NDArray[np.bool_]) -> Matrix:
    """Samples x alternatives x ranks: each alternative spread evenly over the ranks of its tie."""
    alternatives = order.shape[1]
    places = np.arange(alternatives)
    start = np.maximum.accumulate(np.where(starts_new, places, 0), axis=1)
    ends_here = np.ones(order.shape, dtype=bool)
    ends_here[:, :-1] = starts_new[:, 1:]
    backwards = np.where(ends_here, places, alternatives)[:, ::-1]
    end = np.minimum.accumulate(backwards, axis=1)[:, ::-1]
    inside = (places >= start[:, :, None]) & (places <= end[:, :, None])
    by_place = inside / (end - start + 1)[:, :, None]
    shares = np.empty(by_place.shape)
    np.put_along_axis(shares, order[:, :, None], by_place, axis=1)
    return shares


def _blocks(samples: int, size: int) -> Iterator[int]:
    """Cut the samples into blocks that bound the memory; `size` is values in one sample."""
    rows = max(1, VALUES_AT_ONCE // max(1, size))
    for done in range(0, samples, rows):
        yield min(rows, samples - done)


def _draw_scores(low: Matrix, high: Matrix, count: int, chance: np.random.Generator) -> Matrix:
    if np.array_equal(low, high):
        return np.asarray(np.broadcast_to(low, (count, *low.shape)))
    return np.asarray(low + (high - low) * chance.random((count, *low.shape)))


def _first_shares(scores: Matrix, central: Matrix) -> Matrix:
    """How many samples put each alternative first at its own central weights; ties share."""
    found = np.full(len(central), math.nan)
    for place, weights in enumerate(central):
        if np.isnan(weights[0]):
            continue
        utilities = scores @ weights
        tied = utilities >= utilities.max(axis=1, keepdims=True) - TIE
        found[place] = (tied[:, place] / tied.sum(axis=1)).sum()
    return found


def _confidence(
    low: Matrix, high: Matrix, central: Matrix, samples: int, chance: np.random.Generator
) -> Matrix:
    # Without unknown values one look is as good as many.
    looks = 1 if np.array_equal(low, high) else samples
    first = np.zeros(len(central))
    for count in _blocks(looks, low.size):
        first += _first_shares(_draw_scores(low, high, count, chance), central)
    return first / looks
