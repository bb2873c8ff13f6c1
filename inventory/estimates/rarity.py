"""Rarity: how many bits of surprise one of a kind carries among those compared."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Hashable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from inventory.estimates.errors import EstimateError

Kind = TypeVar("Kind", bound=Hashable)


@dataclass(frozen=True)
class Rarity:
    """Rarity of a kind and the numbers it rests on."""

    bits: float
    """-log2 of the share: 0 when all are of this kind, 1 for a half, 5 for one in 32."""
    count: int
    total: int


def rarity(count: int, total: int) -> Rarity | None:
    """Return how rare a kind is.

    Parameters
    ----------
    count
        How many are of this kind, 0 to `total`, itself included.
    total
        How many were compared.

    Returns
    -------
    Rarity or None
        -log2(count / total) with both numbers; None when there is none of the kind, for which
        no share can be said. It can never exceed log2(total): small collections cannot show
        great rarity.

    Raises
    ------
    EstimateError
        If the count is outside 0 to the total.

    References
    ----------
    C. E. Shannon, "A Mathematical Theory of Communication" (1948): information of an event.

    Examples
    --------
    >>> rarity(1, 32)
    Rarity(bits=5.0, count=1, total=32)
    """
    if not 0 <= count <= total:
        raise EstimateError(f"count {count} is outside 0 to {total}, the number compared; check both")
    if count == 0:
        return None
    # Written so that a share of 1 gives 0.0, not -0.0.
    return Rarity(math.log2(total / count), count, total)


def rarity_of_kinds(kinds: Iterable[Kind]) -> dict[Kind, Rarity]:
    """Return the rarity of every kind in a collection.

    Parameters
    ----------
    kinds
        One entry for each instrument compared, such as its signature.

    Returns
    -------
    dict
        Kind -> Rarity, in order of first appearance.

    References
    ----------
    As `rarity`.

    Examples
    --------
    >>> {kind: found.bits for kind, found in rarity_of_kinds("aabc").items()}
    {'a': 1.0, 'b': 2.0, 'c': 2.0}
    """
    counts = Counter(kinds)
    total = counts.total()
    return {kind: Rarity(math.log2(total / count), count, total) for kind, count in counts.items()}
