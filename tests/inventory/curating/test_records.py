"""A record's page: its parts, what each person sees of it, and how each part is saved."""

from __future__ import annotations

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from inventory.actions import change_record, create_record
from inventory.curating.parts import PARTS
from inventory.models import (
    Change,
    Claim,
    Event,
    FieldState,
    Instrument,
    Keyboard,
    Layer,
    Maker,
    Source,
    Specification,
    Stop,
)
from tests.factory import add_shared_rank, make_instrument, make_maker, make_place, make_public, make_term


@pytest.fixture
def desk(people):
    made = {}
    for role in ("reader", "surveyor", "curator", "editor", "keeper"):
        made[role] = Client()
        made[role].force_login(getattr(people, role))
    return made


def page_of(root, rest: str = "") -> str:
    return f"/{type(root).__name__.lower()}s/{root.reference}/{rest}"


def posted(client, path: str, **changed) -> dict:
    """What the form on a page would send, with some values changed."""
    form = client.get(path).context["form"]
    values = {}
    for bound in form:
        value = bound.value()
        if value not in (None, "", False):
            values[bound.html_name] = "on" if value is True else str(value)
    return values | changed


def large_instrument(people) -> Instrument:
    organ = make_instrument(people.surveyor, place=make_place(people.surveyor))
    specification = Specification(instrument=organ, code="now", name="Now", basis="as found", is_current=True)
    boards = [Keyboard(specification=specification, code=code, keys=56) for code in ("I", "II", "III", "P")]
    stops = [
        Stop(
            specification=specification, code=f"s{number}", keyboard=boards[number % 4],
            label=f"Stop {number}", name=f"Stop {number}", footage="8", order=number,
        )
        for number in range(60)
    ]  # fmt: skip
    maker = make_maker(people.surveyor)
    kind = make_term("event", "built")
    layers = [Layer(instrument=organ, code=f"l{n}", name=f"Layer {n}", maker=maker) for n in range(8)]
    events = [
        Event(instrument=organ, code=f"e{n}", kind=kind, when=f"{1840 + n}", maker=maker, layer=layers[n % 8])
        for n in range(20)
    ]
    change_record(organ, version=1, by=people.curator, put=[specification, *boards, *stops, *layers, *events])
    return organ


def test_an_instrument_of_60_stops_is_shown_in_under_20_queries(people, desk):
    organ = large_instrument(people)
    for role in ("surveyor", "keeper"):
        with CaptureQueriesContext(connection) as queries:
            html = desk[role].get(page_of(organ)).content.decode()
        assert "Stop 59" in html and "1859" in html
        assert len(queries) < 20, [query["sql"][:90] for query in queries]
    for part in PARTS[Instrument]:
        if part.is_fetched_later:
            with CaptureQueriesContext(connection) as queries:
                desk["surveyor"].get(page_of(organ, f"parts/{part.code}/"), headers={"HX-Request": "true"})
            assert len(queries) < 20, (part.code, len(queries))


@pytest.mark.parametrize("kind", ["instruments", "makers", "places", "sources"])
def test_a_new_record_of_each_kind_begins_as_a_draft_for_the_team(people, desk, kind):
    make_term("source", "letter")
    path = f"/{kind}/new/"
    term = str(make_term("source", "book").pk)
    wanted = {
        "instruments": {"name": "A", "status": "in use"},
        "makers": {"name": "A", "sort_name": "A", "kind": "person"},
        "places": {"name": "A", "kind": "town"},
        "sources": {"name": "A", "kind": term},
    }[kind]
    answer = desk["surveyor"].post(path, posted(desk["surveyor"], path, **wanted))
    assert answer.status_code == 302
    html = desk["surveyor"].get(answer["Location"]).content.decode()
    assert "draft" in html and "the team that keeps the record" in html
    again = desk["surveyor"].get(path).context["form"]["reference"].value()
    assert again.endswith("-0002")


