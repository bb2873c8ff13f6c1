"""The Wilson interval of a share: how sure a count out of a few can be."""

from __future__ import annotations

import math
from typing import NamedTuple

from inventory.estimates.errors import EstimateError

Z_95 = 1.959964
"""Standard normal quantile of 0.975. Some printed tables use 1.96, which changes the fifth figure."""


class Interval(NamedTuple):
    """Bounds of a share, each from 0 to 1."""

    low: float
    high: float


def wilson_interval(count: int, total: int, z: float = Z_95) -> Interval | None:
    """Return the Wilson interval of a share, without continuity correction.

    Parameters
    ----------
    count
        How many have the property, 0 to `total`.
    total
        How many were looked at, >= 0.
    z
        Standard normal quantile, > 0: 1.959964 for 95 %.

    Returns
    -------
    Interval or None
        None when nothing was looked at. At 0 the lower bound is exactly 0, at all the upper is exactly 1.

    Raises
    ------
    EstimateError
        If a number is out of its range.

    References
    ----------
    E. B. Wilson, *JASA* 22 (1927) 209-212; method 3 of R. G. Newcombe, *Statistics in Medicine* 17
    (1998) 857-872.

    Examples
    --------
    >>> low, high = wilson_interval(10, 100)
    >>> round(low, 4), round(high, 4)
    (0.0552, 0.1744)
    """
    if not 0 <= count <= total:
        raise EstimateError(f"count {count} is outside 0 to {total}, the number looked at; check both")
    if not (math.isfinite(z) and z > 0):
        raise EstimateError(f"z {z} is not above 0; 1.959964 gives 95 %")
    if total == 0:
        return None
    share = count / total
    middle = share + z * z / (2 * total)
    half = z * math.sqrt(share * (1 - share) / total + z * z / (4 * total * total))
    scale = 1 + z * z / total
    # The exact bounds at the ends: rounding would leave 1e-17 there.
    low = 0.0 if count == 0 else (middle - half) / scale
    high = 1.0 if count == total else (middle + half) / scale
    return Interval(low, high)
