import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.courses import Line, Visit, course_drawing
from tests.drawing_checks import SVG, WORDS, check_drawing


def heard(*values: tuple[float, float]) -> Line:
    visits = [Visit(year, value, f"{value:.0f}", "level 2") for year, value in values]
    return Line("Heard", visits, 0, 100, "0", "100")


def test_a_point_stands_where_its_visit_and_its_value_are():
    root = check_drawing(course_drawing([heard((1984, 0), (2004, 50), (2024, 100))], "Course"), "course")
    points = [(float(c.get("cx")), float(c.get("cy"))) for c in root.iter(SVG + "circle")]
    (x0, y0), (x1, y1), (x2, y2) = points
    assert x1 - x0 == pytest.approx(x2 - x1, abs=0.2) and y0 - y1 == pytest.approx(y1 - y2, abs=0.2)
    assert y0 > y1 > y2  # more is higher


def test_visits_are_told_in_words_and_what_nobody_measured_is_said():
    drawing = course_drawing([heard((1984, 86), (2020, 97)), Line("Damp", [], 0, 100)], "Course")
    check_drawing(drawing, "course")
    assert "Heard: 1984 86, 2020 97" in drawing.description and "Damp: not measured" in drawing.description


def test_a_value_outside_its_scale_is_refused():
    with pytest.raises(ValueError, match="widen the scale"):
        course_drawing([heard((1984, 101))], "Course")


@given(
    st.lists(
        st.tuples(WORDS, st.lists(st.tuples(st.floats(1800, 2030), st.floats(0, 100)), max_size=6)),
        max_size=7,
    ),
    st.booleans(),
)
@settings(max_examples=25, deadline=None)
def test_any_course_stays_on_the_sheet(rows, narrow):
    lines = [
        Line(
            title,
            [Visit(y, v, f"{v:.1f}", "level 1") for y, v in visits],
            0,
            100,
            "0",
            "100",
            "note",
            (45, 75),
        )
        for title, visits in rows
    ]
    check_drawing(course_drawing(lines, "Course", narrow=narrow, prefix="c"), "c")
