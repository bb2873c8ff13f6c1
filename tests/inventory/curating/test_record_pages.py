"""Pages of records are kept, and what is kept is never old."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.actions import change_record, create_record, submit_for_review
from inventory.actions.vocabularies import change_word
from inventory.curating import record_pages
from inventory.fixture_loading import mark_loaded
from inventory.models import Confidence, Event, Instrument, Layer, Maker, Place, Source, Tie
from inventory.models.evidence import Citation
from tests.factory import make_instrument, make_maker, make_place, make_term


@pytest.fixture
def organ(people):
    """An organ that names a maker, a place, another organ and words of vocabularies."""
    organ = make_instrument(people.surveyor, name="West organ", place=make_place(people.curator, name="Holm"))
    maker = make_maker(people.curator, name="Ada Reedy")
    event = Event(instrument=organ, code="e", kind=make_term("event", "built"), maker=maker, when="1841")
    tie = Tie(
        instrument=organ,
        code="t",
        kind=Tie.Kind.TWIN,
        other=make_instrument(people.surveyor, name="East organ"),
    )
    change_record(organ, version=1, by=people.curator, put=[event, tie])
    return organ


def desk_of(person) -> Client:
    client = Client()
    client.force_login(person)
    return client


def read(client: Client, organ: Instrument, **more) -> str:
    """The page without what is new each time."""
    html = client.get(f"/instruments/{organ.reference}/", **more).content.decode()
    return re.sub(r'value="[A-Za-z0-9]{64}"', "", html)


def change(root, by, **fields) -> None:
    now = type(root).objects.get(pk=root.pk)
    for name, value in fields.items():
        setattr(now, name, value)
    change_record(now, version=now.version, by=by, put=[now])


def test_a_page_read_again_costs_few_queries_and_is_the_same(people, organ):
    desk = desk_of(people.curator)
    first = read(desk, organ)
    assert "Ada Reedy" in first and "East organ" in first and "Holm" in first
    with CaptureQueriesContext(connection) as queries:
        assert read(desk, organ) == first
    assert len(queries) <= 6, [query["sql"][:90] for query in queries]


def test_whatever_changes_is_on_the_page_at_once(people, organ):
    desk = desk_of(people.curator)
    event = Event.objects.get(instrument=organ)
    word = event.kind
    steps = {
        "Ada Flue": lambda: change(Maker.objects.get(), people.curator, name="Ada Flue"),
        "Holmby": lambda: change(Place.objects.get(), people.curator, name="Holmby"),
        "North organ": lambda: change(organ.ties.get().other, people.curator, name="North organ"),
        "raised": lambda: change_word(_named(word, "raised"), by=people.keeper),
        "First layer": lambda: _put(
            organ, people.curator, Layer(instrument=organ, code="l", name="First layer")
        ),
        "1 source": lambda: _put(
            organ,
            people.curator,
            Citation(instrument=organ, code="c", about="name", source=_book(people.curator)),
        ),
        "(not for you)": lambda: change(Maker.objects.get(), people.keeper, audience="named"),
        "Hand on for review": lambda: None,
    }
    for words, act in steps.items():
        before = read(desk, organ)
        assert (words in before) == (words == "Hand on for review"), words
        act()
        after = read(desk, organ)
        assert words in after, words
        record_pages.forget_pages()
        assert after == read(desk, organ), words


def test_nobody_is_shown_what_was_kept_for_somebody_else(people, organ):
    change(organ, people.keeper, owner="Mrs Bellows", contact="by the vestry", audience="public")
    change(Maker.objects.get(), people.keeper, audience="named")
    kept = {}
    for name in ("keeper", "editor", "curator", "surveyor"):
        kept[name] = read(desk_of(getattr(people, name)), organ)
    assert "by the vestry" in kept["keeper"] and "Ada Reedy" in kept["keeper"]
    for name in ("editor", "curator", "surveyor"):
        assert "by the vestry" not in kept[name] and "Ada Reedy" not in kept[name]
    Confidence.objects.create(
        user=people.surveyor, root_kind="instrument", reference=organ.reference, given_because="she wrote it"
    )
    assert "by the vestry" in read(desk_of(people.surveyor), organ)
    assert "by the vestry" not in read(desk_of(people.curator), organ)
    assert "Mrs Bellows" in read(desk_of(people.curator), organ)
    submit_for_review(organ, version=Instrument.objects.get(pk=organ.pk).version, by=people.curator)
    assert "Mrs Bellows" in read(desk_of(people.curator), organ)
    people.curator.role = "reader"
    people.curator.save()
    html = read(desk_of(people.curator), organ)
    assert "West organ" in html and "Mrs Bellows" not in html
    assert "Histoire" in read(desk_of(people.keeper), organ, headers={"accept-language": "fr"})


def test_no_more_pages_are_kept_than_stated(people, organ, monkeypatch):
    monkeypatch.setattr(record_pages, "MOST_KEPT", 2)
    record_pages.forget_pages()
    desk = desk_of(people.curator)
    for one in (organ, make_instrument(people.surveyor), make_instrument(people.surveyor)):
        read(desk, one)
    assert len(record_pages._kept) == 2


def _named(word, name: str):
    word.names = {**word.names, "en": name}
    return word


def _put(organ, by, row) -> None:
    change_record(organ, version=Instrument.objects.get(pk=organ.pk).version, by=by, put=[row])


def _book(by) -> Source:
    book = Source(reference="SRC-1", name="A book", kind=make_term("source", "book"), audience="public")
    return create_record(book, by=by)


def test_rows_loaded_from_a_file_at_the_same_version_are_shown(people, organ, settings, tmp_path):
    settings.DATA_DIR = tmp_path
    desk = desk_of(people.curator)
    assert "Ada Reedy" in read(desk, organ)
    Event.objects.filter(instrument=organ).update(when="1799")
    mark_loaded()
    assert "1799" in read(desk, organ)
