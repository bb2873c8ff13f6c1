"""In real Chromium: nothing typed is lost, whoever else saves, whatever ends the session."""

from __future__ import annotations

import pytest
from django.contrib.sessions.models import Session

from inventory.models import Change, Instrument, Layer
from tests.factory import make_instrument, make_people, make_term

pytestmark = [pytest.mark.browser, pytest.mark.django_db(transaction=True)]


@pytest.fixture
def cast(transactional_db):
    make_term("event", "built", en="new build")
    return make_people()


def change_main(desk, organ):
    page = desk.open(f"/instruments/{organ.reference}/")
    page.click("#group-main a.button")
    page.wait_for_selector("#group-main form.editing")
    return page


def test_a_part_is_changed_in_place_and_saved_by_itself(cast, open_desk):
    organ = make_instrument(cast.surveyor)
    desk = open_desk(cast.curator)
    page = change_main(desk, organ)
    page.fill("[name=name]", "Organ of the north aisle")
    page.fill("[name=why_changed]", "label read")
    page.click("#group-main button.main")
    page.wait_for_selector("#identity >> text=Organ of the north aisle")
    assert page.locator("#record-state").inner_text().count("version 2") == 1
    assert page.url.endswith(f"/instruments/{organ.reference}/")
    line = Change.objects.of(organ).first()
    assert (line.version, line.who, line.why) == (2, cast.curator, "label read")
    assert desk.complaints == []


def test_two_people_at_one_field_both_texts_survive_and_the_second_chooses(cast, open_desk):
    organ = make_instrument(cast.surveyor, summary="old words")
    first, second = open_desk(cast.curator), open_desk(cast.editor)
    mine, theirs = change_main(first, organ), change_main(second, organ)
    theirs.fill("[name=summary]", "THEIR summary")
    theirs.click("#group-main button.main")
    theirs.wait_for_selector("#messages >> text=Saved")
    mine.fill("[name=summary]", "MY summary, typed for an hour")
    mine.click("#group-main button.main")
    mine.wait_for_selector("form.conflict")
    shown = mine.locator("form.conflict").inner_text()
    assert "MY summary, typed for an hour" in shown and "THEIR summary" in shown and "old words" in shown
    assert str(cast.editor) in shown
    organ.refresh_from_db()
    assert organ.summary == "THEIR summary"
    mine.click("form.conflict button.main")
    mine.wait_for_selector("#messages >> text=Saved")
    organ.refresh_from_db()
    assert (organ.summary, organ.version) == ("MY summary, typed for an hour", 3)
    assert any("THEIR summary" in str(change.fields) for change in Change.objects.of(organ))
    assert first.complaints == [] and second.complaints == []


def test_the_second_may_keep_what_the_first_saved(cast, open_desk):
    organ = make_instrument(cast.surveyor, summary="old words")
    first, second = open_desk(cast.curator), open_desk(cast.editor)
    mine, theirs = change_main(first, organ), change_main(second, organ)
    theirs.fill("[name=summary]", "THEIR summary")
    theirs.click("#group-main button.main")
    theirs.wait_for_selector("#messages >> text=Saved")
    mine.fill("[name=summary]", "MY summary")
    mine.fill("[name=name]", "My new name")
    mine.click("#group-main button.main")
    mine.wait_for_selector("form.conflict")
    mine.check("form.conflict input[value=theirs]")
    mine.click("form.conflict button.main")
    mine.wait_for_selector("#messages >> text=Saved")
    organ.refresh_from_db()
    assert (organ.summary, organ.name) == ("THEIR summary", "My new name")


def test_different_fields_of_two_people_both_stand(cast, open_desk):
    organ = make_instrument(cast.surveyor)
    desk = open_desk(cast.curator)
    page = change_main(desk, organ)
    Instrument.objects.filter(pk=organ.pk)  # the other person's save goes through the action
    from inventory.actions import change_record

    other = Instrument.objects.get(pk=organ.pk)
    other.name = "Named by the other"
    change_record(other, version=1, by=cast.editor, put=[other])
    page.fill("[name=summary]", "My summary")
    page.click("#group-main button.main")
    page.wait_for_selector("#messages >> text=both stand")
    organ.refresh_from_db()
    assert (organ.name, organ.summary) == ("Named by the other", "My summary")


