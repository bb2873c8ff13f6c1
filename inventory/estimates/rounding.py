"""Rounding to whole units so that parts add up to their total wherever both are printed."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from inventory.estimates.errors import EstimateError

_MILLIONTHS = 1_000_000


def exact(value: float) -> Fraction:
    """Return an amount to the millionth of a unit, so that every machine rounds it alike.

    >>> exact(0.1 + 0.2)
    Fraction(3, 10)
    """
    return Fraction(round(value * _MILLIONTHS), _MILLIONTHS)


def round_half_up(value: Fraction) -> int:
    """Return the nearest whole number; a half goes up, as people do it with money.

    >>> [round_half_up(Fraction(n, 2)) for n in (1, 3, 5)]
    [1, 2, 3]
    """
    return (2 * value.numerator + value.denominator) // (2 * value.denominator)


def apportion(parts: Sequence[Fraction], total: int | None = None) -> list[int]:
    """Return whole numbers, one a part, that add up to the total exactly (largest remainders).

    Parameters
    ----------
    parts
        Amounts >= 0 in one unit.
    total
        What the whole numbers add up to; their rounded sum when not given. It may differ from
        that sum by less than one for each part, as where a larger whole was rounded before.

    Returns
    -------
    list[int]
        Every part rounded down, then one more for those with the largest remainders, the earlier
        of equals first. None differs from its amount by one or more.

    Raises
    ------
    EstimateError
        If a part is negative, or the total cannot be reached so.

    References
    ----------
    The method of largest remainders, attributed to A. Hamilton, 1792 (from memory).

    Examples
    --------
    >>> apportion([Fraction(1, 3)] * 3)
    [1, 0, 0]
    >>> apportion([Fraction(5, 2), Fraction(5, 2), Fraction(5)])
    [3, 2, 5]
    """
    if any(part < 0 for part in parts):
        raise EstimateError(f"{float(min(parts)):g} is below 0; only amounts from 0 up are shared out")
    whole = [part.numerator // part.denominator for part in parts]
    wanted = round_half_up(sum(parts, Fraction(0))) if total is None else total
    missing = wanted - sum(whole)
    if not 0 <= missing <= len(parts):
        raise EstimateError(
            f"{len(parts)} parts that round down to {sum(whole)} cannot add up to {wanted}; give their own sum"
        )
    order = sorted(range(len(parts)), key=lambda n: (whole[n] - parts[n], n))
    for n in order[:missing]:
        whole[n] += 1
    return whole
