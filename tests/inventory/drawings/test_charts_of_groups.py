"""Charts over decades and of likeness: drawn true, titled, readable without colour."""

import pytest

from inventory.drawings.charts_of_likeness import MARKS, Point, likeness_map, likeness_squares
from inventory.drawings.charts_over_time import Decade, decade_bars
from tests.drawing_checks import SVG, boxes_of_text, check_drawing


@pytest.mark.parametrize("narrow", [False, True])
def test_a_decade_is_as_high_as_its_instruments_and_gaps_stay_open(narrow):
    drawing = decade_bars([Decade(1850, 1.0, 2.0), Decade(1880, 4.0, 4.0)], "Decades", narrow=narrow)
    root = check_drawing(drawing, "decades")
    heights = [float(r.get("height")) for r in root.iter(SVG + "rect") if r.get("stroke")]
    assert heights == pytest.approx([75, 37.5, 150, 150], abs=0.1)
    words = [box[0] for box in boxes_of_text(root)]
    assert "1850" in words and "1880" in words
    assert "1850s: 1.00 of 2.00" in drawing.description


def test_no_decade_is_an_empty_chart_and_no_fault():
    check_drawing(decade_bars([], "Decades"), "decades")


def test_likeness_is_told_by_size_and_the_diagonal_is_left_out():
    drawing = likeness_squares(["a", "b", "c"], [[1, 0.96, 0.1], [0.96, 1, 0.7], [0.1, 0.7, 1]], "Likeness")
    root = check_drawing(drawing, "squares")
    squares = [float(r.get("width")) for r in root.iter(SVG + "rect") if r.get("stroke-width") == "0.6"]
    assert len(squares) == 4 and len(set(squares)) == 2


@pytest.mark.parametrize("narrow", [False, True])
def test_groups_on_a_map_have_marks_of_different_shape(narrow):
    points = [Point(n, float(n % 3), float(n % 2), f"maker {n}") for n in range(len(MARKS))]
    drawing = likeness_map(points, "Map", narrow=narrow)
    check_drawing(drawing, "map")
    assert all(mark in drawing.description for mark in MARKS)
    assert drawing.svg.count("<polygon") == 4  # triangle and diamond, in the map and in the legend


@pytest.mark.parametrize(
    "points", [[], [Point(1, 0.0, 0.0, "a")], [Point(1, 0.0, 0.0, "a"), Point(2, 0.0, 0.0, "a")]]
)
def test_none_one_or_equal_points_divide_by_nothing(points):
    drawing = likeness_map(points, "Map")
    assert "nan" not in drawing.svg and "inf" not in drawing.svg
