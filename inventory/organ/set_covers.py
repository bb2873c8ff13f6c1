"""The fewest sets that together hold every element, with a lower bound that says how sure that is.

Exact where the search ends: elements only one set holds force that set; sets and elements
that others make needless are dropped; what is left falls into parts that have nothing to
do with each other, each searched by branching on the element with the fewest sets. Where
the steps run out, the best cover found stands beside the bound of elements no two of
which lie in one set. Sets are whole numbers read as bits, so that Python compares them fast.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

MOST_STEPS = 20_000
"""Branchings in all before the best found is taken: some seconds, and always the same answer."""


@dataclass(frozen=True)
class Cover:
    """Places of the sets chosen, in order, and how few there could be at least."""

    chosen: tuple[int, ...]
    at_least: int

    @property
    def is_smallest(self) -> bool:
        """Whether no cover can be smaller."""
        return len(self.chosen) == self.at_least


def smallest_cover(sets: Sequence[Iterable[int]], *, most_steps: int = MOST_STEPS) -> Cover:
    """The fewest sets that hold every element any of them holds; of equal sets the first counts.

    Parameters: `sets` of whole numbers >= 0, the preferred ones first; `most_steps` >= 0 branchings in all,
    the smallest parts first. Source: reduction and branch and bound for set covering are textbook methods
    (common practice).

    >>> smallest_cover([[0, 1], [1, 2], [2, 3], [0, 3, 1]])
    Cover(chosen=(2, 3), at_least=2)
    """
    bits = [sum(1 << element for element in set(one)) for one in sets]
    left = dict[int, int]()
    for place, one in enumerate(bits):
        if one:
            left.setdefault(one, place)
    chosen: list[int] = []
    parts = _parts(_reduce({place: one for one, place in left.items()}, chosen))
    at_least = len(chosen)
    # Small parts are soon proved; a large one may use up whatever is left.
    for part in sorted(parts, key=lambda part: (len(part), min(part))):
        search = _Search(part, most_steps)
        most_steps = max(0, most_steps - search.steps)
        chosen += search.best
        at_least += search.at_least
    return Cover(tuple(sorted(chosen)), at_least)


def _holders(sets: dict[int, int]) -> dict[int, list[int]]:
    """By element: the places of the sets that hold it."""
    found: dict[int, list[int]] = {}
    for place, one in sets.items():
        while one:
            lowest = one & -one
            found.setdefault(lowest.bit_length() - 1, []).append(place)
            one ^= lowest
    return found


def _reduce(sets: dict[int, int], chosen: list[int]) -> dict[int, int]:
    """Take what must be taken (into `chosen`) and drop what is needless, until nothing changes."""
    while True:
        holders = _holders(sets)
        forced = sorted({places[0] for places in holders.values() if len(places) == 1})
        if forced:
            chosen += forced
            done = 0
            for place in forced:
                done |= sets[place]
            sets = {place: one & ~done for place, one in sets.items() if one & ~done}
            continue
        needless = _needless_elements(holders)
        if needless:
            sets = {place: one & ~needless for place, one in sets.items() if one & ~needless}
            continue
        kept = _largest_sets(sets, holders)
        if len(kept) == len(sets):
            return sets
        sets = kept


def _needless_elements(holders: dict[int, list[int]]) -> int:
    """Elements held wherever another is held: whoever covers the other covers them."""
    masks = {element: sum(1 << place for place in places) for element, places in holders.items()}
    by_place: dict[int, list[int]] = {}
    for element, places in holders.items():
        for place in places:
            by_place.setdefault(place, []).append(element)
    needless = 0
    for element in sorted(holders, key=lambda e: (len(holders[e]), e)):
        if needless >> element & 1:
            continue
        fewest = min(holders[element], key=lambda place: len(by_place[place]))
        for other in by_place[fewest]:
            if other != element and not needless >> other & 1 and masks[element] & ~masks[other] == 0:
                if masks[element] == masks[other] and other < element:
                    continue
                needless |= 1 << other
    return needless


def _largest_sets(sets: dict[int, int], holders: dict[int, list[int]]) -> dict[int, int]:
    """Sets that no other set holds whole; of equal ones the first."""
    kept = {}
    for place, one in sets.items():
        elements = one
        rarest: list[int] | None = None
        while elements:
            lowest = elements & -elements
            places = holders[lowest.bit_length() - 1]
            rarest = places if rarest is None or len(places) < len(rarest) else rarest
            elements ^= lowest
        if not any(
            other != place and one & ~sets[other] == 0 and (one != sets[other] or other < place)
            for other in rarest or ()
        ):
            kept[place] = one
    return kept


def _parts(sets: dict[int, int]) -> list[dict[int, int]]:
    """Sets that have elements in common, directly or through others, together."""
    parts: list[tuple[int, dict[int, int]]] = []
    for place, one in sets.items():
        meeting = [part for part in parts if part[0] & one]
        parts = [part for part in parts if not part[0] & one]
        union, members = one, {place: one}
        for mask, others in meeting:
            union |= mask
            members |= others
        parts.append((union, members))
    return [dict(sorted(members.items())) for _mask, members in parts]


class _Search:
    """Branch and bound over one part.

    Elements are numbered anew, those that the fewest sets hold first, so that the element to branch on and the
    next one of the bound are the lowest bits of what is left.
    """

    def __init__(self, sets: dict[int, int], most_steps: int) -> None:
        holders = _holders(sets)
        number = {e: n for n, e in enumerate(sorted(holders, key=lambda e: (len(holders[e]), e)))}
        self._holders = [holders[element] for element in number]
        self._sets = dict.fromkeys(sets, 0)
        for element, new in number.items():
            for place in holders[element]:
                self._sets[place] |= 1 << new
        self._beside = [0] * len(number)
        """By element: all the elements that some set holds together with it, and itself."""
        for new, places in enumerate(self._holders):
            for place in places:
                self._beside[new] |= self._sets[place]
        self.steps, self._most_steps = 0, most_steps
        wanted = (1 << len(number)) - 1
        self.best = self._greedy(wanted)
        bound = self._bound(wanted, len(self.best))
        if bound < len(self.best):
            self._branch(wanted, [])
        self.at_least = bound if self.steps > most_steps else len(self.best)

    def _greedy(self, left: int) -> list[int]:
        chosen = list[int]()
        while left:
            place = max(self._sets, key=lambda p: ((self._sets[p] & left).bit_count(), -p))
            chosen.append(place)
            left &= ~self._sets[place]
        return chosen

    def _bound(self, left: int, enough: int) -> int:
        """Elements no two of which one set holds: each needs a set of its own; counted as far as is enough."""
        number = 0
        while left and number < enough:
            left &= ~self._beside[(left & -left).bit_length() - 1]
            number += 1
        return number

    def _branch(self, left: int, chosen: list[int]) -> None:
        self.steps += 1
        if self.steps > self._most_steps:
            return
        if not left:
            if len(chosen) < len(self.best):
                self.best = list(chosen)
            return
        room = len(self.best) - len(chosen)
        if self._bound(left, room) >= room:
            return
        places = self._holders[(left & -left).bit_length() - 1]
        for place in sorted(places, key=lambda p: (-(self._sets[p] & left).bit_count(), p)):
            self._branch(left & ~self._sets[place], [*chosen, place])
