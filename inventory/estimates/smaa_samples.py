"""What SMAA is fed: criteria with their directions, values or ranges, and sampled weightings."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.estimates.errors import EstimateError

Matrix = NDArray[np.float64]
Score = float | tuple[float, float] | None
"""A value, a range (low, high), or None for not known."""


@dataclass(frozen=True)
class Criterion:
    """One criterion and its direction."""

    name: str
    least: float
    """Value that speaks least for the first rank; may be the larger one."""
    most: float
    """Value that speaks most for it."""

    def __post_init__(self) -> None:
        if not (math.isfinite(self.least) and math.isfinite(self.most) and self.least != self.most):
            raise EstimateError(
                f"criterion {self.name}: least {self.least:g} and most {self.most:g} must be two different numbers"
            )

    def place_of(self, value: float) -> float:
        """Return where a value lies from least (0) to most (1).

        >>> Criterion("years left", least=50, most=0).place_of(10)
        0.8
        """
        place = (value - self.least) / (self.most - self.least)
        if not -1e-9 <= place <= 1 + 1e-9:
            raise EstimateError(
                f"value {value:g} of {self.name} is outside {self.least:g} to {self.most:g}; "
                "correct it or widen the criterion"
            )
        return min(1.0, max(0.0, place))


def bounds_of(
    alternatives: Mapping[str, Mapping[str, Score]], criteria: Sequence[Criterion]
) -> tuple[Matrix, Matrix]:
    """Return the lowest and highest score of every alternative on every criterion.

    Parameters
    ----------
    alternatives
        Name -> value by criterion; None or absent is not known.
    criteria
        At least one, each name once.

    Returns
    -------
    tuple of two arrays
        Alternatives x criteria, 0 (least) to 1 (most); equal where the value is known.

    Raises
    ------
    EstimateError
        If there is no criterion, a name comes twice, a value names no criterion, or one lies
        outside its span.

    References
    ----------
    A not known value ranges over everything it could be, as `rank_acceptability` says.

    Examples
    --------
    >>> low, high = bounds_of({"A": {"age": (25, 50)}, "B": {}}, [Criterion("age", 0, 100)])
    >>> low.tolist(), high.tolist()
    ([[0.25], [0.0]], [[0.5], [1.0]])
    """
    names = [criterion.name for criterion in criteria]
    if not names or len(set(names)) < len(names):
        raise EstimateError(f"criteria {names} are none or name one twice; give each once")
    low = np.zeros((len(alternatives), len(names)))
    high = np.ones((len(alternatives), len(names)))
    for row, (name, scores) in enumerate(alternatives.items()):
        strange = sorted(set(scores) - set(names))
        if strange:
            raise EstimateError(
                f"{name} has a value for {strange[0]!r}, which is no criterion; they are {names}"
            )
        for column, criterion in enumerate(criteria):
            score = scores.get(criterion.name)
            if score is None:
                continue
            ends = score if isinstance(score, tuple) else (score, score)
            places = sorted(criterion.place_of(end) for end in ends)
            low[row, column], high[row, column] = places
    return low, high


def draw_weights(
    criteria: Sequence[Criterion], count: int, chance: np.random.Generator, order: Sequence[str] | None = None
) -> Matrix:
    """Return weightings drawn evenly from all that add up to 1.

    Parameters
    ----------
    criteria
        What is weighted.
    count
        How many weightings.
    chance
        A seeded generator.
    order
        Names of all criteria, the most important first: only weightings that keep this order
        are drawn, evenly among themselves. None draws from all.

    Returns
    -------
    array
        Count x criteria, each row >= 0 and adding up to 1.

    Raises
    ------
    EstimateError
        If the order does not name every criterion once.

    References
    ----------
    Even on the simplex: independent exponentials over their sum. Sorting an even draw keeps it
    even among the ordered weightings.

    Examples
    --------
    >>> drawn = draw_weights([Criterion("a", 0, 1), Criterion("b", 0, 1)], 3, np.random.default_rng(1), ["b", "a"])
    >>> bool((drawn[:, 1] >= drawn[:, 0]).all()), bool(np.allclose(drawn.sum(axis=1), 1))
    (True, True)
    """
    names = [criterion.name for criterion in criteria]
    drawn = chance.standard_exponential((count, len(names)))
    drawn /= drawn.sum(axis=1, keepdims=True)
    if order is None:
        return drawn
    if sorted(order) != sorted(names):
        raise EstimateError(f"order {list(order)} does not name every criterion of {names} once")
    weights = np.empty_like(drawn)
    weights[:, [names.index(name) for name in order]] = -np.sort(-drawn, axis=1)
    return weights