def test_typed_text_survives_a_reload(cast, open_desk):
    organ = make_instrument(cast.surveyor)
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/fields/main/")
    page.fill("[name=summary]", "Half an hour of typing — ô, ñ, ″")
    page.reload()
    page.wait_for_selector(".draft-note")
    assert page.input_value("[name=summary]") == "Half an hour of typing — ô, ñ, ″"
    # Put back in the record's page too, where the same form opens in place.
    page = change_main(desk, organ)
    assert page.input_value("[name=summary]") == "Half an hour of typing — ô, ñ, ″"
    page.click("#group-main button.main")
    page.wait_for_selector("#messages >> text=Saved")
    page = desk.open(f"/instruments/{organ.reference}/fields/main/")
    assert page.locator(".draft-note").count() == 0
    assert desk.complaints == []


def test_a_draft_can_be_thrown_away(cast, open_desk):
    organ = make_instrument(cast.surveyor, summary="as saved")
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/fields/main/")
    page.fill("[name=summary]", "never mind")
    page.reload()
    page.click(".draft-note button")
    assert page.input_value("[name=summary]") == "as saved"
    page.reload()
    assert page.input_value("[name=summary]") == "as saved" and page.locator(".draft-note").count() == 0


@pytest.mark.parametrize("in_place", [True, False])
def test_typed_text_survives_a_session_that_ran_out(cast, open_desk, in_place):
    organ = make_instrument(cast.surveyor)
    desk = open_desk(cast.curator)
    if in_place:
        page = change_main(desk, organ)
    else:
        page = desk.open(f"/instruments/{organ.reference}/fields/main/")
    page.fill("[name=summary]", "Not to be lost")
    Session.objects.all().delete()
    page.click("form.editing button.main")
    page.wait_for_selector("[name=username]")
    assert Instrument.objects.get(pk=organ.pk).summary == ""
    page.fill("[name=username]", cast.curator.username)
    page.fill("[name=password]", "a long enough word")
    page.click("button.main")
    page.wait_for_selector("[name=summary]")
    page.wait_for_selector(".draft-note")
    assert page.input_value("[name=summary]") == "Not to be lost"
    page.click("form.editing button.main")
    page.wait_for_selector("#messages >> text=Saved")
    assert Instrument.objects.get(pk=organ.pk).summary == "Not to be lost"


def test_drafts_of_one_person_are_not_shown_to_another(cast, open_desk):
    organ = make_instrument(cast.surveyor)
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/fields/main/")
    page.fill("[name=summary]", "for my eyes")
    page.click("text=Sign out")
    page.wait_for_selector("text=Sign in again")
    left = page.evaluate("Object.keys(localStorage).filter(name => name.startsWith('draft:'))")
    assert left == []


def test_an_event_is_added_by_keyboard_alone_with_a_date_as_people_write_it(cast, open_desk):
    organ = make_instrument(cast.surveyor)
    desk = open_desk(cast.curator, width=360, height=780)
    page = desk.open(f"/instruments/{organ.reference}/")
    page.focus("#adding-events a.button")
    page.keyboard.press("Enter")
    page.wait_for_selector("#adding-events form.editing")
    page.locator("#adding-events select[name=kind]").select_option(label="new build")
    page.focus("#adding-events input[name=when]")
    page.keyboard.type("1841 or 1842")
    page.wait_for_selector("#adding-events fieldset.choice")
    choices = page.locator("#adding-events fieldset.choice").inner_text()
    assert "1841 or 1842" in choices and "[1841,1842]" in choices
    page.keyboard.press("Tab")
    page.keyboard.press("Space")
    page.keyboard.press("Control+s")
    page.wait_for_selector("#messages >> text=Saved")
    event = organ.events.get()
    assert event.when == "[1841,1842]"
    assert (event.when_earliest.isoformat(), event.when_latest.isoformat()) == ("1841-01-01", "1842-12-31")
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    assert desk.complaints == []


def test_a_row_somebody_took_away_can_be_saved_again_as_a_new_one(cast, open_desk):
    from inventory.actions import change_record

    organ = make_instrument(cast.surveyor)
    layer = Layer(instrument=organ, code="first", name="The first organ")
    change_record(organ, version=1, by=cast.curator, put=[layer])
    desk = open_desk(cast.curator)
    page = desk.open(f"/instruments/{organ.reference}/rows/layers/first/edit/")
    page.fill("[name=note]", "A long note about it")
    change_record(
        Instrument.objects.get(pk=organ.pk), version=2, by=cast.editor, remove=[Layer.objects.get()]
    )
    page.click("form.editing button.main")
    page.wait_for_selector("text=took this row away")
    page.click("form.conflict button.main")
    page.wait_for_selector("#messages >> text=Saved")
    assert Layer.objects.get().note == "A long note about it"
