"""The section through stop channels: wind where the cones let it, and nowhere else."""

from itertools import product

import pytest

from inventory.drawings.cone_sections import ConeWay, cone_section_drawing
from tests.drawing_checks import boxes_of_text, check_drawing


def ways(drawn=(True, True), pressed=(True, False)):
    return (
        ConeWay("Flute 8′", "c¹", drawn[0], pressed[0]),
        ConeWay("Flute 4′", "c", drawn[1], pressed[1]),
    )


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("state", list(product([True, False], repeat=5)))
def test_every_state_is_drawn_whole_and_says_whether_the_pipe_speaks(state, narrow):
    one, other, key, other_key, valves = state
    drawing = cone_section_drawing(
        "pipe 25, c¹", ways((one, other), (key, other_key)), valves=valves, prefix="p", narrow=narrow
    )
    root = check_drawing(drawing, "p")
    width = float(root.get("width"))
    for words, left, _top, right, _bottom in boxes_of_text(root):
        assert left >= -1 and right <= width + 1, words
    speaks = (one and key) or (other and other_key)
    assert ("It speaks." in drawing.description) is speaks


def test_wind_goes_back_into_a_channel_that_is_off_only_past_a_lifted_cone_without_a_valve():
    back = "Wind goes back past the lifted cone"
    lifted = ways((True, False), (True, True))
    assert back in cone_section_drawing("pipe 1", lifted).description
    assert back not in cone_section_drawing("pipe 1", lifted, valves=True).description
    assert back not in cone_section_drawing("pipe 1", ways((True, False), (True, False))).description


def test_more_wind_is_drawn_where_more_channels_are_full():
    def full(drawing):
        return drawing.svg.count("url(#cones-wind)")

    assert full(cone_section_drawing("pipe 1", ways((False, False), (False, False)))) == 0
    assert full(cone_section_drawing("pipe 1", ways((True, False), (True, False)), valves=True)) < full(
        cone_section_drawing("pipe 1", ways((True, True), (True, True)), valves=True)
    )


def test_other_than_two_ways_are_refused():
    with pytest.raises(ValueError, match="exactly two"):
        cone_section_drawing("pipe 1", ways()[:1])