def test_a_reference_that_is_taken_is_refused_beside_its_box(people, desk):
    organ = make_instrument(people.surveyor)
    values = posted(desk["surveyor"], "/instruments/new/", name="B", status="lost", reference=organ.reference)
    html = desk["surveyor"].post("/instruments/new/", values).content.decode()
    assert "already exists" in html and Instrument.objects.count() == 1


def test_a_group_is_saved_alone_and_other_fields_stay(people, desk):
    organ = make_instrument(people.surveyor, name="Old", owner="the parish", summary="kept")
    path = page_of(organ, "fields/voice/")
    values = posted(desk["curator"], path, temperament="unequal", why_changed="tuned")
    assert desk["curator"].post(path, values).status_code == 302
    organ.refresh_from_db()
    assert (organ.temperament, organ.owner, organ.summary, organ.version) == (
        "unequal",
        "the parish",
        "kept",
        2,
    )
    assert [e["path"] for e in Change.objects.of(organ).first().fields] == ["temperament"]


def test_only_fields_of_the_form_are_taken(people, desk):
    organ = make_instrument(people.surveyor)
    path = page_of(organ, "fields/main/")
    more = {
        "state": "released",
        "version": "99",
        "owner": "x",
        "released_version": "3",
        "id": "9999",
        "audience": "public",
    }
    desk["curator"].post(path, posted(desk["curator"], path, name="New", **more))
    organ.refresh_from_db()
    assert (organ.name, organ.state, organ.owner, organ.audience, organ.version) == (
        "New",
        "draft",
        "",
        "team",
        2,
    )


def test_private_fields_are_not_offered_to_those_who_may_not_read_them(people, desk):
    organ = make_instrument(people.surveyor, contact="the warden, privately")
    path = page_of(organ, "fields/private/")
    assert "contact" not in desk["curator"].get(path).context["form"].fields
    assert "contact" in desk["keeper"].get(path).context["form"].fields
    values = posted(desk["curator"], path, owner="the parish", contact="overwritten")
    desk["curator"].post(path, values)
    organ.refresh_from_db()
    assert (organ.owner, organ.contact) == ("the parish", "the warden, privately")


def test_an_empty_field_says_why_and_stops_saying_it_when_filled(people, desk):
    organ = make_instrument(people.surveyor)
    path = page_of(organ, "fields/voice/")
    key = "why_empty-pitch_hz"
    desk["curator"].post(path, posted(desk["curator"], path, **{key: "not accessible"}))
    assert FieldState.objects.get().state == "not accessible"
    assert "not accessible" in desk["curator"].get(page_of(organ)).content.decode()
    values = posted(desk["curator"], path, pitch_hz="440", pitch_temperature_c="15")
    assert values[key] == "not accessible"
    desk["curator"].post(path, values)
    organ.refresh_from_db()
    assert organ.pitch_hz == 440 and not FieldState.objects.exists()


@pytest.mark.parametrize(
    "typed, kept", [("1841", "1841"), ("[..1790]", "[..1790]"), ("1850~", "1850~"), ("", "")]
)
def test_dates_written_as_the_standard_asks_are_kept(people, desk, typed, kept):
    organ = make_instrument(people.surveyor)
    path = page_of(organ, "fields/main/")
    desk["curator"].post(path, posted(desk["curator"], path, status_since=typed))
    organ.refresh_from_db()
    assert organ.status_since == kept


@pytest.mark.parametrize(
    "typed, offered", [("c. 1850", "1850~"), ("before 1790", "[..1790]"), ("1841 or 1842", "[1841,1842]")]
)
def test_dates_as_people_write_them_are_offered_never_guessed(people, desk, typed, offered):
    organ = make_instrument(people.surveyor)
    path = page_of(organ, "fields/main/")
    values = posted(desk["curator"], path, status_since=typed)
    answer = desk["curator"].post(path, values)
    organ.refresh_from_db()
    assert answer.status_code == 422 and organ.version == 1
    html = answer.content.decode()
    assert f'value="{offered}|{typed}"' in html and typed in html
    desk["curator"].post(path, values | {"status_since-reading": f"{offered}|{typed}"})
    organ.refresh_from_db()
    assert organ.status_since == offered


