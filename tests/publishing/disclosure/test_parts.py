"""Positions on a fixed grid, with the radius that covers the square."""

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from publishing.disclosure.parts import plain_number, shown_position, when

GRIDS = ["1", "0.1", "0.01", "0.001"]


# standards.md §3.6: radius at 50 N by pyproj on the ellipsoid (farthest corner); ours is on a sphere.
@pytest.mark.parametrize("grid, metres", [("1", 66_068), ("0.1", 6_608), ("0.01", 661), ("0.001", 67)])
def test_against_the_radius_computed_on_the_ellipsoid(grid, metres):
    position = shown_position(Decimal("50.0001"), Decimal("7.0001"), Decimal(grid))
    assert position is not None
    assert position.radius_m == pytest.approx(metres, rel=0.006, abs=10)


@given(
    st.decimals(-89, 89, places=5), st.decimals(-179, 179, places=5), st.sampled_from(GRIDS)
)  # fmt: skip
def test_every_point_lies_within_the_radius_of_what_is_shown(latitude, longitude, grid):
    position = shown_position(latitude, longitude, Decimal(grid))
    assert position is not None
    away = _great_circle(position.latitude, position.longitude, float(latitude), float(longitude))
    assert away <= position.radius_m


def _great_circle(lat1, lon1, lat2, lon2):
    a, b, c = math.radians(lat1), math.radians(lat2), math.radians(lon2 - lon1)
    h = math.sin((b - a) / 2) ** 2 + math.cos(a) * math.cos(b) * math.sin(c / 2) ** 2
    return 2 * 6_371_008.8 * math.asin(math.sqrt(h))


def test_all_points_of_one_square_are_shown_alike():
    shown = {
        shown_position(Decimal(lat), Decimal(lon), Decimal("0.1"))
        for lat, lon in [("50.00001", "7.00001"), ("50.09999", "7.09999"), ("50.05", "7.05")]
    }
    assert len(shown) == 1
    (one,) = shown
    assert (one.latitude, one.longitude) == (50.05, 7.05)


def test_south_and_west_round_to_their_own_square():
    position = shown_position(Decimal("-12.34"), Decimal("-45.67"), Decimal("0.1"))
    assert (round(position.latitude, 3), round(position.longitude, 3)) == (-12.35, -45.65)


def test_without_a_grid_nothing_is_shown():
    assert shown_position(Decimal("1"), Decimal("2"), None) is None
    assert shown_position(None, Decimal("2"), Decimal("0.1")) is None


def test_numbers_are_printed_without_trailing_noughts():
    assert [plain_number(Decimal(n)) for n in ("435.00", "70", "15.50")] == ["435", "70", "15.5"]
    assert plain_number(None) == ""


def test_an_empty_date_is_no_date():
    assert when("") is None
    assert when("1885~").words == "about 1885"
