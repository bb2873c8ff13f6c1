import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.charts import Panel, ShareRow, share_bars, small_multiples
from tests.drawing_checks import SVG, WORDS, boxes_of_text, check_drawing


def test_a_bar_is_as_long_as_its_share_and_n_stands_beside_it():
    rows = [ShareRow("a", 0.5, 0.3, 0.7, 10, 20), ShareRow("b", 1.0, 0.8, 1.0, 16, 16)]
    root = check_drawing(share_bars(rows, "Shares"), "shares")
    half, whole = (float(r.get("width")) for r in root.iter(SVG + "rect") if r.get("height") == "16")
    assert half == pytest.approx(whole / 2, abs=0.1)
    words = [box[0] for box in boxes_of_text(root)]
    assert "10 of 20" in words and "16 of 16" in words


def test_a_small_group_is_hatched_and_named_and_no_figure_is_no_nought():
    rows = [ShareRow("tiny", 1.0, 0.34, 1.0, 2, 2, small=True), ShareRow("none", None, None, None, 0, 0)]
    drawing = share_bars(rows, "Shares")
    check_drawing(drawing, "shares")
    assert "too small to be ranked" in drawing.caption
    assert "no figure" in drawing.svg and "none: no figure" in drawing.description


def test_a_percentage_given_for_a_share_is_refused():
    with pytest.raises(ValueError, match="fractions from 0 to 1"):
        share_bars([ShareRow("a", 62, 41, 79, 13, 21)], "Shares")


@given(
    st.lists(st.tuples(WORDS, st.floats(0, 1), st.integers(0, 99999)), max_size=25),
    st.booleans(),
)
@settings(max_examples=30, deadline=None)
def test_any_rows_stay_on_the_sheet(rows, narrow):
    made = [ShareRow(label, share, share * 0.8, min(1, share * 1.2), n, n + 5) for label, share, n in rows]
    check_drawing(share_bars(made, "Shares", narrow=narrow, prefix="c"), "c")


@given(
    st.lists(
        st.lists(st.tuples(WORDS, st.floats(0, 1e6)), max_size=20), max_size=7
    ),
    st.booleans(),
)  # fmt: skip
@settings(max_examples=30, deadline=None)
def test_any_panels_stay_on_the_sheet_and_share_one_scale(panels, narrow):
    made = [Panel(f"Panel {n}", bars, "a note") for n, bars in enumerate(panels)]
    check_drawing(small_multiples(made, "Panels", narrow=narrow, prefix="c"), "c")


def test_a_bar_below_zero_is_refused():
    with pytest.raises(ValueError, match="below zero"):
        small_multiples([Panel("a", [("x", -1.0)])], "Panels")
