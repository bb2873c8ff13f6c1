from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.keyboards import key_states, keyboard_strip
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from tests.drawing_checks import boxes_of_text, check_drawing, one_rank_scheme


def counted(scheme, stop):
    states = list(key_states(scheme, stop).values())
    return {state: states.count(state) for state in set(states)}


def test_each_stop_of_an_octave_extension_has_49_shared_and_12_own_keys():
    # DESIGN §4: each stop 49 shared and 12 own keys.
    scheme = one_rank_scheme(61, 73, [0, 12])
    assert counted(scheme, "s0") == {"own": 12, "shared": 49}
    assert counted(scheme, "s1") == {"own": 12, "shared": 49}


def test_a_tierce_on_85_pipes_is_silent_on_its_four_top_keys_and_crosses_them():
    scheme = one_rank_scheme(61, 85, [0, 28])
    assert [k for k, s in key_states(scheme, "s1").items() if s == "silent"] == [58, 59, 60, 61]
    drawing = keyboard_strip(scheme, "s1")
    root = check_drawing(drawing, "keys")
    assert "4 silent" in [box[0] for box in boxes_of_text(root)]
    assert "58–61" in drawing.description


def test_keys_outside_a_half_stop_are_not_called_silent():
    scheme = one_rank_scheme(49, 49, [0])
    half = Stop("s0", "I", "Cornet treble", keys=(26, 49))
    scheme = Scheme(scheme.keyboards, scheme.ranks, (half,), (Segment("s0", (26, 49), "Row", shift=0),))
    assert counted(scheme, "s0") == {"outside": 25, "own": 24}
    check_drawing(keyboard_strip(scheme, "s0"), "keys")


def test_a_missing_pipe_leaves_its_key_silent():
    keyboard = Keyboard("I", (36, 37, 38))
    rank = Rank("R", 3, (36, 37, 38), missing=frozenset({2}))
    scheme = Scheme((keyboard,), (rank,), (Stop("a", "I", "Flute"),), (Segment("a", (1, 3), "R", shift=0),))
    assert key_states(scheme, "a") == {1: "own", 2: "silent", 3: "own"}


def test_a_short_octave_is_drawn_in_the_order_of_its_keys_without_guessing_their_shapes():
    notes = (36, 41, 38, 43, 40, 45, 46, 47, *range(48, 85))
    scheme = Scheme(
        (Keyboard("I", notes),),
        (Rank("R", 45, tuple(sorted(notes))),),
        (Stop("a", "I", "Flute"),),
        (Segment("a", (1, 45), "R", interval=0),),
    )
    drawing = keyboard_strip(scheme, "a", narrow=True)
    check_drawing(drawing, "keys")
    assert 'stroke-width="1.3"' not in drawing.svg  # no raised keys


@given(st.integers(1, 128), st.integers(0, 40), st.booleans(), st.integers(24, 47))
@settings(max_examples=30, deadline=None)
def test_every_compass_is_drawn_whole_and_its_counts_add_up(keys, shift, narrow, low):
    keyboard = Keyboard("I", tuple(range(low, low + keys)))
    segments = (Segment("a", (1, keys), "R", shift=0), Segment("b", (1, keys), "R", shift=shift))
    rank = Rank("R", keys, tuple(range(low, low + keys)))
    scheme = Scheme((keyboard,), (rank,), (Stop("a", "I", "A"), Stop("b", "I", "B")), segments)
    assert sum(counted(scheme, "b").values()) == keys
    check_drawing(keyboard_strip(scheme, "b", prefix="k", narrow=narrow), "k")
