"""Findings in view: each leads to where it is mended; an answer holds until the facts change."""

from __future__ import annotations

import pytest
from django.test import Client

from inventory.actions import change_record
from inventory.models import Change, Event, FindingAnswer, Instrument, Rank, Survey
from tests.factory import add_shared_rank, make_instrument, make_maker, make_term


@pytest.fixture
def curator(people):
    client = Client()
    client.force_login(people.curator)
    return client


def look(client, organ):
    return client.get(f"/instruments/{organ.reference}/findings/").context


def with_a_wrong_count(people) -> Instrument:
    """A rank with two pipes fewer than its stops ask."""
    organ = make_instrument(people.surveyor)
    add_shared_rank(organ, people.curator)
    rank = Rank.objects.get()
    rank.pipes -= 2
    change_record(organ, version=2, by=people.curator, put=[rank])
    return Instrument.objects.get(pk=organ.pk)


def test_findings_of_the_scheme_are_shown_and_lead_to_the_stoplist(people, curator):
    organ = with_a_wrong_count(people)
    found = look(curator, organ)["open"]
    assert "pipe-outside-rank" in {one.code for one in found}
    assert all(one.mend.endswith("#stoplist") for one in found if one.about.startswith("specification"))


def test_an_answered_finding_stays_answered_until_its_facts_change(people, curator):
    organ = with_a_wrong_count(people)
    wanted = look(curator, organ)["open"][0]
    address = f"/instruments/{organ.reference}/findings/answer/"
    empty = curator.post(address, {"finding": wanted.key, "because": " ", "record_version": organ.version})
    assert empty.status_code == 409 and not FindingAnswer.objects.exists()
    values = {
        "finding": wanted.key,
        "because": "the top two were never made",
        "record_version": organ.version,
    }
    assert curator.post(address, values).status_code == 302
    seen = look(curator, organ)
    assert wanted.key not in {one.key for one in seen["open"]}
    assert [(one.key, one.answer.because) for one in seen["answered"]] == [
        (wanted.key, "the top two were never made")
    ]
    assert Change.objects.of(organ).first().action == "answer finding"
    # Something else changes: it stays answered.
    organ = Instrument.objects.get(pk=organ.pk)
    organ.summary = "another matter"
    change_record(organ, version=organ.version, by=people.curator, put=[organ])
    assert look(curator, organ)["answered"]
    # Its facts change: it is open again.
    rank = Rank.objects.get()
    rank.pipes -= 1
    change_record(organ, version=organ.version, by=people.curator, put=[rank])
    seen = look(curator, organ)
    assert not seen["answered"] and wanted.code in {one.code for one in seen["open"]}


def test_an_answer_can_be_taken_back(people, curator):
    organ = with_a_wrong_count(people)
    wanted = look(curator, organ)["open"][0]
    values = {"finding": wanted.key, "because": "right", "record_version": organ.version}
    curator.post(f"/instruments/{organ.reference}/findings/answer/", values)
    row = FindingAnswer.objects.get()
    address = f"/instruments/{organ.reference}/findings/{row.code}/reopen/"
    assert curator.post(address, {"record_version": 1}).status_code == 409
    curator.post(address, {"record_version": organ.version + 1})
    assert wanted.key in {one.key for one in look(curator, organ)["open"]}


def test_a_finding_of_a_row_leads_to_its_form(people, curator):
    maker = make_maker(people.curator, began="1900", ended="1950")
    organ = make_instrument(people.surveyor)
    event = Event(instrument=organ, code="e", kind=make_term("event", "built"), when="1841", maker=maker)
    change_record(organ, version=1, by=people.curator, put=[event])
    found = [one for one in look(curator, organ)["open"] if one.about.startswith("event:e")]
    assert found and found[0].mend == f"/instruments/{organ.reference}/rows/events/e/edit/"
    assert curator.get(found[0].mend).status_code == 200


def test_a_finding_never_names_a_maker_the_reader_may_not_know_of(people, curator):
    secret = make_maker(people.keeper, name="Hidden Hand", began="1900", ended="1950", audience="named")
    organ = make_instrument(people.surveyor)
    event = Event(instrument=organ, code="e", kind=make_term("event", "built"), when="1841", maker=secret)
    change_record(organ, version=1, by=people.keeper, put=[event])
    assert "Hidden Hand" not in curator.get(f"/instruments/{organ.reference}/findings/").content.decode()
    keeper = Client()
    keeper.force_login(people.keeper)
    assert "Hidden Hand" in keeper.get(f"/instruments/{organ.reference}/findings/").content.decode()


def test_what_is_missing_grows_with_the_level_of_the_survey_and_each_line_leads_somewhere(people, curator):
    organ = make_instrument(people.surveyor)
    first = look(curator, organ)["missing"]
    assert "inventory visit" in first.level
    survey = Survey(instrument=organ, code="s", when="2020", level=4, surveyor="x", limits="the swell box")
    change_record(organ, version=1, by=people.curator, put=[survey])
    deeper = look(curator, organ)["missing"]
    assert len(deeper.missing) > len(first.missing)
    for one in deeper.missing:
        assert curator.get(one.mend.partition("#")[0]).status_code == 200, one.mend


def test_what_could_not_be_reached_is_not_missing(people, curator):
    from inventory.models import FieldState

    organ = make_instrument(people.surveyor)
    survey = Survey(instrument=organ, code="s", when="2020", level=2, surveyor="x", limits="wind was off")
    change_record(organ, version=1, by=people.curator, put=[survey])

    def words():
        return {str(one.words) for one in look(curator, organ)["missing"].missing}

    assert "the wind pressure" in words()
    state = FieldState(instrument=organ, code="w", about="wind_pressure_mm", state="not accessible")
    change_record(organ, version=2, by=people.curator, put=[state])
    assert "the wind pressure" not in words()
