"""The section through a unit chest: the valve opens when a contact and its switch are closed."""

from itertools import product

import pytest

from inventory.drawings.unit_sections import UnitWay, unit_section_drawing
from tests.drawing_checks import boxes_of_text, check_drawing


@pytest.mark.parametrize("narrow", [False, True])
@pytest.mark.parametrize("state", list(product([True, False], repeat=4)))
def test_the_valve_opens_exactly_when_one_way_is_closed_all_along(state, narrow):
    one, other, key, other_key = state
    ways = (UnitWay("Flute 8′", "c¹", one, key), UnitWay("Flute 4′", "c", other, other_key))
    drawing = unit_section_drawing("pipe 25, c¹", ways, prefix="p", narrow=narrow)
    root = check_drawing(drawing, "p")
    width = float(root.get("width"))
    for words, left, _top, right, _bottom in boxes_of_text(root):
        assert left >= -1 and right <= width + 1, words
    live = (one and key) or (other and other_key)
    assert ("The line is live" in drawing.description) is live
    assert ("The line is dead" in drawing.description) is not live


def test_a_second_contact_opens_nothing_more():
    way, more = UnitWay("Flute 8′", "c¹"), UnitWay("Flute 4′", "c")
    idle = UnitWay("Flute 4′", "c", drawn=False, pressed=False)
    both, one = unit_section_drawing("pipe 1", (way, more)), unit_section_drawing("pipe 1", (way, idle))
    assert "opens once" in both.caption
    assert both.svg.count("url(#unit-wind)") == one.svg.count("url(#unit-wind)")


def test_other_than_two_ways_are_refused():
    with pytest.raises(ValueError, match="exactly two"):
        unit_section_drawing("pipe 1", [UnitWay("a", "c")] * 3)
