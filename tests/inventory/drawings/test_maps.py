import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.maps import Cell, Place, locator_map
from tests.drawing_checks import SVG, WORDS, check_drawing

ISLE = [(0.0, 0.0), (30.0, 4.0), (26.0, 22.0), (5.0, 18.0)]


def test_a_cell_is_drawn_where_it_lies_with_north_up():
    drawing = locator_map(
        [ISLE], [Cell(5, 5, 5, "South"), Cell(5, 15, 5, "North")], places=[Place(15, 10, "Isle")]
    )
    root = check_drawing(drawing, "map")
    squares = [r for r in root.iter(SVG + "rect") if r.get("fill", "").startswith("url(#map-cell")]
    assert len(squares) == 2
    assert float(squares[0].get("y")) > float(squares[1].get("y"))
    assert squares[0].get("width") == squares[0].get("height")
    assert "grid cell of 5 km" in drawing.caption and "exact place is not shown" in drawing.caption


def test_only_the_cell_leaves_a_trace_in_the_drawing():
    drawing = locator_map([ISLE], [Cell(5, 5, 5)])
    assert drawing == locator_map([ISLE], [Cell(5, 5, 5)])
    assert drawing.svg.count("map-cell") == 2  # the hatching and the one square


def test_nothing_to_draw_is_refused():
    with pytest.raises(ValueError, match="nothing to draw"):
        locator_map([], [])


@given(
    st.lists(st.tuples(st.integers(-500, 500), st.integers(-500, 500)), min_size=1, max_size=8),
    WORDS,
    st.sampled_from([360, 720]),
)
@settings(max_examples=30, deadline=None)
def test_any_cells_with_any_labels_stay_on_the_sheet(corners, label, width):
    check_drawing(locator_map([], [Cell(x, y, 10, label) for x, y in corners], width=width, prefix="m"), "m")
