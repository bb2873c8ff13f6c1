"""Guided steps: their sums are those of the core, and they can be played."""

import re

import pytest

from inventory.organ.answers import evaluate_answer
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from inventory.organ.sounding import sound
from publishing.catalogue.flap_step import find_murmur
from publishing.catalogue.guided_steps import guided_steps
from tests.publishing.catalogue.playing_schemes import hand_made_schemes

SCHEMES = hand_made_schemes()


def steps_of(scheme):
    labels = {stop.id: f"{stop.name} {stop.footage}′ {stop.id}" for stop in scheme.stops}
    boards = {keyboard.id: keyboard.id for keyboard in scheme.keyboards}
    return guided_steps(scheme, evaluate_answer(scheme), labels, boards)


def five_octaves():
    """61 keys at 8′ and 4′ on one row of 73 (Grove, “Extension organ”: five C keys need six C pipes)."""
    notes = tuple(range(36, 97))
    return Scheme(
        (Keyboard("I", notes),),
        (Rank("r", 73, tuple(range(36, 109)), low=36),),
        (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
        (
            Segment("a", (1, 61), "r", interval=0, device="flap-valves"),
            Segment("b", (1, 61), "r", interval=12, device="flap-valves"),
        ),
    )


@pytest.mark.parametrize("name", SCHEMES)
def test_every_step_can_be_played_and_its_sum_is_the_core_s(name):
    scheme = SCHEMES[name]
    for step in steps_of(scheme):
        heard = sound(scheme, step.drawn, step.held)
        told = re.search(r"(\d+) calls? on (\d+) pipes?", step.notice)
        if told:
            assert (int(told[1]), int(told[2])) == (heard.calls, len(heard.pipes)), step
        assert "%" not in step.do + step.notice
        assert step.do and step.notice


def test_the_c_keys_of_an_octave_extension_are_told_as_in_the_books():
    first, second, both, meeting, flap = steps_of(five_octaves())
    assert first.drawn == ("a",) and len(first.held) == 6  # C to c⁴
    assert "6 calls on 6 pipes" in first.notice
    assert "5 of these pipes spoke a moment ago" in second.notice
    # n C keys at both pitches: 2n calls on n + 1 pipes; the lowest only at 8′, the highest only at 4′.
    assert "12 calls on 7 pipes: 5 coincide" in both.notice
    assert "Only Flute 8′ a asks pipe 1 (C)" in both.notice
    assert "Only Flute 4′ b asks pipe 73 (c⁵)" in both.notice
    # c¹ and c² on 8′ and 4′: three pipes, not four (Grove).
    assert "4 calls on 3 pipes" in meeting.notice
    assert flap.held_open.startswith("valve:") and "murmurs" in flap.notice


def test_a_flap_of_the_8_foot_held_open_lets_the_4_foot_of_its_own_key_murmur():
    murmur = find_murmur(five_octaves())
    assert murmur is not None and murmur.recorded
    # Worked by hand: the 4′ at c sounds pipe c¹; past the open flap its wind fills the channel of c¹, where the
    # 4′ is drawn as well: pipe c² murmurs, two octaves above the key that is held.
    assert murmur.valve == ("a", 25, "r", 25)
    assert murmur.held == (("I", 13),)
    assert set(murmur.drawn) == {"a", "b"}
    assert murmur.pipes == (("r", 37),)


def test_a_unit_chest_has_no_flap_to_hold_open():
    assert find_murmur(SCHEMES["unit"]) is None
    assert not any(step.held_open for step in steps_of(SCHEMES["unit"]))


def test_a_valve_nobody_saw_is_supposed_never_claimed():
    flap = steps_of(SCHEMES["no flaps recorded"])[-1]
    assert flap.do.startswith("Suppose nothing kept wind back")
    assert "none was seen, which does not mean that it is missing" in flap.notice


def test_stops_that_a_control_keeps_apart_give_no_step_that_draws_both():
    scheme = SCHEMES["controls"]
    for step in steps_of(scheme):
        assert not {"a", "b"} <= set(step.drawn)


def test_a_scheme_that_shares_nothing_has_no_steps():
    scheme = Scheme(
        (Keyboard("I", (36, 37)),),
        (Rank("r", 2, (36, 37)), Rank("q", 2, (36, 37))),
        (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Viol", "8")),
        (Segment("a", (1, 2), "r", shift=0), Segment("b", (1, 2), "q", shift=0)),
    )
    assert steps_of(scheme) == []
