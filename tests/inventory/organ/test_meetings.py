"""Meetings at a pipe: a case by hand, and the sums of every registration as `places_of` gives them."""

from __future__ import annotations

from itertools import combinations

import pytest

from inventory.organ import repertoire
from inventory.organ.calls import CalledPipes
from inventory.organ.errors import SchemeError
from inventory.organ.meetings import coincidence_of, meetings_of
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


@pytest.mark.parametrize("seed", range(3))
def test_the_sums_of_one_registration_are_those_of_playing_it(seed):
    scheme = make_scheme(seed, unified=True)
    called = CalledPipes(scheme)
    for keyboard in scheme.keyboards:
        played = play(scheme, keyboard.id, chorales())
        for drawn in (played.stops, played.stops[1:4], played.stops[:1], ()):
            assert coincidence_of(called, keyboard.id, drawn, chorales()) == rate_of(played, drawn)


def test_two_keys_of_one_note_and_notes_beyond_midi_are_as_in_playing():
    boards = (Keyboard("I", (36, 40, 36, 41), reach=2), Keyboard("II", (120, 127, 130)))
    stops = (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4"), Stop("c", "II", "Flute", "8"))
    segments = (
        Segment("a", (1, 6), "r", shift=0),
        Segment("b", (1, 4), "r", shift=0),
        Segment("c", (1, 3), "r", shift=2),
    )
    scheme = Scheme(boards, (Rank("r", 6, low=36),), stops, segments)
    heard = gather([((36, 40), 2.0), ((36,), 1.0), ((42, 127, 120), 4.0)])
    for keyboard, drawn in (("I", ("a", "b")), ("II", ("c",))):
        by_playing = rate_of(play(scheme, keyboard, heard), drawn)
        assert by_playing.calls > 0
        assert coincidence_of(CalledPipes(scheme), keyboard, drawn, heard) == by_playing


def test_weights_of_notes_are_right_when_they_had_to_be_forgotten(monkeypatch):
    monkeypatch.setattr(repertoire, "_MOST_REMEMBERED", 1)
    heard = gather([((60, 64), 1.0), ((64,), 2.0), ((100,), 4.0)])
    asked = [1 << 60, 1 << 64, 1 << 60 | 1 << 100, 1 << 60, 0]
    assert [heard.weight_of_any(notes) for notes in asked] == [1.0, 3.0, 5.0, 1.0, 0.0]
