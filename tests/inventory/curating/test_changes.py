"""Nothing lost: any two versions compared, any change undone as a new one, what is hidden stays hidden."""

from __future__ import annotations

import pytest
from django.test import Client

from inventory.actions import ActionError, change_record
from inventory.actions.differences import plain
from inventory.actions.undoing import undo_change
from inventory.models import Change, Event, Instrument, Layer, Rank, Segment, Specification, Stop
from tests.factory import add_shared_rank, make_instrument, make_maker, make_public, make_term


def fresh(organ) -> Instrument:
    return Instrument.objects.get(pk=organ.pk)


def undo(organ, version: int, by):
    root = fresh(organ)
    return undo_change(root, Change.objects.of(root).get(version=version), version=root.version, by=by)


def rows_of(organ) -> list:
    """Everything recorded of an instrument, as history keeps it."""
    found = []
    for model in (Specification, Rank, Stop, Segment, Layer, Event):
        for row in model.objects.filter(**{model.root_path: organ}):
            values = {f.name: plain(row, f) for f in model._meta.concrete_fields if not f.primary_key}
            found.append((row.path_in_root(), values))
    return sorted(found, key=lambda pair: pair[0])


def test_a_changed_field_goes_back_and_the_undoing_can_be_undone(people):
    organ = make_instrument(people.surveyor, summary="first")
    organ.summary = "second"
    change_record(organ, version=1, by=people.curator, put=[organ])
    undo(organ, 2, people.editor)
    assert (fresh(organ).summary, fresh(organ).version) == ("first", 3)
    undo(organ, 3, people.editor)
    assert (fresh(organ).summary, fresh(organ).version) == ("second", 4)
    assert [change.action for change in Change.objects.of(organ)] == ["undo", "undo", "change", "create"]


def test_added_rows_are_taken_away_and_put_back(people):
    organ = make_instrument(people.surveyor)
    add_shared_rank(organ, people.curator)
    before = rows_of(organ)
    undo(organ, 2, people.curator)
    assert rows_of(organ) == []
    undo(organ, 3, people.curator)
    assert rows_of(organ) == before


def test_a_row_taken_away_comes_back_with_everything_that_went_with_it(people):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    before = rows_of(organ)
    change_record(organ, version=fresh(organ).version, by=people.curator, remove=[specification])
    assert rows_of(organ) == []
    undo(organ, 3, people.curator)
    assert rows_of(organ) == before


def test_what_pointed_to_a_row_points_to_it_again(people):
    organ = make_instrument(people.surveyor)
    layer = Layer(instrument=organ, code="l", name="First", maker=make_maker(people.curator), when="1841~")
    event = Event(instrument=organ, code="e", kind=make_term("event", "built"), layer=layer, when="1841")
    change_record(organ, version=1, by=people.curator, put=[layer, event])
    before = rows_of(organ)
    change_record(organ, version=2, by=people.curator, remove=[layer])
    assert Event.objects.get().layer is None
    undo(organ, 3, people.curator)
    assert rows_of(organ) == before and Event.objects.get().layer.name == "First"


def test_what_was_changed_again_since_is_not_undone_and_is_named(people):
    organ = make_instrument(people.surveyor, summary="a")
    for number, words in enumerate(("b", "c"), start=1):
        organ.summary = words
        change_record(organ, version=number, by=people.curator, put=[organ])
    with pytest.raises(ActionError, match="summary"):
        undo(organ, 2, people.curator)
    assert (fresh(organ).summary, fresh(organ).version) == ("c", 3)


def test_a_step_of_review_is_not_undone(people):
    organ = make_public(make_instrument(people.surveyor), people.editor)
    with pytest.raises(ActionError, match="step of review"):
        undo(organ, fresh(organ).version, people.editor)


def test_a_change_of_another_record_is_refused(people):
    one, other = make_instrument(people.surveyor), make_instrument(people.surveyor)
    with pytest.raises(ActionError, match="another record"):
        undo_change(one, Change.objects.of(other).first(), version=1, by=people.keeper)


@pytest.fixture
def desk(people):
    made = {}
    for role in ("surveyor", "curator", "keeper"):
        made[role] = Client()
        made[role].force_login(getattr(people, role))
    return made


def test_two_versions_stand_side_by_side(people, desk):
    organ = make_instrument(people.surveyor, name="One", summary="a")
    for number, (name, words) in enumerate((("Two", "b"), ("Two", "c"), ("One", "d")), start=1):
        organ.name, organ.summary = name, words
        change_record(organ, version=number, by=people.curator, put=[organ])
    html = (
        desk["curator"].get(f"/instruments/{organ.reference}/changes/compare/?from=4&to=1").content.decode()
    )
    assert "<td>a</td><td>d</td>" in html
    assert "<td>Two" not in html and "<td>One" not in html  # it is One in both


def test_the_page_asks_before_it_undoes_and_says_what_goes_back(people, desk):
    organ = make_instrument(people.surveyor, summary="before")
    organ.summary = "after"
    change_record(organ, version=1, by=people.curator, put=[organ])
    address = f"/instruments/{organ.reference}/changes/2/undo/"
    assert "before" in desk["curator"].get(address).content.decode()
    assert fresh(organ).summary == "after"
    desk["curator"].post(address, {"record_version": 2, "why_changed": "a slip"})
    assert fresh(organ).summary == "before" and Change.objects.of(organ).first().why == "a slip"
    assert desk["curator"].post(address, {"record_version": 2}).status_code == 409


def test_history_shows_no_field_and_no_row_the_reader_may_not_see(people, desk):
    organ = make_instrument(people.surveyor)
    organ.contact = "secret-contact"
    kind = make_term("event", "quarrel")
    event = Event(instrument=organ, code="q", kind=kind, text="secret-quarrel", audience="named")
    change_record(organ, version=1, by=people.keeper, put=[organ, event])
    event.text = "secret-second"
    change_record(organ, version=2, by=people.keeper, put=[event])
    pages = ("changes/", "changes/compare/?from=1&to=3", "", "parts/history/")
    for page in pages:
        html = desk["curator"].get(f"/instruments/{organ.reference}/{page}").content.decode()
        assert "secret-" not in html, page
        assert page.startswith("changes") is ("not for you" in html), page
    for version in (2, 3):
        address = f"/instruments/{organ.reference}/changes/{version}/undo/"
        assert desk["curator"].get(address).status_code == 404
    assert "secret-quarrel" in desk["keeper"].get(f"/instruments/{organ.reference}/changes/").content.decode()
    assert desk["curator"].get(f"/instruments/{organ.reference}/rows/events/q/edit/").status_code == 404
    about = f"/instruments/{organ.reference}/evidence/?about=event:q%23text"
    assert desk["curator"].get(about).status_code == 404
    assert desk["curator"].get(f"/instruments/{organ.reference}/evidence/?about=contact").status_code == 404


def test_history_names_no_maker_the_reader_may_not_know_of(people, desk):
    secret = make_maker(people.keeper, name="Hidden Hand", audience="named")
    organ = make_instrument(people.surveyor)
    layer = Layer(instrument=organ, code="l", name="First", maker=secret)
    change_record(organ, version=1, by=people.keeper, put=[layer])
    html = desk["curator"].get(f"/instruments/{organ.reference}/changes/").content.decode()
    assert "Hidden Hand" not in html and secret.reference not in html
    assert "Hidden Hand" in desk["keeper"].get(f"/instruments/{organ.reference}/changes/").content.decode()
