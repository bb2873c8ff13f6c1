"""Money in sight against a budget, and the gifts that would close the gap."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from inventory.estimates.errors import EstimateError
from inventory.estimates.rounding import apportion, exact

LEVELS = ((1, 0.15), (2, 0.075), (10, 0.015))
"""Gifts and the share of the gap of each: one of 10–20 %, two or three of 5–10 %, ten of 1–2 %
(common practice of campaigns; another guide tells of 85 % from small gifts: show both)."""


@dataclass(frozen=True)
class Position:
    """Whole units of currency; secured + pledged + applied + gap - surplus = total."""

    total: int
    secured: int
    pledged: int
    applied: int
    gap: int
    """Still to be found after all three."""
    surplus: int
    """What all three would be over the total."""

    @property
    def not_in_hand(self) -> int:
        """Total less what is secured, never below 0."""
        return max(0, self.total - self.secured)


@dataclass(frozen=True)
class GiftLevel:
    """So many gifts of so much each; `count` None: many small ones of any size."""

    count: int | None
    each: int
    sum: int


def funding_position(total: int, *, secured: float, pledged: float, applied: float) -> Position:
    """Return how a total is covered.

    Parameters
    ----------
    total
        Whole units of currency, >= 0.
    secured, pledged, applied
        Money by how sure it is, each >= 0.

    Raises
    ------
    EstimateError
        If an amount is negative.

    Examples
    --------
    >>> funding_position(1000, secured=300.5, pledged=100.5, applied=99)
    Position(total=1000, secured=301, pledged=100, applied=99, gap=500, surplus=0)
    """
    if total < 0:
        raise EstimateError(f"total {total} is below 0; give 0 or more")
    one, two, three = apportion([exact(amount) for amount in (secured, pledged, applied)])
    left = total - one - two - three
    return Position(total, one, two, three, max(0, left), max(0, -left))


def gift_table(gap: int) -> tuple[GiftLevel, ...]:
    """Return gifts that add up to a gap exactly: a few large, more middling, many small.

    Parameters
    ----------
    gap
        Whole units of currency, >= 0.

    Returns
    -------
    tuple[GiftLevel, ...]
        Largest first; the last level takes what is left, with `count` None and `each` 0. No level
        where its gift would be below 10 units; empty for a gap of 0.

    Raises
    ------
    EstimateError
        If the gap is negative.

    Examples
    --------
    >>> [(level.count, level.each, level.sum) for level in gift_table(10_000)]
    [(1, 1000, 1000), (2, 500, 1000), (10, 100, 1000), (None, 0, 7000)]
    """
    if gap < 0:
        raise EstimateError(f"gap {gap} is below 0; a surplus needs no gifts")
    if gap == 0:
        return ()
    made = []
    for count, share in LEVELS:
        each = _round_sum(gap * share)
        if each >= 10:
            made.append(GiftLevel(count, each, count * each))
    return (*made, GiftLevel(None, 0, gap - sum(level.sum for level in made)))


def _round_sum(value: float) -> int:
    """The largest of 1, 2, 5 times a power of ten that is not above a value."""
    return max(
        (step * 10**power for power in range(12) for step in (1, 2, 5) if step * 10**power <= value),
        default=0,
    )


def given_pipes(
    given: Iterable[tuple[str, int]], voices: Iterable[tuple[str, int, str]]
) -> dict[tuple[str, int], tuple[str, ...]]:
    """Return the stops each given pipe speaks for: one pipe, several voices, one gift.

    Parameters
    ----------
    given
        Pipes as (rank, pipe number from 1).
    voices
        Calls as (rank, pipe, stop), in any order, with repetitions.

    Raises
    ------
    EstimateError
        If a pipe is given twice.

    Examples
    --------
    >>> given_pipes([("reeds", 13)], [("reeds", 13, "Clarion"), ("reeds", 13, "Cornopean"), ("reeds", 14, "Clarion")])
    {('reeds', 13): ('Clarion', 'Cornopean')}
    """
    found: dict[tuple[str, int], set[str]] = {}
    for pipe in given:
        if pipe in found:
            raise EstimateError(
                f"pipe {pipe[1]} of {pipe[0]!r} is given twice; it is one pipe, choose another"
            )
        found[pipe] = set()
    for rank, number, stop in voices:
        if (rank, number) in found:
            found[rank, number].add(stop)
    return {pipe: tuple(sorted(stops)) for pipe, stops in found.items()}