def test_a_choice_made_for_another_text_does_not_count(people, desk):
    organ = make_instrument(people.surveyor)
    path = page_of(organ, "fields/main/")
    values = posted(desk["curator"], path, status_since="c. 1860")
    answer = desk["curator"].post(path, values | {"status_since-reading": "1850~|c. 1850"})
    assert answer.status_code == 422


@pytest.mark.parametrize(
    "typed", ["early nineteenth century", "1842/1841", "1893-13", "x" * 500, "\u202e1850"]
)
def test_what_is_no_date_is_asked_about_in_words(people, desk, typed):
    organ = make_instrument(people.surveyor)
    path = page_of(organ, "fields/main/")
    answer = desk["curator"].post(path, posted(desk["curator"], path, status_since=typed))
    assert answer.status_code == 422 and Instrument.objects.get(pk=organ.pk).version == 1
    assert desk["curator"].get("/dates/reading/", {"name": "when", "when": typed}).status_code == 200


def test_rows_of_every_kind_open_and_codes_make_themselves(people, desk):
    make_term("event", "built", en="new build")
    organ = make_instrument(people.surveyor)
    for kind, parts in PARTS.items():
        root = organ if kind is Instrument else None
        for part in parts if root is not None else ():
            for rows in part.rows:
                assert desk["keeper"].get(page_of(root, f"rows/{rows.name}/add/")).status_code == 200, (
                    rows.name
                )
    path = page_of(organ, "rows/layers/add/")
    for _time in range(2):
        desk["curator"].post(path, posted(desk["curator"], path, name="Die erste Orgel – 1841"))
    assert sorted(Layer.objects.values_list("code", flat=True)) == [
        "die-erste-orgel-1841",
        "die-erste-orgel-1841-2",
    ]


def test_a_row_of_another_record_is_out_of_reach(people, desk):
    one, other = make_instrument(people.surveyor), make_instrument(people.surveyor)
    layer = Layer(instrument=other, code="theirs", name="Theirs")
    change_record(other, version=1, by=people.curator, put=[layer])
    for rest in ("rows/layers/theirs/edit/", "rows/layers/theirs/remove/"):
        assert desk["curator"].get(page_of(one, rest)).status_code == 404
    path = page_of(one, "rows/layers/add/")
    answer = desk["curator"].post(path, posted(desk["curator"], path, name="x", older_than=str(layer.pk)))
    assert answer.status_code == 422 and not one.layers.exists()


def test_a_maker_the_reader_may_not_know_of_is_neither_named_nor_accepted(people, desk):
    secret = make_maker(people.keeper, name="Hidden Hand", audience="named")
    organ = make_instrument(people.surveyor)
    layer = Layer(instrument=organ, code="l", name="First", maker=secret)
    change_record(organ, version=1, by=people.keeper, put=[layer])
    assert "Hidden Hand" not in desk["curator"].get(page_of(organ)).content.decode()
    assert "Hidden Hand" in desk["keeper"].get(page_of(organ)).content.decode()
    path = page_of(organ, "rows/layers/add/")
    for typed in (secret.reference, "Hidden Hand"):
        answer = desk["curator"].post(path, posted(desk["curator"], path, name="x", maker=typed))
        assert answer.status_code == 422
    form_page = desk["curator"].get(page_of(organ, "rows/layers/l/edit/")).content.decode()
    assert "Hidden Hand" not in form_page


def test_changing_a_row_keeps_a_maker_the_person_may_not_see(people, desk):
    secret = make_maker(people.keeper, name="Hidden Hand", audience="named")
    organ = make_instrument(people.surveyor)
    layer = Layer(instrument=organ, code="l", name="First", maker=secret)
    change_record(organ, version=1, by=people.keeper, put=[layer])
    path = page_of(organ, "rows/layers/l/edit/")
    assert desk["curator"].post(path, posted(desk["curator"], path, name="Second")).status_code == 302
    layer.refresh_from_db()
    assert (layer.name, layer.maker) == ("Second", secret)


