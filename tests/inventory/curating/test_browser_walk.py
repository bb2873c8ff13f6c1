"""The whole way of one invented organ in Chromium, from an empty record to its release, at a telephone and a desk."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

from inventory.models import Instrument, Rank, Region, Segment, Stop
from tests.factory import make_maker, make_people, make_place, make_term
from tests.inventory.curating.conftest import settle
from tests.inventory.curating.test_browser_tables import picture
from tests.inventory.curating.test_stoplists import TEXT

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]
SHOTS = os.environ.get("UPPERBOARD_SHOTS")
"""A folder for a picture of every step, for whoever wants to look at the way."""


@pytest.fixture
def cast(transactional_db, settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path
    made = make_people()
    make_term("event", "built", en="new build")
    make_term("role", "builder", en="builder")
    make_term("family", "flutes", en="flutes")
    make_maker(made.keeper, name="Tobias Quillfeather", sort_name="Quillfeather, Tobias")
    return made


class Walk:
    """One window and what is looked at after each step."""

    def __init__(self, desk, width: int) -> None:
        self.desk, self.page, self.width, self.steps = desk, desk.page, width, 0

    def look(self, name: str) -> None:
        """axe finds nothing, the console is silent, nothing scrolls sideways; a picture if one is wanted."""
        self.steps += 1
        settle(self.page)
        if SHOTS:
            path = Path(SHOTS) / f"{self.width}-{self.steps:02d}-{name}.png"
            self.page.screenshot(path=path, full_page=True, caret="initial")  # hiding it takes a style
        found = [
            f"{one['id']}: {one['nodes'][0]['html'][:160]}"
            for one in Axe().run(self.page).response["violations"]
        ]
        assert found == [] and self.desk.complaints == [], (name, found, self.desk.complaints)
        assert self.page.evaluate("document.documentElement.scrollWidth") <= self.width, name

    def save(self) -> None:
        self.page.locator("button.main:visible").first.click()
        self.page.wait_for_selector("#messages >> text=Saved")


def folded_lines(page) -> None:
    """A long table on a telephone: a line each; a touch opens one; what is marked cannot be folded away."""
    address, lines = page.url, page.locator("#grid-stop .grid-line")
    assert lines.count() == page.locator("#grid-stop .folded").count() == 20
    assert page.evaluate("document.querySelector('#grid-stop').offsetHeight") < 20 * 80
    title = page.locator("#grid-stop .line-title").first
    title.click()
    assert title.get_attribute("aria-expanded") == "true"
    box = lines.first.locator("[name$='.footage']")
    right = box.input_value()
    box.fill("VIII")
    title.click()
    assert "VIII" in title.inner_text() and not box.is_visible()
    page.locator("button.main:visible").first.click()
    page.wait_for_selector("#grid-stop [aria-invalid]")
    assert lines.first.locator("[name$='.footage']").is_visible()  # opened by what is wrong in it
    lines.first.locator("[name$='.footage']").fill(right)
    page.locator(
        "button.main:visible"
    ).first.click()  # nothing differs from what is saved, and no draft is left
    page.wait_for_selector("#messages >> text=Saved")
    page.goto(address)
    title.click()


@pytest.mark.parametrize("width", [360, pytest.param(1280, marks=pytest.mark.thorough)])
def test_from_an_empty_record_to_its_release(cast, open_desk, width):
    walk = Walk(open_desk(cast.surveyor, width=width, height=780), width)
    page = walk.desk.open("/")
    walk.look("start")
    # A place, a new record in it.
    make_place(cast.curator, name="Quillhaven", kind="town")
    page.click("text=Record a new one")
    page.fill("[name=name]", "Gallery organ of the harbour chapel")
    page.select_option("[name=status]", "in use")
    page.fill("[name=place]", "Quillhaven")
    walk.look("new")
    page.click("button.main")
    page.wait_for_selector("#record-state")
    organ = Instrument.objects.get()
    one = f"/instruments/{organ.reference}/"
    walk.look("record")
    # History, with a date as people write it.
    page.click("#adding-events a.button")
    page.wait_for_selector("#adding-events form.editing")
    page.locator("#adding-events select[name=kind]").select_option(label="new build")
    page.fill("#adding-events [name=when]", "1841 or 1842")
    page.wait_for_selector("#adding-events fieldset.choice")
    page.check("#adding-events fieldset.choice input[type=radio]")
    page.fill("#adding-events [name=maker]", "Tobias Quillfeather")
    walk.look("event")
    page.click("#adding-events button.main")
    page.wait_for_selector("#rows-events li >> text=new build")
    assert organ.events.get().when == "[1841,1842]"
    # Twenty stops from a text.
    page = walk.desk.open(f"{one}read-stoplist/")
    page.fill("[name=name]", "As built")
    page.select_option("[name=basis]", "as built")
    page.check("[name=is_current]")
    page.fill("[name=as_written]", TEXT)
    page.click("#read-text")
    page.wait_for_selector("#grid-stop")
    for box in page.locator("#grid-stop .take input:not(:checked)").all():
        box.check()
    walk.look("read")
    page.locator("button.main:visible").first.click()
    page.wait_for_url("**/stoplists/as-built/")
    assert Stop.objects.count() == 20
    if width == 360:
        folded_lines(page)
    page.locator("#grid-stop .further summary").first.click()
    walk.look("table")
    # 8' and 4' on one row of pipes by one gesture; the right pipes for c1 + c2.
    page = walk.desk.open(f"{one}stoplists/as-built/scheme/")
    eight = Stop.objects.get(label="Stopped Diapason 8")
    four = Stop.objects.get(label="Flute 4", keyboard=eight.keyboard)
    page.select_option("#gesture-this", four.code)
    page.select_option("#gesture-that", eight.code)
    page.click("#gesture-octave-up")
    page.wait_for_selector("#sum-pipes:text-is('68')")
    for code in (eight.code, four.code):
        page.check(f"[name=drawn][value='{code}']")
    for key in (25, 37):
        page.locator(f"[name=held][value='{eight.keyboard.code}:{key}']").check()
    page.wait_for_selector(".speaking-pipe[data-number='49']")
    said = page.locator(".speaking-pipe").evaluate_all("all => all.map(one => Number(one.dataset.number))")
    assert said == [25, 37, 49]
    walk.look("scheme")
    walk.save()
    page.reload()
    assert page.inner_text("#sum-pipes") == "68"
    assert (Rank.objects.get().pipes, Segment.objects.count()) == (68, 2)
    # A photograph, and a region on it by keys alone.
    page = walk.desk.open(f"{one}add-photographs/")
    page.locator("#id-files").set_input_files(
        [{"name": "front.jpg", "mimeType": "image/jpeg", "buffer": picture()}]
    )
    for name, text in (("shows", "Front"), ("credit", "A. Surveyor"), ("licence", "CC BY 4.0")):
        page.fill(f"[name={name}]", text)
    walk.look("photographs")
    page.click("button.main")
    page.wait_for_selector(".thumbs a")
    page.locator(".thumbs a").first.click()
    page.wait_for_selector("#grid-region-add")
    page.locator("#grid-region-add").focus()
    page.keyboard.press("Enter")
    page.wait_for_selector(".region-lines .grid-line")
    settle(page)
    page.locator(".picture-board").focus()
    page.keyboard.press("ArrowLeft")
    page.keyboard.press("Shift+ArrowRight")
    page.keyboard.press("Enter")
    page.keyboard.type("Pipes of the front")
    walk.look("region")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#messages >> text=Saved")
    assert Region.objects.get().label == "Pipes of the front"
    # A survey; what is missing is in view; handed on, given to an editor, released.
    page = walk.desk.open(f"{one}rows/surveys/add/")
    page.fill("[name=when]", "2024-05-17")
    page.select_option("[name=level]", index=1)
    page.fill("[name=surveyor]", "A. Surveyor")
    page.fill("[name=limits]", "The bellows were not reached.")
    walk.look("survey")
    page.click("form.editing button.main")
    page.wait_for_selector("#messages >> text=Saved")
    walk.look("record with survey")
    page.click("details.steps summary")
    page.fill("#step-why", "ready")
    page.click("button[value=submit]")
    page.wait_for_selector("text=Handed on for review")
    walk.look("handed on")
    editor = Walk(open_desk(cast.editor, width=width, height=780), width)
    page = editor.desk.open("/")
    page.click(f"text={organ.name}")
    page.wait_for_selector("#record-state")
    page.click("details.steps summary")
    page.click("button[value=release]")
    page.wait_for_selector("#messages >> text=Released")
    editor.look("released")
    assert Instrument.objects.get().state == "released"
    left = walk.page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('draft:'))")
    assert left == []
