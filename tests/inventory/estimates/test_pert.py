"""Three-point estimates against worked examples; each source stands beside its check."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.errors import EstimateError
from inventory.estimates.pert import ThreePoint, Total, total_of

# A textbook network (Heizer and Render type) read at royalcustomessays.com, MAN4504.
NETWORK = {
    "A": (7, 9, 14), "B": (2, 2, 8), "C": (8, 12, 16), "D": (3, 5, 10), "E": (4, 6, 8), "F": (6, 8, 10),
    "G": (2, 3, 4), "H": (2, 2, 8), "I": (6, 8, 16), "J": (4, 6, 14), "K": (2, 2, 5),
}  # fmt: skip
AFTER = {
    "B": "A",
    "C": "A",
    "D": "A",
    "E": "B",
    "F": "B",
    "G": "CF",
    "H": "D",
    "I": "H",
    "J": "GI",
    "K": "EJ",
}


def test_a_worked_line():
    # calhub.xyz: low 4, likely 6, high 12 gives 6.67 and 1.33.
    line = ThreePoint(4, 6, 12)
    assert (line.mean, line.deviation) == (pytest.approx(6.67, abs=0.005), pytest.approx(1.33, abs=0.005))
    assert line.variance == pytest.approx(16 / 9)


def test_the_network_line_by_line():
    # Variances as printed with the problem; means are arithmetic.
    variances = (1.361, 1.000, 1.778, 1.361, 0.444, 0.444, 0.111, 1.000, 2.778, 2.778, 0.250)
    means = (9.5, 3, 12, 5.5, 6, 8, 3, 3, 9, 7, 2.5)
    lines = [ThreePoint(*points) for points in NETWORK.values()]
    assert [line.variance for line in lines] == pytest.approx(variances, abs=6e-4)
    assert [line.mean for line in lines] == pytest.approx(means)


def test_the_network_along_its_longest_path():
    # Arithmetic: A-D-H-I-J-K, 36.5, variance 9.528, deviation 3.087.
    def paths(step):
        return [path + step for before in AFTER.get(step, "") for path in paths(before)] or [step]

    longest = max(paths("K"), key=lambda path: sum(ThreePoint(*NETWORK[step]).mean for step in path))
    assert longest == "ADHIJK"
    total = total_of(ThreePoint(*NETWORK[step]) for step in longest)
    assert total.mean == pytest.approx(36.5)
    assert total.deviation**2 == pytest.approx(9.528, abs=6e-4)
    assert total.deviation == pytest.approx(3.087, abs=6e-4)


def test_the_trap_variances_add_and_deviations_do_not():
    # gristprojectmanagement.us: sum of squares 14.98 gives 3.87; total 103, bands 99.13-106.87, 95.26-110.74.
    assert math.sqrt(14.98) == pytest.approx(3.87, abs=0.005)
    total = Total(103, 3.87, 0)
    assert total.band(1) == pytest.approx((99.13, 106.87))
    assert total.band(2) == pytest.approx((95.26, 110.74))
    two = [ThreePoint(0, 3, 6), ThreePoint(0, 3, 6)]
    assert total_of(two).deviation == pytest.approx(math.sqrt(2))
    assert total_of(two, correlation=1).deviation == pytest.approx(2)


def test_no_lines_cost_nothing_and_a_sure_line_has_no_deviation():
    assert total_of([]) == Total(0, 0, 0)
    assert ThreePoint(5, 5, 5).deviation == 0


@pytest.mark.parametrize("points", [(3, 2, 4), (1, 5, 4), (5, 4, 3), (math.nan, 1, 2), (1, 2, math.inf)])
def test_points_that_do_not_rise_are_refused(points):
    with pytest.raises(EstimateError, match="do not rise"):
        ThreePoint(*points)


@pytest.mark.parametrize("correlation", [-0.1, 1.1, math.nan])
def test_correlation_out_of_range_is_refused(correlation):
    with pytest.raises(EstimateError, match="0 is independent"):
        total_of([], correlation=correlation)


LINES = st.lists(
    st.lists(st.floats(0, 1e6), min_size=3, max_size=3).map(lambda points: ThreePoint(*sorted(points))),
    max_size=12,
)


@settings(max_examples=80, deadline=None)
@given(LINES, st.floats(0, 1), st.floats(0, 1))
def test_more_correlation_never_makes_a_total_surer(lines, one, other):
    less, more = sorted((one, other))
    alone, some, rather, fully = (total_of(lines, correlation=c).deviation for c in (0, less, more, 1))
    assert alone <= some * (1 + 1e-9) + 1e-9
    assert some <= rather * (1 + 1e-9) + 1e-9
    assert fully == pytest.approx(sum(line.deviation for line in lines), abs=1e-6)
