"""Maps: the coast where places lie within it, squares and nothing closer, a list beside each."""

from __future__ import annotations

import json
import math
import re

import pytest

from publishing.catalogue.coast import CoastlineUnreadable, open_coast
from publishing.catalogue.map_page import radius_in_words
from publishing.disclosure.parts import shown_position

ISLE = {"islands": [{"name": "Isle", "outline": [[10.0, 59.0], [11.0, 59.0], [11.0, 61.0], [10.0, 61.0]]}]}


@pytest.fixture
def coast_file(tmp_path):
    path = tmp_path / "coast.json"
    path.write_text(json.dumps(ISLE))
    return path


def test_a_degree_of_longitude_at_60_is_half_a_degree_of_latitude(coast_file):
    coast = open_coast(coast_file, [])  # cos 60° = 1/2
    assert coast.true_latitude == 60.0
    x, y = coast.point(1.0, 1.0)
    assert y == pytest.approx(6371.0088 * math.pi / 180) and x == pytest.approx(y / 2)


def test_a_square_holds_the_place_and_is_drawn_whole(coast_file):
    coast, exact = open_coast(coast_file, []), (60.123, 10.456)
    cell = coast.cell(shown_position(*exact, "0.1"))
    x, y = coast.point(exact[1], exact[0])
    assert cell.x < x < cell.x + cell.size and cell.y < y < cell.y + cell.tall
    assert cell.tall == pytest.approx(11.119, abs=0.001) and cell.size == pytest.approx(cell.tall / 2)


def test_two_places_in_one_square_have_one_square(coast_file):
    coast = open_coast(coast_file, [])
    assert coast.cell(shown_position(60.11, 10.41, "0.1")) == coast.cell(shown_position(60.19, 10.49, "0.1"))


def test_land_is_left_out_where_a_place_lies_beyond_it(coast_file):
    assert open_coast(coast_file, [shown_position(60.0, 10.5, "0.1")]).islands
    assert not open_coast(
        coast_file, [shown_position(60.0, 10.5, "0.1"), shown_position(-30, 150, "0.1")]
    ).islands


def test_without_a_file_there_is_a_plain_grid_and_the_poles_do_no_harm(tmp_path):
    coast = open_coast(tmp_path / "none.json", [shown_position(89.99, 0, "0.1")])
    assert coast.islands == () and coast.across > 1


@pytest.mark.parametrize("text", ["{", '{"islands": [{"outline": [[1]]}]}', "[]", '{"islands": [3]}'])
def test_a_coast_that_cannot_be_read_says_what_to_do(tmp_path, text):
    path = tmp_path / "coast.json"
    path.write_text(text)
    with pytest.raises(CoastlineUnreadable, match="COLLECTION_COASTLINE"):
        open_coast(path, [])


def test_the_words_give_the_farthest_a_place_may_lie_from_the_middle():
    words = radius_in_words([shown_position(44.25, -36.35, "0.1"), shown_position(44.5, -36.5, "1")])
    assert "0.1°, within 6.9 km" in words and "1°" in words


@pytest.mark.slow
def test_every_instrument_with_a_place_is_on_the_map_page_once(demo_site):
    rows = json.loads((demo_site / "data" / "instruments.geojson").read_text())["features"]
    page = (demo_site / "map.html").read_text()
    linked = re.findall(r'href="instruments/([^"]+)\.html"', page)
    assert len(linked) == len(set(linked)) >= len([row for row in rows if row["geometry"]]) > 20


@pytest.mark.slow
def test_every_shown_place_has_a_small_map_with_one_square(demo_site):
    rows = json.loads((demo_site / "data" / "instruments.geojson").read_text())["features"]
    assert rows
    places = [
        page
        for page in (demo_site / "places").glob("PLC-*.html")
        if "the place lies within" in page.read_text()
    ]
    assert len(places) > 20
    for page in places:
        assert page.read_text().count('class="square"') == 1, page.name
