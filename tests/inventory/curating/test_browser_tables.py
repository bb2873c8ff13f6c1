"""In real Chromium: two people at one stoplist, cells looked at at once, regions by keys and by pointer, pictures."""

from __future__ import annotations

import io

import pytest
from axe_playwright_python.sync_playwright import Axe
from django.core.files.base import ContentFile
from PIL import Image

from inventory.actions import change_record
from inventory.models import Photograph, Rank, Region, Specification, Stop
from tests.factory import add_shared_rank, make_instrument, make_people
from tests.inventory.curating.conftest import settle

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cast(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    return make_people()


def picture(width: int = 600) -> bytes:
    to = io.BytesIO()
    Image.new("RGB", (width, 400), (120, 100, 80)).save(to, "JPEG")
    return to.getvalue()


def add_picture(organ, by) -> Photograph:
    row = Photograph(instrument=organ, code="front", shows="The front", credit="A", licence="CC BY 4.0")
    row.file.save("front.jpg", ContentFile(picture()), save=False)
    change_record(organ, version=organ.version, by=by, put=[row])
    return row


def check(page, desk, width: int, place: str) -> None:
    """axe finds nothing, the console is silent, nothing scrolls sideways."""
    found = [
        f"{one['id']}: {one['nodes'][0]['html'][:160]}" for one in Axe().run(page).response["violations"]
    ]
    assert found == [] and desk.complaints == [], (place, found, desk.complaints)
    assert page.evaluate("document.documentElement.scrollWidth") <= width, place


def test_a_cell_changed_is_looked_at_at_once_and_not_saved(cast, open_desk):
    organ = make_instrument(cast.curator)
    add_shared_rank(organ, cast.curator)
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/stoplists/as-found/scheme/")
    assert page.inner_text("#sum-recorded") == "68"
    page.fill("[name='rank.flute.pipes']", "56")
    page.keyboard.press("Tab")
    page.wait_for_selector("#sum-recorded:text-is('56')")
    assert "12 to add at the top" in page.inner_text("#try")
    assert Rank.objects.get().pipes == 68 and desk.complaints == []


def test_two_sessions_on_one_stoplist_both_texts_survive(cast, open_desk):
    organ = make_instrument(cast.curator)
    add_shared_rank(organ, cast.curator)
    mine, theirs = open_desk(cast.curator), open_desk(cast.editor, width=360)
    address = f"/instruments/{organ.reference}/stoplists/as-found/"
    one, other = mine.open(address), theirs.open(address)
    other.fill("[name='stop.flute-8.label']", "Their Flute")
    other.locator("button.main:visible").first.click()
    other.wait_for_selector("#messages >> text=Saved")
    one.fill("[name='stop.flute-8.label']", "My Flute")
    one.click("[data-line='stop.flute-4'] .further summary")
    one.fill("[name='stop.flute-4.note']", "an hour of typing")
    one.locator("button.main:visible").first.click()
    one.wait_for_selector("fieldset.contested")
    shown = one.locator("fieldset.contested").inner_text()
    assert "My Flute" in shown and "Their Flute" in shown and "Flute 8" in shown
    assert [v["id"] for v in Axe().run(one).response["violations"]] == []
    one.locator("button.main:visible").first.click()
    one.wait_for_selector("#messages >> text=Saved")
    assert set(Stop.objects.values_list("label", "note")) == {
        ("My Flute", ""),
        ("Flute 4", "an hour of typing"),
    }


@pytest.mark.parametrize("width", [1280, 360])
def test_a_region_is_drawn_by_keyboard_alone(cast, open_desk, width):
    organ = make_instrument(cast.curator)
    add_shared_rank(organ, cast.curator)
    row = add_picture(organ, cast.curator)
    desk = open_desk(cast.curator, width=width)
    page = desk.open(f"/instruments/{organ.reference}/photographs/{row.code}/")
    check(page, desk, width, "no region")
    page.locator("#grid-region-add").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".region-lines .grid-line")
    page.locator(".picture-board").focus()
    for key, times in (
        ("ArrowLeft", 5),
        ("ArrowDown", 3),
        ("Shift+ArrowRight", 4),
        ("Shift+Control+ArrowUp", 2),
    ):
        for _ in range(times):
            page.keyboard.press(key)
    page.keyboard.press("Enter")
    page.keyboard.type("Flute pipes")
    page.keyboard.press("Tab")
    page.keyboard.type("rank: Flute")
    check(page, desk, width, "region")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#messages >> text=Saved")
    region = Region.objects.get()
    assert (region.x, region.y, region.width, region.height) == (0.3, 0.38, 0.34, 0.2)
    assert (region.label, region.about) == ("Flute pipes", "rank:as-found/flute")


def test_a_region_is_drawn_by_pointer(cast, open_desk):
    organ = make_instrument(cast.curator)
    row = add_picture(organ, cast.curator)
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/photographs/{row.code}/")
    page.click("#grid-region-add")
    page.wait_for_selector(".region-lines .grid-line")
    frame = page.locator(".picture-board").bounding_box()
    page.mouse.move(frame["x"] + frame["width"] * 0.1, frame["y"] + frame["height"] * 0.2)
    page.mouse.down()
    page.mouse.move(frame["x"] + frame["width"] * 0.5, frame["y"] + frame["height"] * 0.7)
    page.mouse.up()
    page.fill(".of-label input", "The case")
    page.locator("button.main:visible").first.click()
    page.wait_for_selector("#messages >> text=Saved")
    region = Region.objects.get()
    box = [region.x, region.y, region.width, region.height]
    assert box == pytest.approx([0.1, 0.2, 0.4, 0.5], abs=0.01) and desk.complaints == []


def test_photographs_come_in_from_a_telephone(cast, open_desk):
    organ = make_instrument(cast.curator)
    desk = open_desk(cast.curator, width=360)
    page = desk.open(f"/instruments/{organ.reference}/add-photographs/")
    check(page, desk, 360, "upload")
    box = page.locator("#id-files")
    assert box.get_attribute("accept") == "image/*" and box.get_attribute("multiple") is not None
    files = [{"name": f"{n}.jpg", "mimeType": "image/jpeg", "buffer": picture(500 + n)} for n in range(3)]
    box.set_input_files([*files, {"name": "evil.jpg", "mimeType": "image/jpeg", "buffer": b"<svg></svg>"}])
    for name, text in (("shows", "Front"), ("credit", "A. Surveyor"), ("licence", "CC BY 4.0")):
        page.fill(f"[name={name}]", text)
    page.click("button.main")
    page.wait_for_selector(".message.error >> text=evil.jpg")
    page.wait_for_selector(".thumbs img")
    assert Photograph.objects.count() == 3 and page.locator(".thumbs img").count() == 3
    settle(page)
    check(page, desk, 360, "record")


def test_stoplists_side_by_side_fit_a_telephone(cast, open_desk):
    organ = make_instrument(cast.curator)
    add_shared_rank(organ, cast.curator)
    desk = open_desk(cast.curator, width=360)
    for path in ("compare-stoplists/", "stoplists/as-found/copy/"):
        page = desk.open(f"/instruments/{organ.reference}/{path}")
        check(page, desk, 360, path)
    assert Specification.objects.count() == 1
