"""The order of registrations that moves the fewest knobs, from all knobs in to the last trial.

Exact up to a dozen registrations; beyond, a good order beside a proved lower bound: the
cheapest tree over the registrations, with prices on those that the tree uses too often.
"""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from inventory.organ.schemes import Scheme

MOST_EXACT = 11
MOST_LOOKS = 3_000_000
"""Pairs of registrations looked at in making an order better, and again in proving it: a number, never seconds."""
Knobs = frozenset[tuple[str, int]]
"""(knob, position): a stop's own knob drawn, or a control in one of its positions."""


@dataclass(frozen=True)
class KnobOrder:
    """Places of the registrations in order, the knobs moved, and how few there could be at least."""

    order: tuple[int, ...]
    changes: int
    at_least: int


def knobs_of(scheme: Scheme, stops: Collection[str]) -> Knobs:
    """The knobs that are out when these stops are drawn.

    >>> from inventory.organ.schemes import Control
    >>> sorted(knobs_of(Scheme((), (), (), (), controls=(Control("k", (("a",), ("b",))),)), ["b", "x"]))
    [('k', 1), ('x', 0)]
    """
    left, found = set(stops), set[tuple[str, int]]()
    for control in scheme.controls:
        fits = [n for n, position in enumerate(control.positions) if position and set(position) <= left]
        if fits:
            best = max(fits, key=lambda n: len(control.positions[n]))
            found.add((control.id, best))
            left -= set(control.positions[best])
    return frozenset(found | {(stop, 0) for stop in left})


def count_changes(one: Knobs, other: Knobs) -> int:
    """Knobs to move from one registration to another; a control that goes from one position to another counts once.

    >>> count_changes(frozenset({("k", 0)}), frozenset({("k", 1), ("x", 0)}))
    2
    """
    return len({knob for knob, _position in one ^ other})


def order_registrations(knobs: Sequence[Knobs]) -> KnobOrder:
    """An order of registrations with the fewest knob changes, beginning with every knob in.

    `knobs` are distinct registrations. The changes of pushing all knobs in at the end are not counted.
    Source: dynamic programming over subsets (Held and Karp 1962) and their tree bound (1970), from memory.

    >>> order_registrations([frozenset({("a", 0), ("b", 0)}), frozenset({("a", 0)})])
    KnobOrder(order=(1, 0), changes=2, at_least=2)
    """
    if not knobs:
        return KnobOrder((), 0, 0)
    nothing: Knobs = frozenset()
    points = [nothing, *knobs]
    cost = [[count_changes(a, b) for b in points] for a in points]
    if len(knobs) <= MOST_EXACT:
        order = _exact(cost)
        changes = _length(cost, order)
        return KnobOrder(tuple(n - 1 for n in order), changes, changes)
    order = _improved(cost, _nearest(cost))
    changes = _length(cost, order)
    return KnobOrder(tuple(n - 1 for n in order), changes, min(changes, _tree_bound(cost, changes)))


def _length(cost: Sequence[Sequence[int]], order: Sequence[int]) -> int:
    return sum(cost[a][b] for a, b in zip([0, *order], order, strict=False))


def _exact(cost: Sequence[Sequence[int]]) -> list[int]:
    number = len(cost) - 1
    best: dict[tuple[int, int], tuple[int, int]] = {(1 << n, n): (cost[0][n + 1], -1) for n in range(number)}
    for visited in range(1, 1 << number):
        for last in range(number):
            if (visited, last) not in best:
                continue
            so_far = best[visited, last][0]
            for after in range(number):
                if visited >> after & 1:
                    continue
                state = (visited | 1 << after, after)
                total = so_far + cost[last + 1][after + 1]
                if state not in best or total < best[state][0]:
                    best[state] = (total, last)
    visited = (1 << number) - 1
    last = min(range(number), key=lambda n: (best[visited, n][0], n))
    order = []
    while last >= 0:
        order.append(last + 1)
        visited, last = visited ^ 1 << last, best[visited, last][1]
    return order[::-1]


def _nearest(cost: Sequence[Sequence[int]]) -> list[int]:
    left, at, order = list(range(1, len(cost))), 0, []
    while left:
        at = min(left, key=lambda n: (cost[at][n], n))
        left.remove(at)
        order.append(at)
    return order


def _improved(cost: Sequence[Sequence[int]], order: list[int]) -> list[int]:
    """Turn stretches round while that saves knobs."""
    better, looks = True, 0
    while better and looks < MOST_LOOKS:
        better = False
        looks += len(order) ** 2 // 2
        for first in range(len(order)):
            before = order[first - 1] if first else 0
            for last in range(first + 1, len(order)):
                now, then = cost[before][order[first]], cost[before][order[last]]
                if last + 1 < len(order):
                    now += cost[order[last]][order[last + 1]]
                    then += cost[order[first]][order[last + 1]]
                if then < now:
                    order[first : last + 1] = order[first : last + 1][::-1]
                    better = True
    return order


def _tree_bound(cost: Sequence[Sequence[int]], reached: int) -> int:
    """A path is a tree that meets the start once and every other place at most twice: price what it overuses."""
    number = len(cost)
    price = [0.0] * number
    best = 0.0
    for step in range(max(1, min(60, MOST_LOOKS // number**2))):
        total, degree = _cheapest_tree(cost, price)
        total -= price[0] + 2 * sum(price[1:])
        best = max(best, total)
        if math.ceil(best - 1e-6) >= reached:
            break
        over = [degree[0] - 1, *(d - 2 for d in degree[1:])]
        size = sum(x * x for x in over) or 1
        stride = max(0.05, (reached - total) / size) * 0.95**step
        price = [
            price[n] + stride * over[n] if n == 0 else max(0.0, price[n] + stride * over[n])
            for n in range(number)
        ]
    return math.ceil(best - 1e-6)


def _cheapest_tree(cost: Sequence[Sequence[int]], price: Sequence[float]) -> tuple[float, list[int]]:
    number = len(cost)
    near = [cost[0][n] + price[0] + price[n] for n in range(number)]
    origin = [0] * number
    degree = [0] * number
    left, total = set(range(1, number)), 0.0
    while left:
        at = min(left, key=lambda n: (near[n], n))
        left.remove(at)
        total += near[at]
        degree[at] += 1
        degree[origin[at]] += 1
        for n in left:
            way = cost[at][n] + price[at] + price[n]
            if way < near[n]:
                near[n], origin[n] = way, at
    return total, degree
