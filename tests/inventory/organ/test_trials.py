"""Trials: what is refused, and what each observation says."""

import json

import pytest

from inventory.organ.contradictions import contradicting_trials
from inventory.organ.errors import SchemeError
from inventory.organ.explanations import explain
from inventory.organ.schemes import Control, Coupler, Rank, Scheme, Segment, Stop
from inventory.organ.trials import Extra, Heard, Trial, bounds_of, read_trials
from inventory.organ.valves_needed import net_of
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank

SCHEME = Scheme(
    (full_keyboard("I", 3), full_keyboard("P", 2, kind="pedal")),
    (full_rank("R", 3), full_rank("S", 3)),
    (Stop("A", "I", "Flute"), Stop("B", "I", "String"), Stop("F", "P", "Bass")),
    (
        Segment("A", (1, 3), "R", shift=0),
        Segment("B", (1, 3), "S", shift=0),
        Segment("F", (1, 2), "S", shift=1),
    ),
    controls=(Control("knob", (("A",), ("B",))),),
    couplers=(Coupler("P.I", "P", "I", 0),),
)
GOOD = {
    "stops": ["A", "P.I"],
    "keys": [{"keyboard": "P", "key": 1}],
    "heard": [{"stop": "A", "key": 1, "as": "speaks"}],
    "extra": [{"rank": "S", "pipe": 2, "strength": "faint"}],
}


def read(*trials):
    return read_trials(json.dumps(list(trials)), SCHEME)


def test_a_good_trial_is_read_whole():
    (trial,), notes = read(GOOD)
    assert trial == Trial(
        frozenset({"A", "P.I"}), frozenset({("P", 1)}), (Heard("A", 1, "speaks"),), (Extra("S", 2, "faint"),)
    )
    assert notes == []


def test_extra_absent_is_not_listened_for_and_empty_is_nothing_else_sounded():
    absent = {name: value for name, value in GOOD.items() if name != "extra"}
    assert read(absent)[0][0].extra is None and read(absent | {"extra": []})[0][0].extra == ()
    assert read(absent | {"extra": None})[0][0].extra is None


def test_no_key_held_and_no_stop_drawn_is_a_trial():
    assert read({"stops": [], "keys": [], "heard": []})[0] == (Trial(),)


def test_fields_nobody_knows_are_said_once_and_not_refused():
    assert "weather" in read(GOOD | {"weather": "dry"})[1][0]


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"stops": ["X"]}, "trials[0].stops[0]"),
        ({"stops": "A"}, "trials[0].stops"),
        ({"stops": [1]}, "trials[0].stops[0]"),
        ({"stops": ["A", "B"]}, "exclude each other"),
        ({"keys": [{"keyboard": "II", "key": 1}]}, "trials[0].keys[0].keyboard"),
        ({"keys": [{"keyboard": "I", "key": 0}]}, "trials[0].keys[0].key"),
        ({"keys": [{"keyboard": "I", "key": 4}]}, "outside 1 to 3"),
        ({"keys": [{"keyboard": "I", "key": True}]}, "not a whole number"),
        ({"keys": [{"keyboard": "I", "key": 1.0}]}, "not a whole number"),
        ({"keys": [3]}, "not an object"),
        ({"keys": None}, "trials[0].keys"),
        ({"heard": [{"stop": "P.I", "key": 1, "as": "speaks"}]}, "no stop"),
        ({"heard": [{"stop": "A", "key": 1, "as": "loud"}]}, "speaks, weak, silent"),
        ({"heard": [{"stop": "A", "key": 1}]}, "heard[0]"),
        ({"extra": [{"rank": "Q", "pipe": 1}]}, "no rank"),
        ({"extra": [{"rank": "R", "pipe": 4}]}, "outside 1 to 3"),
        ({"extra": [{"rank": "R", "pipe": 1, "strength": "weak"}]}, "loud, faint"),
        ({"extra": {}}, "not a list"),
    ],
)
def test_what_cannot_be_read_is_refused_with_its_place(change, place):
    with pytest.raises(SchemeError) as refusal:
        read(GOOD | change)
    assert place in str(refusal.value) and "\n" not in str(refusal.value)


