"""What sounds: couplers, reach, controls, coincidences."""

import pytest
from hypothesis import given, settings

from inventory.organ.errors import SchemeError
from inventory.organ.schemes import Control, Coupler, Keyboard, Rank, Scheme, Segment, Stop, answered_calls
from inventory.organ.sounding import press_keys, sound
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank, schemes, short_keyboard, unit


def two_manuals(*couplers, reach=0):
    return Scheme(
        (
            full_keyboard("I", reach=reach),
            full_keyboard("II"),
            full_keyboard("III"),
            full_keyboard("P", 30, kind="pedal"),
        ),
        (full_rank("R1", 73), full_rank("R2"), full_rank("R3")),
        (Stop("a", "I", "Flute", "8"), Stop("b", "II", "Flute", "8"), Stop("c", "III", "Flute", "8")),
        (
            Segment("a", (1, 61 + reach), "R1", interval=0),
            Segment("b", (1, 61), "R2", interval=0),
            Segment("c", (1, 61), "R3", interval=0),
        ),
        couplers=couplers,
    )


def test_middle_c_and_the_octave_on_two_pitches_share_a_pipe():
    # values.md §1, "borrowing collision" (Grove copy, SEEN): c1 and c2 on 8'+4' = 3 pipes, not 4.
    heard = sound(unit(61, ["8", "4"]), {"s0", "s1"}, [("I", 25), ("I", 37)])
    assert (heard.calls, len(heard.pipes), heard.coincide, heard.cannot_sound_together) == (4, 3, 1, 0)
    assert {(c.stop, c.key) for c in heard.pipes["R", 37]} == {("s0", 37), ("s1", 25)}


@pytest.mark.parametrize(
    ("footages", "asked", "distinct"),
    [
        # practice.md §2.4 [CALC]: the chord C G e g c¹ e¹ g¹ c².
        (["8", "4"], 16, 12),
        (["8", "4", "2"], 24, 15),
        (["16", "8", "4", "2"], 32, 18),
        (["16", "8", "4", "2 2/3", "2"], 40, 23),
    ],
)
def test_a_full_chord_on_unit_registrations(footages, asked, distinct):
    chord = [("I", note - 35) for note in (36, 43, 52, 55, 60, 64, 67, 72)]
    heard = sound(unit(61, footages), [f"s{n}" for n in range(len(footages))], chord)
    assert (heard.calls, len(heard.pipes), heard.coincide) == (asked, distinct, asked - distinct)


def test_chords_on_ten_knobs_and_three_rows():
    # practice.md §9.5 [CALC]: c g c¹ e¹ g¹ c².
    from pathlib import Path

    from inventory.organ.scheme_files import read_scheme

    scheme, _ = read_scheme((Path(__file__).parent / "schemes" / "ten-knobs-three-rows.json").read_bytes())
    chord = [("I", note - 35) for note in (48, 55, 60, 64, 67, 72)]
    full = sound(scheme, ["I.flute16", "I.principal8", "I.flute8", "I.octave4", "I.nazard"], chord)
    assert (full.calls, len(full.pipes)) == (30, 23)
    flutes = sound(scheme, ["I.flute16", "I.flute8"], chord)
    assert (flutes.calls, len(flutes.pipes)) == (12, 9)
    octave = sound(scheme, ["I.flute16", "I.flute8"], [("I", 13), ("I", 25)])
    assert (octave.calls, len(octave.pipes)) == (4, 3)


def test_a_short_octave_coincides_by_note_not_by_key():
    # Issue 2: C with c on one row at 8′ + 4′ coincide in one; C is key 1, c is key 9.
    keyboard = short_keyboard()
    notes = tuple(sorted({note + add for note in keyboard.notes for add in (0, 12)}))
    scheme = Scheme(
        (keyboard,),
        (Rank("R", 57, notes),),
        (Stop("a", "I", "Principal", "8"), Stop("b", "I", "Octave", "4")),
        (Segment("a", (1, 45), "R", interval=0), Segment("b", (1, 45), "R", interval=12)),
    )
    heard = sound(scheme, ["a", "b"], [("I", 1), ("I", 9)])
    assert (len(heard.pipes), heard.coincide) == (3, 1)
    # Key 2 looks like F and sounds F; key 3 looks like F♯ and sounds D: its octave d is key 11.
    assert sound(scheme, ["a", "b"], [("I", 3), ("I", 11)]).coincide == 1


def test_a_coupler_moves_the_key_and_others_follow():
    scheme = two_manuals(Coupler("x", "I", "II", 0), Coupler("y", "II", "III", 0))
    assert press_keys(scheme, {"x", "y"}, [("I", 1)]) == {("I", 1), ("II", 1), ("III", 1)}


def test_a_coupler_that_moves_the_channel_is_not_followed():
    scheme = two_manuals(Coupler("x", "I", "II", 0, "channel"), Coupler("y", "II", "III", 0))
    assert press_keys(scheme, {"x", "y"}, [("I", 1)]) == {("I", 1), ("II", 1)}
    # Held by hand as well, the key of II is a key again.
    assert ("III", 1) in press_keys(scheme, {"x", "y"}, [("I", 1), ("II", 1)])


def test_an_octave_coupler_acts_once_in_a_chain():
    scheme = two_manuals(Coupler("up", "I", "I", 12), reach=12)
    assert press_keys(scheme, {"up"}, [("I", 1)]) == {("I", 1), ("I", 13)}


def test_a_coupler_may_act_once_on_each_path():
    # I→II and II→I at the octave: from I key 1, II 1, then I 13, and there it ends.
    scheme = two_manuals(Coupler("x", "I", "II", 0), Coupler("y", "II", "I", 12))
    assert press_keys(scheme, {"x", "y"}, [("I", 1)]) == {("I", 1), ("II", 1), ("I", 13)}
    # Two keys held: each starts a path of its own.
    assert ("I", 25) in press_keys(scheme, {"x", "y"}, [("I", 1), ("I", 13)])


