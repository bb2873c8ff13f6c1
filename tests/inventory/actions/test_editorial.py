"""The way of a record from draft to release and withdrawal."""

import pytest

from inventory.actions import (
    ActionError,
    NotAllowed,
    StaleRecord,
    WrongState,
    change_record,
    merge,
    release,
    return_to_draft,
    submit_for_review,
    withdraw,
)
from inventory.models import Change, Instrument
from tests.factory import make_instrument, make_public


def test_a_record_goes_from_draft_through_review_to_release(people):
    organ = make_instrument(people.surveyor)
    organ = submit_for_review(organ, version=1, by=people.surveyor)
    assert organ.state == "in review"
    organ = release(organ, version=2, by=people.editor)
    assert (organ.state, organ.version, organ.released_version) == ("released", 3, 3)
    assert [c.action for c in Change.objects.of(organ)] == ["release", "submit", "create"]


def test_a_draft_cannot_be_released_without_review(people):
    organ = make_instrument(people.surveyor)
    with pytest.raises(WrongState, match="in review"):
        release(organ, version=1, by=people.editor)
    assert Instrument.objects.get().state == "draft"


def test_a_curator_cannot_release(people):
    organ = submit_for_review(make_instrument(people.surveyor), version=1, by=people.curator)
    with pytest.raises(NotAllowed, match="editor"):
        release(organ, version=2, by=people.curator)


def test_a_surveyor_cannot_change_a_released_record(people):
    organ = make_public(make_instrument(people.surveyor), people.editor)
    organ.name = "Other"
    with pytest.raises(NotAllowed, match="curator"):
        change_record(organ, version=organ.version, by=people.surveyor, put=[organ])


def test_a_change_after_release_is_listed_for_editors_until_released_again(people):
    organ = make_public(make_instrument(people.surveyor), people.editor)
    assert not Instrument.objects.changed_since_release()
    organ.name = "Other"
    organ = change_record(organ, version=organ.version, by=people.curator, put=[organ])
    assert list(Instrument.objects.changed_since_release()) == [organ]
    release(organ, version=organ.version, by=people.editor)
    assert not Instrument.objects.changed_since_release()


def test_withdrawing_needs_a_reason_and_keeps_the_reference(people):
    organ = make_public(make_instrument(people.surveyor), people.editor)
    with pytest.raises(ActionError, match="why"):
        withdraw(organ, version=organ.version, by=people.editor, because="  ")
    organ = withdraw(organ, version=organ.version, by=people.editor, because="recorded twice")
    assert organ.state == "withdrawn" and organ.withdrawn_because == "recorded twice"
    with pytest.raises(WrongState):
        withdraw(organ, version=organ.version, by=people.editor, because="again")


def test_returning_to_draft_says_what_is_to_be_done(people):
    organ = submit_for_review(make_instrument(people.surveyor), version=1, by=people.surveyor)
    with pytest.raises(ActionError):
        return_to_draft(organ, version=2, by=people.editor, why="")
    assert return_to_draft(organ, version=2, by=people.editor, why="count the pipes").state == "draft"


def test_a_stale_release_is_refused(people):
    organ = submit_for_review(make_instrument(people.surveyor), version=1, by=people.surveyor)
    organ.name = "Changed meanwhile"
    change_record(organ, version=2, by=people.curator, put=[organ])
    with pytest.raises(StaleRecord):
        release(organ, version=2, by=people.editor)
    assert Instrument.objects.get().state == "in review"


def test_a_merged_record_is_withdrawn_and_points_to_the_other(people):
    one, other = make_instrument(people.surveyor), make_instrument(people.surveyor)
    one = merge(one, other, version=1, by=people.editor, because="the same organ under an older name")
    assert one.state == "withdrawn" and one.merged_into == other
    with pytest.raises(ActionError):
        merge(other, other, version=1, by=people.editor, because="x")
