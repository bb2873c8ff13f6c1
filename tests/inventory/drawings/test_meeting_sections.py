"""Two ways to one pipe of a slider chest: from one channel, from two, with flaps and without."""

from __future__ import annotations

import re

import pytest

from inventory.drawings.meeting_sections import MeetingWay, meeting_section_drawing
from tests.drawing_checks import check_drawing

ONE = MeetingWay("Bourdon 8", "C")


def words_of(drawing) -> str:
    """The labels, joined over the ends of their lines."""
    return " ".join(re.findall(r"<text[^>]*>([^<]*)</text>", drawing.svg))


OFF = MeetingWay("Montre 8", "c", drawn=False, pressed=False)


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("one_channel", [False, True])
@pytest.mark.parametrize("valves", [False, True])
def test_every_state_is_drawn_whole_with_its_words(narrow, one_channel, valves):
    for second in (ONE, OFF, MeetingWay("Montre 8", "c", pressed=False)):
        drawing = meeting_section_drawing(
            "pipe 1, C",
            [ONE, second],
            one_channel=one_channel,
            valves=valves,
            prefix="meeting",
            narrow=narrow,
        )
        check_drawing(drawing, "meeting")
        assert "It speaks." in drawing.description


def test_a_common_bass_has_one_channel_and_no_valve_is_claimed():
    drawing = meeting_section_drawing("pipe 1, C", [ONE, ONE], one_channel=True)
    assert words_of(drawing).count("channel of key C, full of wind") == 1 and "pallet, open" in words_of(
        drawing
    )
    assert "flap" not in words_of(drawing) and "no wind can go where nobody plays" in drawing.description


def test_two_channels_have_two_pallets_and_a_flap_is_shut_on_the_side_that_is_silent():
    drawing = meeting_section_drawing(
        "pipe 1, C", [ONE, MeetingWay("Montre 8", "c", pressed=False)], one_channel=False, valves=True
    )
    assert "pallet, open" in words_of(drawing) and "pallet, shut" in words_of(drawing)
    assert "lifted by the wind" in words_of(drawing) and "lying on its hole" in words_of(drawing)


def test_nothing_speaks_where_no_key_is_pressed_and_three_ways_are_refused():
    silent = meeting_section_drawing("pipe 1", [OFF, OFF], one_channel=False)
    assert "It is silent." in silent.description
    with pytest.raises(ValueError, match="exactly two"):
        meeting_section_drawing("pipe 1", [ONE, ONE, OFF], one_channel=False)
