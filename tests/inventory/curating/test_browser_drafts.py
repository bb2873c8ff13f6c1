"""In Chromium: lines of tables not saved yet survive a reload and an ended session; steps go back by keys."""

from __future__ import annotations

import pytest
from django.contrib.sessions.models import Session

from inventory.actions import change_record
from inventory.models import Instrument, Stop
from tests.factory import add_shared_rank, make_instrument, make_people
from tests.inventory.curating.conftest import settle

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cast(transactional_db):
    return make_people()


@pytest.fixture
def organ(cast):
    made = make_instrument(cast.curator)
    add_shared_rank(made, cast.curator)
    return made


def labels(page) -> list[str]:
    return page.locator("#grid-stop .of-label input").evaluate_all("all => all.map(one => one.value)")


def press(page, key: str, lines: int) -> None:
    page.keyboard.press(key)
    from playwright.sync_api import expect

    expect(page.locator("#grid-stop .grid-line")).to_have_count(lines)
    settle(page)
    page.wait_for_timeout(80)  # the answer is in the page; its settling is not


def test_lines_are_added_moved_doubled_divided_and_taken_back_by_keys_and_survive(cast, organ, open_desk):
    desk = open_desk(cast.curator)
    address = f"/instruments/{organ.reference}/stoplists/as-found/"
    page = desk.open(address)
    page.focus("[name='stop.flute-4.label']")
    press(page, "Alt+n", 3)
    assert page.evaluate("document.activeElement.name") == "stop.new-1.keyboard"
    page.fill("[name='stop.new-1.label']", "Trumpet 8")
    press(page, "Alt+h", 4)
    halves = page.locator("#grid-stop .of-half select").evaluate_all("all => all.map(one => one.value)")
    assert halves[2:] == ["bass", "treble"] and labels(page)[2:] == ["Trumpet 8", "Trumpet 8"]
    page.focus("[name='stop.flute-8.label']")
    press(page, "Alt+d", 5)
    page.focus("[name='stop.flute-4.label']")
    press(page, "Alt+ArrowDown", 5)
    assert page.evaluate("document.activeElement.name") == "stop.flute-4.label"
    assert labels(page) == ["Flute 8", "Flute 4", "Flute 8", "Trumpet 8", "Trumpet 8"]
    press(page, "Alt+z", 5)
    press(page, "Alt+z", 4)
    press(page, "Alt+Shift+z", 5)
    assert labels(page) == ["Flute 4", "Flute 8", "Flute 8", "Trumpet 8", "Trumpet 8"]
    press(page, "Alt+Delete", 4)
    press(page, "Alt+z", 5)
    assert Stop.objects.count() == 2 and desk.complaints == []

    # A reload: nothing is lost, and what others saved meanwhile is not overwritten.
    root = Instrument.objects.get(pk=organ.pk)
    flute = Stop.objects.get(code="flute-4")
    flute.note = "their note"
    change_record(root, version=root.version, by=cast.editor, put=[flute])
    page = desk.open(address)
    assert labels(page) == ["Flute 4", "Flute 8"]
    page.click(".draft-note button.main")
    page.wait_for_selector("[name='stop.new-1.label']")
    assert labels(page) == ["Flute 4", "Flute 8", "Flute 8", "Trumpet 8", "Trumpet 8"]
    assert "Nothing of it is saved" in page.inner_text(".said")

    # The session ends: sign in again, and the lines are offered again.
    Session.objects.all().delete()
    page.locator("button.main:visible").first.click()
    page.wait_for_selector("[name=username]")
    page.fill("[name=username]", cast.curator.username)
    page.fill("[name=password]", "a long enough word")
    page.click("button.main")
    page.click(".draft-note button.main")
    page.wait_for_selector("[name='stop.new-1.label']")
    page.locator("button.main:visible").first.click()
    page.wait_for_selector("#messages >> text=both stand")
    assert Stop.objects.count() == 5 and Stop.objects.get(code="flute-4").note == "their note"
    assert page.locator(".draft-note").count() == 0
    page.reload()
    assert page.locator(".draft-note").count() == 0 and desk.complaints == []


def test_a_draft_of_tables_is_thrown_away_and_forgotten_on_signing_out(cast, organ, open_desk):
    desk = open_desk(cast.curator, width=360)
    address = f"/instruments/{organ.reference}/stoplists/as-found/scheme/"
    page = desk.open(address)
    page.click("#grid-segment-add")
    page.wait_for_selector("[name='segment.new-1.first_key']")
    page.reload()
    assert page.locator("#grid-segment[inert], [inert] #grid-segment").count() == 1
    page.click(".draft-note button:not(.main)")
    assert page.locator("[inert]").count() == 0
    page.reload()
    assert page.locator(".draft-note").count() == 0
    page.fill("[name='rank.flute.pipes']", "60")
    page.reload()
    assert page.locator(".draft-note").count() == 1
    page.click("text=Sign out")
    page.wait_for_selector("text=Sign in again")
    assert page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('draft:'))") == []
    assert desk.complaints == []


def test_fields_put_back_are_compared_with_what_was_saved_since(cast, organ, open_desk):
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/fields/main/")
    page.fill("[name=summary]", "MY summary")
    root = Instrument.objects.get(pk=organ.pk)
    root.summary = "THEIR summary"
    change_record(root, version=root.version, by=cast.editor, put=[root])
    page.reload()
    page.wait_for_selector(".draft-note")
    assert page.input_value("[name=summary]") == "MY summary"
    page.click("form.editing button.main")
    page.wait_for_selector("form.conflict")
    assert "THEIR summary" in page.inner_text("form.conflict")
    assert Instrument.objects.get(pk=organ.pk).summary == "THEIR summary"
