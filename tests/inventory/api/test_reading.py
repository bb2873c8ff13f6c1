"""Reading: what each person sees, lists, filters, pages; nothing private by any way round."""

from __future__ import annotations

import pytest

from inventory.actions import change_record
from inventory.api.kinds import ROOTS
from inventory.models import Confidence, Event, Instrument, Layer, Photograph, Place, Tie
from inventory.models.evidence import Citation, Claim
from inventory.visibility import FIELDS, group_of, public_fields
from tests.factory import add_shared_rank, make_instrument, make_maker, make_place, make_public, make_term
from tests.inventory.api.asking import assert_error
from tests.inventory.api.conftest import make_source


def shown_names(document) -> set[str]:
    """Names of all fields of the record itself in a document."""
    return {*document["fields"], *document["kept"], "reference", "version", "state"}


def test_everybody_reads_exactly_the_public_fields_of_a_record(programs, records):
    for plural, model in ROOTS.items():
        document = programs.anonymous.get(f"{plural}/{records[plural]['public'].reference}").json()
        assert shown_names(document) == set(public_fields(model)), plural
        listed = programs.anonymous.get(plural).json()["records"]
        assert [shown_names(one) for one in listed] == [set(public_fields(model))]


def test_links_to_hidden_records_are_as_if_they_were_not_there(people, programs):
    hidden, public = (
        make_maker(people.keeper, audience="named"),
        make_public(make_maker(people.keeper), people.keeper),
    )
    attic = make_place(people.keeper, audience="team")
    organ, other = make_instrument(people.surveyor, place=attic), make_instrument(people.surveyor)
    kind = make_term("event", "built")
    rows = [
        Event(instrument=organ, code="a", kind=kind, maker=hidden, attribution="signed"),
        Event(instrument=organ, code="b", kind=kind, maker=public, attribution="signed"),
        Event(instrument=organ, code="c", kind=kind, audience="team", text="not for you"),
        Tie(instrument=organ, code="t", kind="twin", other=other),
    ]
    organ = make_public(change_record(organ, version=1, by=people.keeper, put=rows), people.editor)
    document = programs.anonymous.get(f"instruments/{organ.reference}").json()
    assert document["fields"]["place"] is None
    told = {row["code"]: (row["maker"], row["attribution"]) for row in document["rows"]["event"]}
    assert told == {"a": (None, ""), "b": (public.reference, "signed")}
    assert "tie" not in document["rows"]
    team = programs.curator.get(f"instruments/{organ.reference}").json()
    assert team["fields"]["place"] == attic.reference and team["rows"]["tie"][0]["other"] == other.reference
    assert {row["code"] for row in team["rows"]["event"]} == {"a", "b", "c"}


def test_words_about_private_fields_and_hidden_rows_stay_with_them(people, programs):
    organ = make_instrument(people.surveyor)
    source = make_public(make_source(people.keeper), people.keeper)
    secret = make_source(people.keeper, audience="named")
    kind = make_term("event", "built")
    rows = [
        Event(instrument=organ, code="quarrel", kind=kind, audience="team"),
        Claim(instrument=organ, code="1", about="owner", value="the Count"),
        Claim(instrument=organ, code="2", about="name", value="Old organ"),
        Claim(instrument=organ, code="3", about="event:quarrel#text", value="over money"),
        Claim(instrument=organ, code="4", about="rank:as-found/flute#alloy", value="tin"),
        Citation(instrument=organ, code="5", about="name", source=source),
        Citation(instrument=organ, code="6", about="name", source=secret),
        Citation(instrument=organ, code="7", about="nonsense:x", source=source),
    ]
    organ = make_public(change_record(organ, version=1, by=people.keeper, put=rows), people.editor)
    path = f"instruments/{organ.reference}"
    told = programs.anonymous.get(path).json()["rows"]
    assert {row["code"] for name in ("claim", "citation") for row in told.get(name, [])} == {"2", "5"}
    team = programs.curator.get(path).json()["rows"]
    assert {row["code"] for row in team["claim"]} == {"1", "2", "3", "4"}


