"""The danger list in the workroom: who decides, advice beside decision, and what one may not know."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from django.test import Client
from django.utils.timezone import localdate

from inventory.actions import NotAllowed, StaleRecord, change_record
from inventory.actions.danger import DepartureWithoutReason, record_decision
from inventory.danger_reading import read_danger_list
from inventory.emergency import checklist_of
from inventory.models import Change, Confidence, Criterion, Danger, Decision, Judgement
from inventory.models.danger import Advice
from tests.factory import make_instrument, make_people, make_term

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture
def people():
    return make_people()


@pytest.fixture
def organs(people):
    for code, judgement in (("mechanism", "loss"), ("decay", "likely"), ("feasible", "help")):
        Criterion.objects.create(
            code=code, version=1, judgement=judgement, name=code.title(), more_means=f"more {code}"
        )
    made = [make_instrument(people.surveyor, name=f"Organ {n}") for n in range(3)]
    for organ, value in zip(made, (5, 3, 1), strict=True):
        put = [
            Judgement(
                instrument=organ, code=code, low=value, high=value, because="seen", assessor="Zqassessor",
                interests="none", when="2026", criterion=Criterion.objects.get(code=code),
            )
            for code in ("mechanism", "decay", "feasible")
        ]  # fmt: skip
        change_record(organ, version=organ.version, by=people.surveyor, put=put)
    return made


def decide(organ, by, step, because="", **more):
    advised = read_danger_list(by, today=TODAY).found
    return record_decision(
        organ, version=organ.version, by=by, advised=advised, when="2026-11-25", step=step,
        decision="As said.", because=because, **more,
    )  # fmt: skip


def page(person, address: str) -> str:
    client = Client()
    client.force_login(person)
    answer = client.get(address)
    assert answer.status_code == 200, answer.content.decode()[:500]
    return answer.content.decode()


def test_the_advice_of_the_moment_is_kept_with_the_decision(organs, people):
    row = decide(organs[0], people.editor, "save")
    assert (row.advice, row.step, row.departs) == (Advice.SAVE, "save", False)
    last = Change.objects.of(organs[0]).first()
    assert last.action == "decide" and last.who == people.editor
    assert any(entry["path"].endswith("#advice") for entry in last.fields)


def test_a_departure_without_its_reason_is_refused_and_nothing_is_saved(organs, people):
    version = organs[0].version
    with pytest.raises(DepartureWithoutReason, match="save now"):
        decide(organs[0], people.editor, "none", because="  ")
    assert not Decision.objects.exists()
    organs[0].refresh_from_db()
    assert organs[0].version == version
    row = decide(organs[0], people.editor, "none", because="The parish has paid.")
    assert row.departs and row.advice == Advice.SAVE


def test_two_who_decide_at_once_do_not_both_decide(organs, people):
    version = organs[0].version
    decide(organs[0], people.editor, "save")
    organs[0].version = version
    with pytest.raises(StaleRecord):
        decide(organs[0], people.keeper, "save")
    assert Decision.objects.count() == 1


@pytest.mark.parametrize("role", ["reader", "surveyor", "curator"])
def test_whoever_does_not_speak_for_the_body_decides_by_no_way(organs, people, role):
    person = getattr(people, role)
    with pytest.raises(NotAllowed):
        decide(organs[0], person, "save")
    row = Decision(instrument=organs[0], code="sly", when="2026", decision="x")
    with pytest.raises(NotAllowed):
        change_record(organs[0], version=organs[0].version, by=person, put=[row])
    assert not Decision.objects.exists()


def test_a_curator_saves_other_rows_beside_an_unchanged_decision(organs, people):
    row = decide(organs[0], people.editor, "save")
    organs[0].refresh_from_db()
    organs[0].name = "Renamed"
    change_record(organs[0], version=organs[0].version, by=people.curator, put=[organs[0], row])
    with pytest.raises(NotAllowed):
        change_record(organs[0], version=organs[0].version, by=people.curator, remove=[row])


def test_a_departure_is_found_however_the_row_is_written(organs, people):
    row = Decision(
        instrument=organs[0], code="typed", when="2026", decision="x", advice="save", step="none", because="y"
    )
    change_record(organs[0], version=organs[0].version, by=people.editor, put=[row])
    row.refresh_from_db()
    assert row.departs
    assert any(entry["path"].endswith("#departs") for entry in Change.objects.of(organs[0]).first().fields)


def test_the_list_narrows_and_says_why(organs, people):
    html = page(people.editor, "/danger/?loss=1")
    assert (
        organs[0].reference in html
        and f"/instruments/{organs[1].reference}/danger/" not in (html.split("crossed-title")[0])
    )
    assert "Nothing fits" in page(people.editor, "/danger/?advice=emergency")
    assert organs[2].reference in page(people.editor, "/danger/?kind=&loss=nonsense")


def test_an_entry_shows_reasons_change_and_no_assessor_to_the_team(organs, people):
    html = page(people.surveyor, f"/instruments/{organs[1].reference}/danger/")
    assert "Why here, and what would change it" in html and "would move it to band" in html
    assert "Zqassessor" not in html and "Minute a decision" not in html
    assert "Zqassessor" in page(people.keeper, f"/instruments/{organs[1].reference}/danger/")
    Confidence.objects.create(
        user=people.surveyor, root_kind="instrument", reference=organs[1].reference, given_because="asked"
    )
    assert "Zqassessor" in page(people.surveyor, f"/instruments/{organs[1].reference}/danger/")


def test_what_somebody_may_not_read_counts_for_nothing_in_their_bands(organs, people):
    Judgement.objects.filter(instrument=organs[0]).update(audience="named")
    assert organs[0].reference not in read_danger_list(people.editor, today=TODAY).found.entries
    assert organs[0].reference in read_danger_list(people.keeper, today=TODAY).found.entries


def test_the_form_answers_a_departure_beside_the_field(organs, people):
    client = Client()
    client.force_login(people.editor)
    address = f"/instruments/{organs[0].reference}/danger/decide/"
    sent = {
        "record_version": organs[0].version,
        "when": "2026-11-25",
        "step": "none",
        "decision": "x",
        "audience": "team",
    }
    answer = client.post(address, sent)
    assert answer.status_code == 422 and "departs from it is minuted" in answer.content.decode()
    assert client.post(address, {**sent, "when": "soon", "because": "y"}).status_code == 422
    assert client.post(address, {**sent, "record_version": "½", "because": "y"}).status_code == 409
    assert not Decision.objects.exists()
    assert client.post(address, {**sent, "because": "They asked for a year."}).status_code == 302
    assert Decision.objects.get().departs


def test_a_near_deadline_opens_the_checklist_and_its_cautions(organs, people):
    soon = (localdate() + timedelta(days=20)).isoformat()
    Danger.objects.create(
        instrument=organs[2], code="sale", kind=make_term("danger", "closing"), text="Sold.", deadline=soon
    )
    html = page(people.editor, f"/instruments/{organs[2].reference}/danger/")
    assert "Emergency track" in html and "Tell the owner first" in html
    assert "Emergency track" not in page(people.editor, f"/instruments/{organs[1].reference}/danger/")


def test_the_checklist_ticks_only_what_the_record_holds(organs):
    steps = checklist_of(organs[0], reads_persons=True)
    assert [step.done for step in steps].count(True) == 0 and steps[0].done is False
    Decision.objects.create(
        instrument=organs[0], code="d", when="2026", decision="x", custodian_told="2026-11"
    )
    assert checklist_of(organs[0], reads_persons=True)[0].done is True
    assert checklist_of(organs[0], reads_persons=False)[0].done is None


def test_a_danger_that_ended_is_off_the_list_with_its_reason(organs, people):
    Danger.objects.create(
        instrument=organs[0], code="x", kind=make_term("danger", "sea"), text="sea", ended="averted",
        outcome="The wall was built.",
    )  # fmt: skip
    html = page(people.editor, "/danger/")
    assert "The wall was built." in html.split("ended-title", 1)[1]
