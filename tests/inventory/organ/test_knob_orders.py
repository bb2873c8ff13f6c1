"""Orders of registrations: by hand and against every order."""

import random
from itertools import permutations

import pytest

from inventory.organ.knob_orders import count_changes, knobs_of, order_registrations
from inventory.organ.schemes import Control, Scheme


def drawn(*stops: str):
    return frozenset((stop, 0) for stop in stops)


def moved(order, knobs) -> int:
    at, total = frozenset(), 0
    for place in order:
        total += count_changes(at, knobs[place])
        at = knobs[place]
    return total


def test_adding_one_knob_at_a_time_moves_each_once():
    # By hand: a, then a b, then a b c: three knobs moved.
    found = order_registrations([drawn("a", "b", "c"), drawn("a"), drawn("a", "b")])
    assert found.order == (1, 2, 0) and found.changes == found.at_least == 3


def test_single_stops_move_two_knobs_each_but_the_first():
    found = order_registrations([drawn(letter) for letter in "abcdefghijklmn"])
    assert (found.changes, found.at_least) == (27, 27)  # 1 + 13 times 2, and the bound proves it


def test_a_control_from_one_position_to_another_moves_once():
    scheme = Scheme((), (), (), (), controls=(Control("k", (("a",), ("b",))),))
    assert count_changes(knobs_of(scheme, ["a"]), knobs_of(scheme, ["b"])) == 1


def test_no_registrations_move_nothing():
    assert order_registrations([]).changes == 0


@pytest.mark.parametrize("seed", range(12))
def test_small_cases_are_as_good_as_every_order(seed):
    rng = random.Random(seed)
    knobs = list({frozenset(drawn(*rng.sample("abcdef", rng.randint(1, 3)))) for _ in range(6)})
    found = order_registrations(knobs)
    best = min(moved(order, knobs) for order in permutations(range(len(knobs))))
    assert found.changes == best == found.at_least == moved(found.order, knobs)


@pytest.mark.parametrize("seed", range(4))
def test_the_bound_never_passes_what_is_reached(seed, monkeypatch):
    # Without the exact method, the bound must stay at or below the best of every order.
    rng = random.Random(seed)
    knobs = list({frozenset(drawn(*rng.sample("abcdef", rng.randint(1, 3)))) for _ in range(7)})
    best = order_registrations(knobs).changes
    monkeypatch.setattr("inventory.organ.knob_orders.MOST_EXACT", 0)
    found = order_registrations(knobs)
    assert found.at_least <= best <= found.changes == moved(found.order, knobs)
