import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.toeboards import nominal_diameter_mm, toeboard_drawing
from inventory.organ.errors import SchemeError
from inventory.organ.layouts import LAYOUTS
from tests.drawing_checks import check_drawing, one_rank_scheme


def pipe_circles(svg):
    return [
        (float(x), float(r))
        for x, r in re.findall(
            r'<circle cx="([\d.]+)" cy="[\d.]+" r="([\d.]+)" fill="(?:url|var\(--metal)', svg
        )
    ]


def test_the_nominal_diameter_is_the_usual_scale():
    # values.md §5: 155.5 mm at 8′ C, halving on the 17th pipe.
    assert nominal_diameter_mm(36) == 155.5
    assert nominal_diameter_mm(52) == pytest.approx(77.75)
    assert nominal_diameter_mm(48) == pytest.approx(92.5, abs=0.1)


def test_every_pipe_stands_once_and_circles_keep_the_scale():
    circles = pipe_circles(toeboard_drawing(one_rank_scheme(49, 61, [0, 12]), ["s0", "s1"]).svg)[:61]
    assert len(circles) == 61
    assert [x for x, _r in circles] == sorted(x for x, _r in circles)
    assert circles[0][1] / circles[16][1] == pytest.approx(2, abs=0.05)


@pytest.mark.parametrize("layout", LAYOUTS)
def test_every_layout_is_drawn_whole_without_one_pipe_on_another(layout):
    drawing = toeboard_drawing(one_rank_scheme(54, 66, [0, 12]), ["s0", "s1"], layout=layout)
    check_drawing(drawing, "toeboard")
    circles = sorted(pipe_circles(drawing.svg)[:66])
    assert all(
        b - a >= ra + rb - 0.3 or min(ra, rb) <= 1.4
        for (a, ra), (b, rb) in zip(circles, circles[1:], strict=False)
    )
    assert layout in drawing.description and "not recorded" in drawing.caption


def test_with_octaves_together_the_4_foot_groove_reaches_a_neighbour():
    svg = toeboard_drawing(one_rank_scheme(54, 66, [0, 12]), ["s0", "s1"], layout="octaves together").svg
    ways = [
        float(b) - float(a)
        for path in re.findall(r'<path d="([^"]+)" stroke="[^"]+" stroke-width="[^"]+" stroke-dasharray', svg)
        for a, b in re.findall(r"M ([\d.]+) [\d.]+ L ([\d.]+)", path)
    ]
    assert len(ways) == 2 * 54
    assert max(abs(way) for way in ways) < 60


def test_an_order_as_found_is_kept_and_no_layout_is_claimed():
    order = [("I", key) for key in (3, 1, 2, 5, 4)]
    drawing = toeboard_drawing(one_rank_scheme(5, 5, [0]), ["s0"], channels=order, from_back=True)
    circles = pipe_circles(drawing.svg)[:5]
    assert [x for x, _r in circles] != sorted(x for x, _r in circles)
    assert drawing.caption.startswith("Seen from above and from behind: the back of the organ at the bottom")
    assert drawing.svg.index(">front<") < drawing.svg.index(">back<")
    assert "Layout" not in drawing.description and "not recorded" not in drawing.caption


def test_flaps_are_marked_only_where_they_are_recorded():
    marked = toeboard_drawing(one_rank_scheme(49, 61, [0, 12]), ["s0", "s1"]).svg
    plain = toeboard_drawing(one_rank_scheme(49, 61, [0, 12], device=None), ["s0", "s1"]).svg
    assert "flap valve recorded" in marked and "flap valve recorded" not in plain
    assert marked.count(" v 5") == 2 * 37  # one for each way into each shared pipe
    assert plain.count(" v 5") == 0


def test_no_stop_and_an_unknown_layout_are_refused_with_the_remedy():
    with pytest.raises(ValueError, match="at least one stop"):
        toeboard_drawing(one_rank_scheme(5, 5, [0]), [])
    with pytest.raises(SchemeError, match="chromatic"):
        toeboard_drawing(one_rank_scheme(5, 5, [0]), ["s0"], layout="spiral")


@given(
    st.integers(1, 61), st.integers(1, 130), st.lists(st.integers(-12, 36), min_size=1, max_size=8),
    st.sampled_from(LAYOUTS), st.booleans(),
)  # fmt: skip
@settings(max_examples=30, deadline=None)
def test_every_size_of_board_is_drawn_whole(keys, pipes, intervals, layout, narrow):
    stops = [f"s{n}" for n in range(len(intervals))]
    scheme = one_rank_scheme(keys, pipes, intervals)
    drawing = toeboard_drawing(scheme, stops, layout=layout, prefix="t", narrow=narrow)
    check_drawing(drawing, "t")
    assert drawing == toeboard_drawing(scheme, stops, layout=layout, prefix="t", narrow=narrow)