@pytest.mark.parametrize("text", ["", "null", "{}", "[", b"\xff", "[" * 300_000, "[1e400]", "[[]]"])
def test_files_that_are_no_trials_are_refused(text):
    with pytest.raises(SchemeError):
        read_trials(text, SCHEME)


def bounds(trial):
    return bounds_of(SCHEME, net_of(SCHEME), trial)


def test_couplers_open_the_channels_they_reach():
    one = bounds(Trial(frozenset({"A", "P.I"}), frozenset({("P", 2)})))
    assert one.touches == {"A", ("P", 2), ("I", 2)} and one.asked == {"pipe:R:2"}


def test_a_weak_note_bounds_nothing_but_is_named():
    one = bounds(Trial(frozenset({"A"}), frozenset({("I", 1)}), (Heard("A", 1, "weak"),), ()))
    assert not one.least and not one.most and "pipe:R:1" in one.named


def test_a_silent_note_bounds_every_pipe_of_it():
    one = bounds(Trial(frozenset({"A"}), frozenset({("I", 1)}), (Heard("A", 1, "silent"),)))
    assert one.most == {"pipe:R:1": 0} and not one.quiet


def played(stop, key, manner, extra=None, drawn=()):
    board = SCHEME.stop[stop].keyboard
    return Trial(frozenset({stop, *drawn}), frozenset({(board, key)}), (Heard(stop, key, manner),), extra)


def contradictions(*trials):
    return contradicting_trials(net_of(SCHEME), [bounds(trial) for trial in trials])


def test_one_trial_heard_twice_with_two_results_contradicts():
    assert contradictions(played("A", 1, "speaks"), played("A", 1, "silent")) == [0, 1]


def test_more_stops_and_keys_never_take_wind_away():
    assert contradictions(played("A", 1, "speaks"), played("A", 1, "silent", drawn=("F",))) == [0, 1]
    assert contradictions(played("A", 1, "silent"), played("A", 1, "speaks", drawn=("F",))) == []


def test_a_loud_stranger_must_be_heard_again_where_all_is_played_again():
    first = Trial(frozenset({"A"}), frozenset(), (), (Extra("S", 3, "loud"),))
    again = Trial(frozenset({"A"}), frozenset({("I", 1)}), (), ())
    assert contradictions(first, again) == [0, 1]


def test_a_faint_stranger_may_go_unheard():
    first = Trial(frozenset({"A"}), frozenset(), (), (Extra("S", 3, "faint"),))
    again = Trial(frozenset({"A"}), frozenset({("I", 1)}), (), ())
    assert contradictions(first, again) == []


def test_a_note_heard_both_ways_contradicts_itself():
    trial = Trial(frozenset({"A"}), frozenset({("I", 1)}), (Heard("A", 1, "speaks"), Heard("A", 1, "silent")))
    assert contradictions(trial) == [0]


def test_a_sound_without_a_pipe_contradicts_the_scheme():
    scheme = Scheme(SCHEME.keyboards, (Rank("R", 3, SCHEME.ranks[0].notes, missing=frozenset({1})),
                                       SCHEME.ranks[1]), SCHEME.stops, SCHEME.segments)  # fmt: skip
    assert explain(scheme, [played("A", 1, "speaks")]).unexplained == (1,)
    # A missing pipe is silent without any failure.
    assert explain(scheme, [played("A", 1, "silent")]).size == 0


def test_the_rest_is_explained_when_contradictions_are_set_aside():
    trials = [played("A", 1, "speaks"), played("A", 1, "silent"), played("F", 2, "silent")]
    found = explain(SCHEME, trials)
    assert found.unexplained == (1, 2) and found.size == 1 and found.count == 0


def test_no_trials_are_consistent_with_a_sound_chest():
    found = explain(SCHEME, [])
    assert (found.size, found.count, found.groups) == (0, 1, ())
