"""Three-point estimates (PERT) of a line of work, and totals of many lines."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from inventory.estimates.errors import EstimateError

Z_95 = 1.959964


@dataclass(frozen=True)
class ThreePoint:
    """Low, likely and high figure of one line, in one unit (money, hours, days)."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not (
            math.isfinite(self.low) and math.isfinite(self.high) and self.low <= self.likely <= self.high
        ):
            raise EstimateError(
                f"low {self.low:g}, likely {self.likely:g} and high {self.high:g} do not rise; "
                "give them in that order"
            )

    @property
    def mean(self) -> float:
        """(low + 4 likely + high) / 6."""
        return (self.low + 4 * self.likely + self.high) / 6

    @property
    def deviation(self) -> float:
        """Standard deviation: (high - low) / 6."""
        return (self.high - self.low) / 6

    @property
    def variance(self) -> float:
        """Square of the deviation."""
        return self.deviation**2


@dataclass(frozen=True)
class Total:
    """Sum of lines."""

    mean: float
    deviation: float
    correlation: float
    """What was assumed between every two lines."""

    def band(self, z: float = Z_95) -> tuple[float, float]:
        """Return mean less and plus z deviations, as if the sum were normal.

        >>> Total(103, 3.87, 0).band(1)
        (99.13, 106.87)
        """
        return self.mean - z * self.deviation, self.mean + z * self.deviation


def total_of(lines: Iterable[ThreePoint], *, correlation: float = 0.0) -> Total:
    """Return the total of three-point lines.

    Parameters
    ----------
    lines
        In one unit. None gives a total of 0.
    correlation
        Between every two lines, 0 to 1: 0 independent (errors cancel), 1 fully together (the
        deviations add; the cautious choice, for what makes one line dear makes the others dear).

    Returns
    -------
    Total
        Means add. Variance = sum of squares + 2 x correlation x sum of products of deviations.

    Raises
    ------
    EstimateError
        If the correlation is out of its range.

    References
    ----------
    Malcolm and others, *Operations Research* 7 (1959) 646-669 (from memory); F. S. Hillier and
    G. J. Lieberman, *Introduction to Operations Research* (1967) p. 229 (read at second hand).

    Examples
    --------
    >>> lines = [ThreePoint(4, 6, 12), ThreePoint(4, 6, 12)]
    >>> round(total_of(lines).deviation, 2), round(total_of(lines, correlation=1).deviation, 2)
    (1.89, 2.67)
    """
    if not 0 <= correlation <= 1:
        raise EstimateError(
            f"correlation {correlation} is outside 0 to 1; 0 is independent, 1 fully together"
        )
    known = list(lines)
    added = math.fsum(line.deviation for line in known)
    squares = math.fsum(line.variance for line in known)
    variance = squares + correlation * max(0.0, added**2 - squares)
    return Total(math.fsum(line.mean for line in known), math.sqrt(variance), correlation)
