import hashlib

import numpy as np
import pytest

from inventory.drawings.instrument_views import STYLES, draw_console, draw_facade, draw_open_toeboard
from inventory.drawings.pictures import Canvas, region, wood_grain
from inventory.organ.errors import SchemeError


def check_regions(regions):
    for each in regions:
        assert each.label
        assert 0 <= each.x and each.x + each.width <= 1.0001 and each.width > 0
        assert 0 <= each.y and each.y + each.height <= 1.0001 and each.height > 0


def fingerprint(image):
    return hashlib.sha256(image.tobytes()).hexdigest()


@pytest.fixture(scope="module")
def front():
    return draw_facade(1, (3, 5, 3))


@pytest.fixture(scope="module")
def console():
    labels = [
        "Principal 8",
        "Quint 2 2/3",
        "Grosse Doppelflöte mit langem Namen 16",
        *(f"Stop {n}" for n in range(20)),
    ]
    return labels, *draw_console(3, 2, labels, "romantic 1885", keys=25, pedals=13)


def test_a_front_is_the_same_for_one_seed_and_another_for_another(front):
    first, regions = front
    again, same = draw_facade(1, (3, 5, 3))
    other, _ = draw_facade(2, (3, 5, 3))
    assert first.size == (1600, 1200) and first.mode == "RGB"
    assert fingerprint(first) == fingerprint(again) and regions == same
    assert fingerprint(first) != fingerprint(other)
    check_regions(regions)
    assert [r.label for r in regions][:3] == [
        "field 1: tower of 3 pipes",
        "field 2: flat of 5 pipes",
        "field 3: tower of 3 pipes",
    ]


def test_the_pipes_stand_inside_the_region_that_names_them(front):
    image, regions = front
    field = next(r for r in regions if r.label.startswith("field 2"))
    middle = np.asarray(image)[int((field.y + field.height * 0.55) * 1200)]
    inside = middle[int(field.x * 1600) : int((field.x + field.width) * 1600)].mean(axis=1)
    bright = inside > 120
    # Five pipes: five bright glints with dark between them.
    assert np.count_nonzero(bright[1:] & ~bright[:-1]) + int(bright[0]) >= 5


@pytest.mark.parametrize("style", [s for s in STYLES if s != "plain 1790s"])
def test_every_style_of_front_is_drawn(style):
    image, regions = draw_facade(4, (7, 9), style)
    check_regions(regions)
    assert np.asarray(image).std() > 25


def test_a_console_has_a_region_for_every_knob_under_its_own_label(console):
    labels, image, regions = console
    check_regions(regions)
    named = [r.label for r in regions]
    assert all(label in named for label in labels)
    assert sum(label.startswith("keyboard") for label in named) == 2
    again, _ = draw_console(3, 2, labels, "romantic 1885", keys=25, pedals=13)
    assert fingerprint(image) == fingerprint(again)


def test_knobs_of_one_console_do_not_overlap(console):
    labels, _image, regions = console
    knobs = [r for r in regions if r.label in labels]
    assert len(knobs) == 23
    for n, a in enumerate(knobs):
        for b in knobs[n + 1 :]:
            apart = a.x + a.width <= b.x + 1e-3 or b.x + b.width <= a.x + 1e-3
            assert apart or a.y + a.height <= b.y + 1e-3 or b.y + b.height <= a.y + 1e-3


@pytest.mark.parametrize("style", ["plain 1790s", "unit 1930"])
def test_knobs_with_paper_labels_and_tablets_have_their_regions_too(style):
    _image, regions = draw_console(3, 1, ["Principal 8", "Coupler"], style, keys=5, pedals=0)
    check_regions(regions)
    assert {"Principal 8", "Coupler"} <= {r.label for r in regions}


def test_an_opened_toeboard_names_its_rows_and_the_flap_that_is_lifted():
    image, regions = draw_open_toeboard(5, ["Principal 8", "Gedackt 8"], 12, True, "C and C sharp sides")
    check_regions(regions)
    labels = [r.label for r in regions]
    assert labels[:2] == ["row of Principal 8", "row of Gedackt 8"]
    assert any(label.startswith("flap lifted") for label in labels)
    again, _ = draw_open_toeboard(5, ["Principal 8", "Gedackt 8"], 12, True, "C and C sharp sides")
    assert fingerprint(image) == fingerprint(again)
    _image, plain = draw_open_toeboard(5, ["Principal 8"], 5, False)
    assert not any("flap" in r.label for r in plain)


def test_what_cannot_be_drawn_is_refused_with_the_range():
    with pytest.raises(ValueError, match="use one of"):
        draw_facade(1, (5,), "rococo")
    with pytest.raises(ValueError, match="1 to 25"):
        draw_facade(1, (0,))
    with pytest.raises(ValueError, match="1 to 4"):
        draw_console(1, 5, [])
    with pytest.raises(ValueError, match="at most 72"):
        draw_console(1, 1, ["x"] * 73)
    with pytest.raises(ValueError, match="1 to 8 rows"):
        draw_open_toeboard(1, [], 12)
    with pytest.raises(SchemeError, match="chromatic"):
        draw_open_toeboard(1, ["a"], 12, True, "spiral")


def test_regions_are_cut_at_the_edge_of_the_picture_and_grain_keeps_its_size():
    box = region("x", -50, 100, 1700, 1300)
    assert (box.x, box.y, box.width) == (0, round(100 / 1200, 4), 1)
    assert wood_grain(np.random.default_rng(1), 30, 7, (0.5, 0.4, 0.3), upright=False).shape == (7, 30, 3)
    canvas = Canvas((0, 0, 0))
    canvas.polygon([(-20, -20), (-10, -20), (-10, -10)], (1, 1, 1))
    canvas.words(1599, 1199, "ends beyond the edge ♯", 20, (1, 1, 1))
    assert canvas.pixels[0, 0, 0] == 0