def test_pictures_are_for_everybody_only_with_licence_and_consent(people, programs):
    organ = make_instrument(people.surveyor)
    made = [
        ("a", "CC BY 4.0", "given"),
        ("b", "", "given"),
        ("c", "CC BY 4.0", "refused"),
        ("d", "CC0", "not asked"),
    ]
    Photograph.objects.bulk_create(
        Photograph(instrument=organ, code=code, file=f"{code}.jpg", shows="x", credit="A", licence=licence,
                   consent=consent, audience="public", width=1, height=1)
        for code, licence, consent in made
    )  # fmt: skip
    organ = make_public(organ, people.editor)
    told = programs.anonymous.get(f"instruments/{organ.reference}").json()["rows"]
    assert [row["code"] for row in told["photograph"]] == ["a"]
    assert len(programs.reader.get(f"instruments/{organ.reference}").json()["rows"]["photograph"]) == 4


def test_a_named_person_reads_what_others_of_the_team_do_not(people, programs):
    organ = make_instrument(people.surveyor, contact="a private person", audience="named")
    path = f"instruments/{organ.reference}"
    assert_error(programs.curator.get(path), 404)
    Confidence.objects.create(
        user=people.curator, root_kind="instrument", reference=organ.reference, given_because="asked"
    )
    assert programs.curator.get(path).json()["fields"]["contact"] == "a private person"
    other = make_instrument(people.surveyor, contact="somebody else")
    listed = {
        one["reference"]: one["fields"] for one in programs.curator.get("instruments").json()["records"]
    }
    assert "contact" in listed[organ.reference] and "contact" not in listed[other.reference]


# --- lists ---------------------------------------------------------------------------------------------


def references(program, address):
    return [one["reference"] for one in program.get(address).json()["records"]]


def test_pages_follow_each_other_by_reference_in_both_directions(people, programs):
    made = sorted(make_place(people.surveyor).reference for _n in range(7))
    for order, expected in (("reference", made), ("-reference", made[::-1])):
        found, address = [], f"places?limit=3&order={order}"
        while address:
            page = programs.curator.get(address).json()
            found += [one["reference"] for one in page["records"]]
            address = page["next"]
        assert found == expected


def test_a_record_made_between_two_pages_shifts_nothing(people, programs):
    made = [make_place(people.surveyor, reference=f"P-{n}0") for n in range(1, 5)]
    page = programs.curator.get("places?limit=2").json()
    make_place(people.surveyor, reference="P-05")
    assert references(programs.curator, page["next"]) == [made[2].reference, made[3].reference]


def test_filters_find_by_state_place_maker_period_device_status(people, programs):
    island = make_place(people.surveyor, kind="island")
    town = make_place(people.surveyor, parent=island)
    maker, kind = make_maker(people.surveyor), make_term("event", "built")
    one = make_instrument(people.surveyor, place=town, status="lost")
    two = make_instrument(people.surveyor)
    rows = [
        Event(instrument=one, code="b", kind=kind, maker=maker, when="1850~"),
        Event(instrument=one, code="x", kind=kind),
        Layer(instrument=two, code="l", name="x", maker=maker, when="1900"),
        Event(instrument=two, code="b", kind=kind, when="1900/1910"),
    ]
    change_record(one, version=1, by=people.curator, put=rows[:2])
    change_record(two, version=1, by=people.curator, put=rows[2:])
    add_shared_rank(two, people.curator)
    both = [one.reference, two.reference]
    expected = {
        f"place={island.reference}": both[:1],
        f"place={town.reference}": both[:1],
        "place=NOWHERE": [],
        f"maker={maker.reference}": both,
        "status=lost": both[:1],
        "period=1850": both[:1],
        "period=1840/1860": both[:1],
        "period=1905/..": both[1:],
        "period=1849/1950": both,
        "period=1851/1899": [],
        "device=flap": [],
        "state=draft": both,
        "state=released": [],
        f"state=draft&maker={maker.reference}&status=lost": both[:1],
    }
    for asked, found in expected.items():
        assert references(programs.curator, f"instruments?{asked}") == found, asked
    assert references(programs.curator, f"places?place={island.reference}") == [town.reference]
    assert references(programs.curator, "places?kind=island") == [island.reference]


