"""Creating and changing records: what is saved, what is refused, what history keeps."""

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, transaction

from inventory import history_guard
from inventory.actions import NotAllowed, StaleRecord, change_record, create_record
from inventory.models import Change, Event, Instrument, Segment, Survey
from tests.factory import add_shared_rank, make_instrument, make_term


def test_a_new_record_is_a_private_draft_with_one_line_of_history(people):
    organ = make_instrument(people.surveyor, name="Gallery organ")
    assert (organ.version, organ.state, organ.audience) == (1, "draft", "team")
    line = Change.objects.of(organ).get()
    assert line.who == people.surveyor and line.action == "create"
    assert {"path": "name", "old": None, "new": "Gallery organ"} in line.fields


def test_a_change_raises_the_version_and_is_remembered_field_by_field(people):
    organ = make_instrument(people.surveyor)
    organ.name = "Choir organ"
    organ = change_record(organ, version=1, by=people.curator, put=[organ], why="label read")
    assert Instrument.objects.get(pk=organ.pk).version == 2
    line = Change.objects.of(organ).first()
    assert line.fields == [{"path": "name", "old": "Test organ", "new": "Choir organ"}]
    assert line.why == "label read"


def test_saving_what_has_not_changed_changes_nothing(people):
    organ = make_instrument(people.surveyor)
    change_record(organ, version=1, by=people.curator, put=[organ])
    assert Instrument.objects.get(pk=organ.pk).version == 1
    assert Change.objects.of(organ).count() == 1


def test_a_row_added_changed_and_removed_raises_the_version_of_its_record(people):
    organ = make_instrument(people.surveyor)
    event = Event(instrument=organ, code="built", kind=make_term("event", "built"), when="1885")
    organ = change_record(organ, version=1, by=people.curator, put=[event])
    event.when = "1885~"
    organ = change_record(organ, version=2, by=people.curator, put=[event])
    organ = change_record(organ, version=3, by=people.curator, remove=[event])
    assert organ.version == 4 and not organ.events.exists()
    paths = [entry["path"] for change in Change.objects.of(organ) for entry in change.fields]
    assert paths.count("event:built#when") == 3


def test_of_two_stale_saves_neither_is_lost_and_both_versions_are_shown(people):
    organ = make_instrument(people.surveyor, summary="old")
    mine, theirs = Instrument.objects.get(pk=organ.pk), Instrument.objects.get(pk=organ.pk)
    theirs.summary = "theirs"
    change_record(theirs, version=1, by=people.curator, put=[theirs])
    mine.summary, mine.temperament = "mine", "equal"
    with pytest.raises(StaleRecord) as caught:
        change_record(mine, version=1, by=people.editor, put=[mine])
    stale = caught.value
    assert (stale.wanted, stale.found) == (1, 2) and stale.who == str(people.curator)
    shown = {clash.path: (clash.was, clash.mine, clash.theirs) for clash in stale.clashes}
    assert shown["summary"] == ("old", "mine", "theirs")
    assert shown["temperament"] == ("", "equal", "")
    assert [c.path for c in stale.clashes if c.is_contested] == ["summary"]
    assert Instrument.objects.get(pk=organ.pk).summary == "theirs"


def test_an_invalid_row_leaves_the_whole_record_as_it_was(people):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    stop = specification.stops.first()
    bad = Segment(
        stop=stop, code="bad", first_key=9, last_key=3, rank=specification.ranks.first(), interval=0
    )
    organ.name = "should not be saved"
    with pytest.raises(ValidationError):
        change_record(organ, version=organ.version, by=people.curator, put=[organ, bad])
    again = Instrument.objects.get(pk=organ.pk)
    assert again.name == "Test organ" and again.version == organ.version


def test_a_row_of_another_record_is_refused(people):
    one, other = make_instrument(people.surveyor), make_instrument(people.surveyor)
    event = Event(instrument=other, code="built", kind=make_term("event", "built"))
    with pytest.raises(ValidationError, match="does not belong"):
        change_record(one, version=1, by=people.curator, put=[event])


def test_a_segment_cannot_ask_pipes_of_another_specification(people):
    one, other = make_instrument(people.surveyor), make_instrument(people.surveyor)
    mine, theirs = add_shared_rank(one, people.curator), add_shared_rank(other, people.curator)
    one.refresh_from_db()
    stray = Segment(
        stop=mine.stops.first(), code="x", first_key=1, last_key=2, rank=theirs.ranks.first(), interval=0
    )
    with pytest.raises(ValidationError, match="belongs to"):
        change_record(one, version=one.version, by=people.curator, put=[stray])


def test_a_segment_says_its_pipes_in_exactly_one_way(people):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    with pytest.raises(DatabaseError), transaction.atomic():
        Segment.objects.create(
            stop=specification.stops.first(),
            code="x",
            first_key=1,
            last_key=2,
            rank=specification.ranks.first(),
        )


@pytest.mark.parametrize("role, allowed", [("reader", False), ("surveyor", True), ("keeper", True)])
def test_only_those_who_may_create_records_do(people, role, allowed):
    organ = Instrument(reference=f"ORG-{role}", name="x", status="in use")
    if allowed:
        create_record(organ, by=getattr(people, role))
    else:
        with pytest.raises(NotAllowed, match="surveyor"):
            create_record(organ, by=getattr(people, role))
        assert not Instrument.objects.exists() and not Change.objects.exists()


def test_the_database_refuses_to_change_or_delete_history(people):
    organ = make_instrument(people.surveyor)
    history_guard.protect(connection)
    for tamper in (
        lambda: Change.objects.of(organ).update(action="nothing happened"),
        lambda: Change.objects.of(organ).delete(),
    ):
        with pytest.raises(DatabaseError, match="only ever added"), transaction.atomic():
            tamper()
    assert Change.objects.of(organ).get().action == "create"


def test_the_state_of_a_stop_is_a_fact_and_is_saved(people):
    organ = make_instrument(people.surveyor)
    stop = add_shared_rank(organ, people.curator).stops.first()
    organ.refresh_from_db()
    stop.state = "missing"
    change_record(organ, version=organ.version, by=people.curator, put=[stop])
    stop.refresh_from_db()
    assert stop.state == "missing"
    assert [one["path"] for one in Change.objects.of(organ).first().fields] == [
        f"stop:as-found/{stop.code}#state"
    ]


def test_a_signed_survey_is_not_changed_but_a_new_one_may_stand_beside_it(people):
    organ = make_instrument(people.surveyor)
    survey = Survey(
        instrument=organ, code="a", when="1990", level=1, surveyor="N", limits="the pedal", signed=True
    )
    organ = change_record(organ, version=1, by=people.curator, put=[survey])
    survey.limits = "nothing"
    for put, remove in (([survey], []), ([], [survey])):
        with pytest.raises(ValidationError, match="signed"):
            change_record(organ, version=2, by=people.curator, put=put, remove=remove)
    assert Survey.objects.get().limits == "the pedal" and organ.version == 2
    other = Survey(instrument=organ, code="b", when="1991", level=1, surveyor="N", limits="none")
    assert change_record(organ, version=2, by=people.curator, put=[other]).version == 3
