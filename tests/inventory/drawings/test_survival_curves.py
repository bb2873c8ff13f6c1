import pytest

from inventory.drawings.survival_curves import Stair, share_at, survival_drawing
from tests.drawing_checks import SVG, check_drawing

EARLY = Stair([10, 40], [0.75, 0.5], [0.4, None], [0.95, None], [4, 3, 1])
LATE = Stair([20, 60], [0.8, 0.6], [0.5, 0.2], [0.97, 0.9], [4, 4, 2])


@pytest.mark.parametrize("narrow", [False, True])
def test_two_stairs_stay_on_the_sheet_and_say_their_figures(narrow):
    drawing = survival_drawing(EARLY, LATE, "Going", longest=80, ticks=[0, 25, 50], narrow=narrow)
    root = check_drawing(drawing, "survival")
    assert "after 25 years 75 % to 80 % still going" in drawing.description
    dashed = [p for p in root.iter(SVG + "path") if p.get("stroke-dasharray")]
    assert len(dashed) == 1  # the early curve is told apart without colour


def test_a_curve_of_nothing_is_a_level_line():
    none = Stair([], [], [], [], [0])
    check_drawing(survival_drawing(none, none, "Going", longest=10, ticks=[0]), "survival")
    assert share_at(none, 5) == 1.0


def test_shares_beyond_one_are_refused():
    with pytest.raises(ValueError, match="shares from 0 to 1"):
        survival_drawing(Stair([1], [80], [None], [None], [1]), LATE, "x", longest=10, ticks=[0])
