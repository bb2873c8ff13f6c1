"""Groups: unconnected symptoms apart, connected ones together, and families split into products."""

import random

import pytest

from inventory.organ.explanations import explain
from inventory.organ.fault_search import SearchTooLong
from inventory.organ.nets import Failure
from inventory.organ.schemes import Chest, Scheme, Segment, Stop
from inventory.organ.symptom_groups import split_product
from inventory.organ.trials import Extra, Heard, Trial
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


def wide(keys=56, stops=6):
    names = [f"s{n}" for n in range(stops)]
    return Scheme(
        (full_keyboard("I", keys),),
        tuple(full_rank(f"R{n}", keys) for n in range(stops)),
        tuple(Stop(name, "I", name) for name in names),
        tuple(Segment(name, (1, keys), f"R{n}", shift=0) for n, name in enumerate(names)),
        chests=(Chest("c", "slider", tuple(names), None, "chromatic"),),
    )


def singles(scheme, silent):
    return [
        Trial(
            frozenset({stop.id}),
            frozenset({("I", key)}),
            (Heard(stop.id, key, "silent" if (stop.id, key) in silent else "speaks"),),
            (),
        )
        for stop in scheme.stops
        for key in range(1, 57)
    ]


def test_forty_dumb_notes_are_forty_groups():
    rng = random.Random(7)
    scheme = wide()
    notes = [(stop.id, key) for stop in scheme.stops for key in range(1, 57)]
    silent = set(rng.sample(notes, 40))
    found = explain(scheme, singles(scheme, silent))
    assert found.size == 40 and len(found.groups) == 40 and all(g.size == 1 for g in found.groups)


def test_a_key_dumb_on_every_stop_is_one_failure():
    scheme = wide(stops=3)
    found = explain(scheme, singles(scheme, {(stop.id, 9) for stop in scheme.stops}))
    (group,) = found.groups
    assert group.size == 1 and group.explanations[0].entries[0].failure.part == "pallet:I:9"
    assert [f.part for f in group.explanations[0].entries[0].same_as] == ["channel:I:9"]


def test_a_stop_dumb_on_every_key_is_its_slider():
    scheme = wide(stops=3)
    found = explain(scheme, singles(scheme, {("s1", key) for key in range(1, 57)}))
    assert [e.entries[0].failure for e in found.groups[0].explanations] == [Failure("slider:s1", "shut")]


def test_a_cipher_heard_in_every_trial_is_one_group():
    scheme = wide(stops=2)
    trials = [
        Trial(t.drawn, t.keys, t.heard, tuple(Extra(f"R{s[1:]}", 30, "loud") for s in t.drawn))
        for t in singles(scheme, set())
        if ("I", 30) not in t.keys
    ]
    found = explain(scheme, trials)
    assert found.size == 1 and found.groups[0].explanations[0].failures == {Failure("pallet:I:30", "open")}


def test_families_that_are_no_product_stay_whole():
    a, b, c, d = (Failure(f"pipe:R:{n}", "dead") for n in range(1, 5))
    assert len(split_product([frozenset({a, b}), frozenset({c, d})])) == 1
    family = [frozenset({x, y}) for x in (a, b) for y in (c, d)]
    assert sorted(map(len, split_product(family))) == [2, 2]


def test_a_search_without_end_says_so_in_one_line():
    from inventory.organ import fault_search

    scheme = wide(keys=56, stops=3)
    steps = fault_search.MOST_STEPS
    fault_search.MOST_STEPS = 1
    try:
        with pytest.raises(SearchTooLong, match="fewer trials"):
            explain(scheme, singles(scheme, {("s1", 9)}))
    finally:
        fault_search.MOST_STEPS = steps