PRIVATE = sorted(
    name
    for model in (Instrument, Place)
    for name in FIELDS[model.kind_name()]
    if group_of(model, name).audience != "public"
)


@pytest.mark.parametrize(
    "name", [*PRIVATE, "owner__contains", "place__access", "audience", "id", "pk", "format", "q"]
)
def test_nobody_can_ask_by_a_private_field(programs, records, name):
    for program in (programs.anonymous, programs.keeper):
        assert_error(program.get(f"instruments?{name}=a"), 400, "unknown-filter")
        assert_error(program.get(f"places?{name}=a"), 400, "unknown-filter")


def test_filters_tell_nothing_of_hidden_places_makers_and_events(people, programs):
    hidden_town = make_place(people.keeper, audience="team")
    chapel = make_public(make_place(people.keeper, parent=hidden_town), people.keeper)
    region = make_public(make_place(people.keeper, kind="region"), people.keeper)
    hidden_town.parent = region
    change_record(hidden_town, version=1, by=people.keeper, put=[hidden_town])
    hidden_maker, maker = make_maker(people.keeper), make_public(make_maker(people.keeper), people.keeper)
    organ, kind = make_instrument(people.surveyor, place=chapel), make_term("event", "built")
    rows = [
        Event(instrument=organ, code="a", kind=kind, maker=hidden_maker),
        Event(instrument=organ, code="b", kind=kind, maker=maker, when="1777", audience="team"),
    ]
    organ = make_public(change_record(organ, version=1, by=people.keeper, put=rows), people.editor)
    for asked in (f"place={hidden_town.reference}", f"place={region.reference}", f"maker={hidden_maker.reference}",
                  f"maker={maker.reference}", "period=1777", "state=draft"):  # fmt: skip
        assert references(programs.anonymous, f"instruments?{asked}") == [], asked
    assert references(programs.anonymous, f"instruments?place={chapel.reference}") == [organ.reference]
    assert references(programs.curator, f"instruments?place={region.reference}") == [organ.reference]
    assert references(programs.curator, f"instruments?maker={maker.reference}&period=1777") == [
        organ.reference
    ]


@pytest.mark.parametrize(
    "asked", ["limit=0", "limit=201", "limit=x", "limit=-1", "limit=²", "order=name", "state=gone", "period=soon",
              "limit=1&limit=2", "place=%00", "after=" + "x" * 300],
)  # fmt: skip
def test_what_cannot_be_asked_is_said_with_its_place(programs, asked):
    said = assert_error(programs.anonymous.get(f"instruments?{asked}"), 400)
    assert said["where"] == asked.partition("=")[0]


def test_lists_and_documents_take_as_many_queries_for_many_rows_as_for_few(
    people, programs, django_assert_max_num_queries
):
    organ = make_instrument(people.surveyor)
    for n in range(30):
        make_instrument(people.surveyor, place=make_place(people.surveyor), reference=f"ORG-Q{n:03d}")
    add_shared_rank(organ, people.curator, footages=("16", "8", "4", "2 2/3", "2", "1 3/5", "1 1/3", "1"))
    with django_assert_max_num_queries(4):  # session, person, confidences, records
        assert len(programs.curator.get("instruments?limit=200").json()["records"]) == 31
    with django_assert_max_num_queries(20):
        document = programs.curator.get(f"instruments/{organ.reference}").json()
    assert len(document["rows"]["stop"]) == 8 and len(document["rows"]["segment"]) == 8
    with django_assert_max_num_queries(10):
        document = programs.curator.get(f"instruments/{organ.reference}?rows=stop,rank").json()
    assert set(document["rows"]) == {"stop", "rank"}
    assert_error(programs.curator.get(f"instruments/{organ.reference}?rows=stop,owner"), 400)