def test_channels_beyond_the_keys_answer_and_no_coupler_goes_on_from_them():
    up = Coupler("up", "I", "I", 12)
    back = Coupler("x", "I", "II", -12)
    scheme = two_manuals(up, back, reach=12)
    pressed = press_keys(scheme, {"up", "x"}, [("I", 61)])
    assert pressed == {("I", 61), ("I", 73), ("II", 49)}
    assert ("R1", 73) in sound(scheme, {"a", "up"}, [("I", 61)]).pipes
    assert press_keys(two_manuals(up), {"up"}, [("I", 61)]) == {("I", 61)}


def test_a_key_pressed_two_ways_is_pressed_once():
    scheme = two_manuals(Coupler("x", "I", "II", 0), Coupler("y", "I", "II", 0))
    heard = sound(scheme, {"x", "y", "b"}, [("I", 5), ("II", 5)])
    assert (heard.calls, heard.coincide) == (1, 0)


def test_couplers_go_by_note_between_keyboards_of_different_lowest_note():
    scheme = Scheme(
        (Keyboard("I", (36, 37, 38)), Keyboard("II", (38, 39))),
        (),
        (),
        (),
        couplers=(Coupler("x", "I", "II", 0),),
    )
    assert press_keys(scheme, {"x"}, [("I", 3), ("I", 1)]) == {("I", 1), ("I", 3), ("II", 1)}


def test_a_permanent_coupler_acts_undrawn():
    scheme = two_manuals(Coupler("pull", "P", "I", 0, always=True))
    heard = sound(scheme, {"a"}, [("P", 1)])
    assert list(heard.pipes) == [("R1", 1)]


def test_positions_of_one_control_exclude_each_other():
    scheme = unit(5, ["8", "4", "2"], controls=(Control("turn", (("s0",), ("s1", "s2"))),))
    assert sound(scheme, {"s1", "s2"}, [("I", 1)]).calls == 2
    with pytest.raises(SchemeError, match="'turn' and exclude each other"):
        sound(scheme, {"s0", "s1"}, [("I", 1)])


def test_two_notes_of_one_polyphone_pipe_cannot_sound_together():
    rank = Rank("R", 6, tuple(range(36, 48, 2)), tones={n: (34 + 2 * n, 35 + 2 * n) for n in range(1, 7)})
    scheme = Scheme(
        (full_keyboard(keys=12),), (rank,), (Stop("a", "I", "Subbass", "8"), Stop("b", "I", "Echo", "8")),
        (Segment("a", (1, 12), "R", interval=0), Segment("b", (1, 12), "R", interval=0)),
    )  # fmt: skip
    heard = sound(scheme, {"a"}, [("I", 1), ("I", 2), ("I", 3)])
    assert (heard.calls, len(heard.pipes), heard.coincide, heard.cannot_sound_together) == (3, 2, 0, 1)
    both = sound(scheme, {"a", "b"}, [("I", 1), ("I", 2)])
    assert (both.calls, both.coincide, both.cannot_sound_together) == (4, 2, 1)


def test_what_is_gone_does_not_sound():
    scheme = Scheme(
        (full_keyboard(keys=2),), (Rank("R", 2, (36, 37), missing=frozenset({1})),),
        (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "8", state="silenced")),
        (Segment("a", (1, 2), "R", shift=0), Segment("b", (1, 2), "R", shift=0)),
    )  # fmt: skip
    assert list(sound(scheme, {"a", "b"}, [("I", 1), ("I", 2)]).pipes) == [("R", 2)]


@pytest.mark.parametrize(
    ("drawn", "held", "what"),
    [({"z"}, [("I", 1)], "'z'"), ({"s0"}, [("Z", 1)], "'Z'"), ({"s0"}, [("I", 0)], "1 to 5"),
     ({"s0"}, [("I", 6)], "1 to 5")],
)  # fmt: skip
def test_what_is_not_there_is_refused(drawn, held, what):
    with pytest.raises(SchemeError, match=what):
        sound(unit(5, ["8"]), drawn, held)


def test_a_thicket_of_couplers_is_refused_and_does_not_hang():
    couplers = tuple(Coupler(f"c{n}", "I", "I", (n % 7) - 3) for n in range(40))
    scheme = Scheme((full_keyboard(),), (), (), (), couplers=couplers)
    with pytest.raises(SchemeError, match="draw fewer"):
        press_keys(scheme, {c.id for c in couplers}, [("I", 30)])


@settings(max_examples=100, deadline=None)
@given(schemes())
def test_all_keys_by_hand_sound_the_calls_of_the_scheme(scheme):
    bare = Scheme(scheme.keyboards, scheme.ranks, scheme.stops, scheme.segments)
    drawn = [stop.id for stop in scheme.stops]
    held = [(k.id, key) for k in scheme.keyboards for key in range(1, k.keys + 1)]
    heard = sound(bare, drawn, held)
    present = {s.id for s in scheme.stops if s.state == "present"}
    wanted = {
        c for c in answered_calls(scheme) if c.stop in present and c.pipe not in scheme.rank[c.rank].missing
    }
    assert {call for calls in heard.pipes.values() for call in calls} == wanted
    # A polyphone pipe asked for n notes makes n(n − 1)/2 pairs: equal for two notes, more for three.
    assert heard.calls <= len(heard.pipes) + heard.coincide + heard.cannot_sound_together
    if not heard.cannot_sound_together:
        assert heard.calls == len(heard.pipes) + heard.coincide
