"""Orders of channels: every rule by hand, and orders as found."""

import random

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from inventory.organ.errors import SchemeError
from inventory.organ.layouts import LAYOUTS, nearest_layout, order_channels
from inventory.organ.schemes import Keyboard
from tests.inventory.organ.scheme_cases import full_keyboard, short_keyboard

OCTAVE = Keyboard("I", tuple(range(36, 48)))


def keys(layout, *keyboards):
    return [key for _, key in order_channels(layout, keyboards)]


@pytest.mark.parametrize(
    ("layout", "order"),
    [
        # C C♯ D … B are keys 1 to 12 (common practice, drawn by hand).
        ("chromatic", [1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12]),
        ("C and C sharp sides", [1, 3, 5, 7, 9, 11, 12, 10, 8, 6, 4, 2]),
        ("C and C sharp sides, large in the centre", [11, 9, 7, 5, 3, 1, 2, 4, 6, 8, 10, 12]),
        ("C chest and C sharp chest", [1, 3, 5, 7, 9, 11, 2, 4, 6, 8, 10, 12]),
        # practice.md §3.1: C E G♯ | C♯ F A | D F♯ A♯ | D♯ G B, and C D♯ F♯ A | C♯ E G A♯ | D F G♯ B.
        ("major thirds", [1, 5, 9, 2, 6, 10, 3, 7, 11, 4, 8, 12]),
        ("minor thirds", [1, 4, 7, 10, 2, 5, 8, 11, 3, 6, 9, 12]),
    ],
)
def test_an_octave_in_every_rule(layout, order):
    assert keys(layout, OCTAVE) == order


def test_octaves_of_each_note_stand_together():
    assert keys("octaves together", full_keyboard("I", 25))[:5] == [1, 13, 25, 2, 14]


def test_basses_stand_outside_and_the_treble_is_chromatic():
    order = keys("bass outside, treble chromatic", full_keyboard("I", 15))
    assert order == [1, 3, 5, 7, 9, 11, 13, 14, 15, 12, 10, 8, 6, 4, 2]


def test_two_keyboards_are_interleaved_note_by_note():
    one, other = Keyboard("I", (36, 37)), Keyboard("II", (36, 37))
    assert order_channels("chromatic", [one, other]) == (("I", 1), ("II", 1), ("I", 2), ("II", 2))


def test_keyboards_of_different_lowest_note_are_interleaved_by_note():
    one, other = Keyboard("I", (36, 37)), Keyboard("II", (37, 38))
    assert order_channels("chromatic", [one, other]) == (("I", 1), ("I", 2), ("II", 1), ("II", 2))


def test_a_short_octave_is_ordered_by_its_notes():
    # Keys 1 to 8 sound C F D G E A B♭ B.
    assert keys("chromatic", short_keyboard())[:8] == [1, 3, 5, 2, 4, 6, 7, 8]
    assert keys("C and C sharp sides", short_keyboard())[:4] == [1, 3, 5, 7]


def test_channels_beyond_the_last_key_have_their_place():
    assert len(keys("chromatic", full_keyboard("I", 5, reach=7))) == 12


def test_an_unknown_rule_is_refused_with_the_known_ones():
    with pytest.raises(SchemeError, match="octaves together"):
        order_channels("spiral", [OCTAVE])


@pytest.mark.parametrize("layout", LAYOUTS)
def test_a_rule_recognises_itself_and_its_mirror(layout):
    keyboard = full_keyboard("I", 54)
    order = order_channels(layout, [keyboard])
    assert nearest_layout(order, [keyboard]).layout == layout
    near = nearest_layout(order[::-1], [keyboard])
    assert near.moved == () and near.mirrored


@settings(max_examples=60, deadline=None)
@given(seed=st.integers(0, 10**6))
def test_up_to_three_planted_moves_are_found_exactly(seed):
    rng = random.Random(seed)
    keyboard = rng.choice([full_keyboard("I", 54), short_keyboard(), full_keyboard("I", 61)])
    layout = rng.choice(LAYOUTS)
    order = list(order_channels(layout, [keyboard]))
    planted = rng.sample(order, rng.randint(1, 3))
    left = [channel for channel in order if channel not in planted]
    # Far from where they stood, and not beside each other, so that no fewer moves do.
    slots = sorted(rng.sample(range(4, len(left) - 4, 4), len(planted)), reverse=True)
    for channel, slot in zip(planted, slots, strict=True):
        assume(abs(order.index(channel) - slot) >= 8)
        left.insert(slot, channel)
    near = nearest_layout(left, [keyboard])
    assert near.layout == layout and not near.mirrored
    assert len(near.moved) == len(planted)
    assert set(near.moved) == set(planted)


def test_fewest_moves_equal_a_plain_longest_common_subsequence():
    rng = random.Random(5)
    keyboard = full_keyboard("I", 12)
    for _ in range(60):
        found = [("I", k) for k in range(1, 13)]
        rng.shuffle(found)
        fewest = min(
            len(found) - common(found, list(order)[::step])
            for layout in LAYOUTS
            for order in [order_channels(layout, [keyboard])]
            for step in (1, -1)
        )
        assert len(nearest_layout(found, [keyboard]).moved) == fewest


def common(one, other):
    """Length of a longest common subsequence, by the plain table."""
    table = [[0] * (len(other) + 1) for _ in range(len(one) + 1)]
    for i, a in enumerate(one):
        for j, b in enumerate(other):
            table[i + 1][j + 1] = table[i][j] + 1 if a == b else max(table[i][j + 1], table[i + 1][j])
    return table[-1][-1]


def test_channels_no_keyboard_has_count_as_moved_and_nothing_found_is_no_break():
    near = nearest_layout([("I", 1), ("X", 9), ("I", 2)], [OCTAVE])
    assert near.moved == (("X", 9),)
    assert nearest_layout([], [OCTAVE]).moved == ()
