"""Meetings at a pipe: a case by hand, and the sums of every registration as `places_of` gives them."""

from __future__ import annotations

from itertools import combinations

import pytest

from inventory.organ.errors import SchemeError
from inventory.organ.meetings import meetings_of
from inventory.organ.registrations import places_of, play, rate_of
from inventory.organ.repertoire import chorales, gather
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from inventory.organ.synthetic import make_scheme


def three_pitches() -> Scheme:
    stops = tuple(Stop(one, "I", "Flute", feet) for one, feet in (("a", "8"), ("b", "4"), ("c", "2")))
    segments = tuple(
        Segment(one, (1, 25), "r", shift=shift) for one, shift in (("a", 0), ("b", 12), ("c", 24))
    )
    return Scheme((Keyboard("I", tuple(range(36, 61))),), (Rank("r", 49, low=36),), stops, segments)


def test_three_octaves_held_on_three_pitches_by_hand():
    # Keys C c c¹ (36 48 60). Pipes: 36 a; 48 a b; 60 a b c; 72 b c; 84 c. Nine calls, five pipes.
    found = meetings_of(play(three_pitches(), "I", gather([((36, 48, 60), 2.0)])), "abc")
    assert found.calls == (6.0, 6.0, 6.0)
    # 60: c from C, b from c, a from c¹; 48: b from C, a from c; 72: c from c, b from c¹.
    assert found.weights == {
        ((0, 1), (12, 0)): 2.0,
        ((0, 2), (12, 1)): 2.0,
        ((0, 2), (12, 1), (24, 0)): 2.0,
    }
    assert found.coincide("abc") == {12: 8.0}
    assert found.coincide("ac") == {24: 2.0}  # with b not drawn, pipe 60 is asked two octaves apart
    assert found.coincide("a") == {}


@pytest.mark.parametrize("seed", range(6))
def test_every_registration_has_the_sums_of_the_slower_way(seed):
    scheme = make_scheme(seed, unified=True)
    whole = chorales()
    chosen = list(zip(whole.note_sets(), whole.weights.tolist(), strict=True))[::40]
    for keyboard in scheme.keyboards:
        played = play(scheme, keyboard.id, gather(chosen))
        stops = played.stops[:6]
        found = meetings_of(played, stops)
        for size in (1, 2, 3, len(stops)):
            for drawn in combinations(stops, size):
                coincide = found.coincide(drawn)
                assert coincide == places_of(played, drawn).intervals
                rate = rate_of(played, drawn)
                assert (sum(found.calls[stops.index(s)] for s in drawn), sum(coincide.values())) == (
                    rate.calls, rate.coincide,
                )  # fmt: skip


def test_an_unknown_stop_is_refused_by_name():
    with pytest.raises(SchemeError, match="stop 'z' is not on keyboard 'I'; its stops are: a, b, c"):
        meetings_of(play(three_pitches(), "I", gather([])), ["z"])
