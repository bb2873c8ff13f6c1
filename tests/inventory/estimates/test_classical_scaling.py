"""Classical scaling: distances that are flat come back, those that are not say so."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from inventory.estimates.classical_scaling import map_distances
from inventory.estimates.errors import EstimateError


def distances_of(points):
    return np.sqrt(((points[:, None] - points[None]) ** 2).sum(axis=2))


def test_a_rectangle_comes_back_with_its_long_side_first():
    table = distances_of(np.array([[0, 0], [6, 0], [6, 2], [0, 2.0]]))
    found = map_distances(table)
    assert distances_of(found.points) == pytest.approx(table)
    assert np.abs(found.points) == pytest.approx(np.array([[3, 1]] * 4))
    assert (found.shown, found.unflat) == (pytest.approx(1), pytest.approx(0, abs=1e-12))


def test_four_things_all_alike_far_cannot_be_shown_flat():
    # A tetrahedron has three equal axes; two of them show two thirds.
    found = map_distances(1 - np.eye(4))
    assert (found.shown, found.unflat) == (pytest.approx(2 / 3), pytest.approx(0, abs=1e-12))
    assert map_distances(1 - np.eye(4), dimensions=3).shown == pytest.approx(1)


def test_distances_that_break_the_triangle_are_said_to_be_unflat():
    assert map_distances([[0, 1, 5], [1, 0, 1], [5, 1, 0]]).unflat > 0.1


def test_everything_in_one_place_and_one_thing_alone():
    assert map_distances(np.zeros((3, 3))).points == pytest.approx(np.zeros((3, 2)))
    assert map_distances([[0]], dimensions=1).shown == 1


@settings(max_examples=50, deadline=None)
@given(arrays(float, st.tuples(st.integers(2, 9), st.just(2)), elements=st.floats(-10, 10, width=16)))
def test_points_on_a_plane_always_come_back(points):
    table = distances_of(points)
    assert distances_of(map_distances(table).points) == pytest.approx(table, abs=1e-5)


@settings(max_examples=30, deadline=None)
@given(st.integers(0, 1000))
def test_the_same_distances_draw_the_same_map(seed):
    table = distances_of(np.random.default_rng(seed).random((6, 4)))
    first, second = map_distances(table), map_distances(table.copy())
    assert (first.points == second.points).all()
    assert all(column[np.abs(column).argmax()] > 0 for column in first.points.T)


@pytest.mark.parametrize(
    "table",
    [[], [[0, 1]], [[0, -1], [-1, 0]], [[0, 1], [2, 0]], [[1, 1], [1, 0]], [[0, np.nan], [np.nan, 0]]],
)
def test_what_is_no_table_of_distances_is_refused(table):
    with pytest.raises(EstimateError):
        map_distances(table)


@pytest.mark.parametrize("dimensions", [0, 3])
def test_more_dimensions_than_things_are_refused(dimensions):
    with pytest.raises(EstimateError, match="outside 1 to 2"):
        map_distances([[0, 1], [1, 0]], dimensions)