def test_contradictory_claims_stand_side_by_side_and_one_is_preferred_with_its_reason(people, desk):
    organ = make_instrument(people.surveyor, name="One name")
    source = Source(reference="SRC-1", name="A letter", kind=make_term("source", "letter"))
    create_record(source, by=people.curator)
    claims = [
        Claim(instrument=organ, code="k1", about="name", value="First name", preferred=True, because="older"),
        Claim(instrument=organ, code="k2", about="name", value="Second name", source=source),
    ]
    change_record(organ, version=1, by=people.curator, put=claims)
    path = page_of(organ, "evidence/?about=name")
    html = desk["curator"].get(path).content.decode()
    assert all(words in html for words in ("First name", "Second name", "A letter", "One name", "older"))
    prefer = page_of(organ, "evidence/prefer/k2/")
    assert desk["curator"].post(prefer, {"record_version": 2, "because": " "}).status_code == 422
    desk["curator"].post(prefer, {"record_version": 2, "because": "signed by the maker"})
    first, second = Claim.objects.order_by("code")
    assert (first.preferred, second.preferred, second.because) == (False, True, "signed by the maker")
    assert desk["curator"].post(prefer, {"record_version": 2, "because": "again"}).status_code == 409


def test_the_steps_of_review_are_offered_to_those_who_may_take_them(people, desk):
    organ = make_instrument(people.surveyor)
    step = reverse("record-step", kwargs={"kind": "instruments", "reference": organ.reference})
    assert desk["surveyor"].get(page_of(organ)).context["steps"] == ["submit"]
    desk["surveyor"].post(step, {"step": "submit", "version": 1})
    assert "release" in desk["editor"].get(page_of(organ)).context["steps"]
    assert desk["curator"].get(page_of(organ)).context["steps"] == []
    assert desk["editor"].post(step, {"step": "return", "version": 2, "why": ""}).status_code == 409
    desk["editor"].post(step, {"step": "return", "version": 2, "why": "say who built it"})
    assert Change.objects.of(organ).first().why == "say who built it"
    assert desk["editor"].post(step, {"step": "explode", "version": 3}).status_code == 400
    assert desk["editor"].post(step, {"step": "submit", "version": 1}).status_code == 409


def test_a_row_that_others_point_to_is_not_taken_away_and_they_are_named(people, desk):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    from inventory.models import Survey, Trial

    survey = Survey(instrument=organ, code="s", when="2020", level=2, surveyor="x", limits="none")
    trial = Trial(survey=survey, code="t", specification=specification, stops=["flute-8"])
    change_record(organ, version=2, by=people.curator, put=[survey, trial])
    path = page_of(organ, f"rows/specifications/{specification.code}/remove/")
    answer = desk["curator"].post(path, {"record_version": 3})
    assert answer.status_code == 409 and "point to it" in answer.content.decode()
    assert Specification.objects.exists()


def test_makers_places_and_sources_have_pages_that_lead_to_their_instruments(people, desk):
    maker, place = make_maker(people.curator), make_place(people.curator)
    organ = make_instrument(people.surveyor, place=place, name="The organ there")
    layer = Layer(instrument=organ, code="l", name="First", maker=maker)
    change_record(organ, version=1, by=people.curator, put=[layer])
    for root in (maker, place):
        assert "The organ there" in desk["curator"].get(page_of(root)).content.decode()
    path = page_of(maker, "fields/main/")
    desk["curator"].post(path, posted(desk["curator"], path, name="Another name"))
    assert Maker.objects.get().name == "Another name"


def test_readers_see_released_records_and_no_tools(people, desk):
    organ = make_public(make_instrument(people.surveyor, owner="the parish"), people.editor)
    html = desk["reader"].get(page_of(organ)).content.decode()
    assert organ.name in html and "the parish" not in html and "fields/main/" not in html
