"""Findings over records, each rule on a case small enough to judge by eye; and the command."""

import json
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from inventory.finding_rules.evidence import points_at
from inventory.findings import NoSuchReference, find_all
from inventory.models import (
    Chest,
    Claim,
    Consent,
    Count,
    Danger,
    Event,
    Instrument,
    Keyboard,
    Layer,
    Maker,
    Movement,
    Part,
    Photograph,
    Place,
    Rank,
    RankRange,
    Specification,
    Stop,
    Survey,
    Term,
    Trial,
)

pytestmark = pytest.mark.django_db


def term(vocabulary: str, code: str) -> Term:
    return Term.objects.get_or_create(vocabulary=vocabulary, code=code, defaults={"names": {"en": code}})[0]


@pytest.fixture
def organ() -> Instrument:
    return Instrument.objects.create(reference="ORG-1", name="Organ", status="in use")


@pytest.fixture
def specification(organ: Instrument) -> Specification:
    made = Specification.objects.create(instrument=organ, code="now", name="Now", basis="as found")
    keyboard = Keyboard.objects.create(specification=made, code="I", keys=3)
    Stop.objects.create(specification=made, code="a", keyboard=keyboard, label="A", name="A", footage="8")
    Rank.objects.create(specification=made, code="r", name="R", pipes=3, low_note=36)
    return made


def codes(reference: str = "ORG-1") -> list[tuple[str, str]]:
    return [(one.code, one.where) for one in find_all(reference) if one.code not in SCHEME_CODES]


SCHEME_CODES = {"silent-keys", "uncalled-pipes"}
"""What the bare scheme of the fixture says by itself."""


def test_a_quiet_record_has_no_findings(organ: Instrument) -> None:
    assert codes() == []


def test_an_event_before_the_first_layer_is_out_of_order_but_a_contract_is_not(organ: Instrument) -> None:
    Layer.objects.create(instrument=organ, code="new", name="new", when="1850")
    Event.objects.create(instrument=organ, code="early", kind=term("event", "overhauled"), when="1750")
    Event.objects.create(instrument=organ, code="asked", kind=term("event", "contracted"), when="1848")
    Event.objects.create(instrument=organ, code="vague", kind=term("event", "overhauled"), when="18XX")
    assert codes() == [("dates-out-of-order", "event:early")]


def test_a_layer_said_to_be_older_than_an_older_one(organ: Instrument) -> None:
    old = Layer.objects.create(instrument=organ, code="old", name="old", when="1800")
    Layer.objects.create(instrument=organ, code="new", name="new", when="1850", older_than=old)
    assert codes() == [("dates-out-of-order", "layer:new")]


def test_a_maker_after_death_is_found_with_a_year_of_grace_and_before_birth_without(
    organ: Instrument,
) -> None:
    maker = Maker.objects.create(
        reference="MKR-1", name="M", sort_name="M", kind="person", began="1800", ended="1850"
    )
    for code, when in (("child", "1799"), ("last", "1851"), ("ghost", "1852"), ("about", "1852~")):
        Layer.objects.create(instrument=organ, code=code, name=code, when=when, maker=maker)
    assert [where for code, where in codes() if code == "maker-out-of-time"] == [
        "layer:child",
        "layer:about",
        "layer:ghost",
    ]


def test_a_maker_who_ended_before_beginning() -> None:
    Maker.objects.create(
        reference="MKR-1", name="M", sort_name="M", kind="person", began="1850", ended="1800"
    )
    Maker.objects.create(
        reference="MKR-2", name="N", sort_name="N", kind="person", began="1850", active="1840"
    )
    assert codes("MKR-1") == [("dates-out-of-order", "ended")]
    assert codes("MKR-2") == [("dates-out-of-order", "active")]


def test_the_movement_register_is_read_from_line_to_line(organ: Instrument) -> None:
    part = Part.objects.create(instrument=organ, code="p", kind=term("part", "case"), name="Case")
    line = {"part": part, "because": "works", "on_whose_word": "owner"}
    Movement.objects.create(code="1", when="1950", came_from="church", went_to="Barn, upper floor", **line)
    Movement.objects.create(code="2", when="1960", came_from="barn", went_to="", **line)
    Movement.objects.create(code="3", when="1970", came_from="garden", went_to="church", **line)
    assert codes() == [("movement-without-destination", "movement:p/2")]
    Movement.objects.filter(code="2").update(went_to="cellar")
    assert codes() == [("part-in-two-places", "movement:p/3")]


def test_parts_of_an_organ_in_pieces_need_a_line(organ: Instrument) -> None:
    Part.objects.create(instrument=organ, code="p", kind=term("part", "case"), name="Case")
    assert codes() == []
    Instrument.objects.update(status="in pieces")
    assert codes() == [("movement-missing", "part:p")]


def test_numbers_that_cannot_be_compared_or_believed(organ: Instrument) -> None:
    Instrument.objects.update(pitch_hz="440", wind_pressure_mm="300")
    Survey.objects.create(
        instrument=organ, code="s", when="2000", level=1, surveyor="x", limits="all", pressure_mm="30"
    )
    assert codes() == [
        ("pitch-without-temperature", "pitch_hz"),
        ("pressure-implausible", "wind_pressure_mm"),
    ]


def test_ranges_counts_chests_and_trials_are_held_to_their_specification(
    specification: Specification,
) -> None:
    rank = specification.ranks.get()
    RankRange.objects.create(rank=rank, code="a", first_pipe=1, last_pipe=2)
    RankRange.objects.create(rank=rank, code="b", first_pipe=2, last_pipe=4)
    Count.objects.create(specification=specification, code="c", what="pipes", number=4, how="physical")
    Count.objects.create(specification=specification, code="d", what="pipes", number=9, how="source")
    Chest.objects.create(
        specification=specification,
        code="w",
        name="W",
        kind="slider",
        stop_order=["a", "z"],
        channel_order=["I:4"],
    )
    survey = Survey.objects.create(
        instrument=specification.instrument, code="s", when="2000", level=1, surveyor="x", limits="all"
    )
    Trial.objects.create(
        survey=survey, code="t", specification=specification, stops=["a"], keys=[{"keyboard": "I", "key": 3}]
    )
    Trial.objects.create(survey=survey, code="u", specification=specification, stops=["q"])
    assert codes() == [
        ("range-outside-rank", "rankrange:now/r/b"),
        ("ranges-overlap", "rankrange:now/r/b"),
        ("counts-differ", "count:now/c"),
        ("names-nothing", "chest:now/w"),
        ("names-nothing", "trial:s/u"),
    ]


@pytest.mark.parametrize(
    ("about", "there"),
    [
        ("", True),
        ("name", True),
        ("nonsense", False),
        ("stop:now/a", True),
        ("stop:now/a#footage", True),
        ("stop:now/a#nonsense", False),
        ("stop:now/z", False),
        ("stop:a", False),
        ("teapot:now/a", False),
        ("claim:c", True),
        ("claim:d", False),
    ],
)
def test_what_a_citation_or_claim_may_speak_of(specification: Specification, about: str, there: bool) -> None:
    Claim.objects.create(instrument=specification.instrument, code="c", about="name", value="x")
    assert points_at(specification.instrument, about) is there


def test_what_everybody_would_see_needs_a_licence_a_credit_and_consent(organ: Instrument) -> None:
    picture = {"instrument": organ, "file": "x.jpg", "width": 1, "height": 1, "shows": "x"}
    Photograph.objects.create(code="bare", audience="public", **picture)
    Photograph.objects.create(code="private", audience="team", **picture)
    Photograph.objects.create(
        code="no", audience="public", licence="CC0", credit="x", consent="refused", **picture
    )
    Danger.objects.create(
        instrument=organ, code="d", kind=term("danger", "water"), text="wet", audience="public"
    )
    expected = [
        ("photograph-without-licence", "photograph:bare"),
        ("photograph-without-credit", "photograph:bare"),
        ("photograph-refused", "photograph:no"),
    ]
    assert codes() == [*expected, ("consent-missing", "danger:d")]
    consent = Consent.objects.create(
        instrument=organ, code="c", group="danger", given_by="owner", when="2020"
    )
    assert codes() == expected
    Consent.objects.filter(pk=consent.pk).update(withdrawn=True)
    assert codes() == [*expected, ("consent-missing", "danger:d")]


def test_two_records_of_one_place_maker_and_year_are_perhaps_one(organ: Instrument) -> None:
    place = Place.objects.create(reference="PLC-1", name="P", kind="building")
    maker = Maker.objects.create(reference="MKR-1", name="M", sort_name="M", kind="person")
    Instrument.objects.update(place=place)
    other = Instrument.objects.create(reference="ORG-2", name="Twice", status="in use", place=place)
    for one in (organ, other):
        Layer.objects.create(instrument=one, code="l", name="l", when="1850", maker=maker)
    assert [(one.reference, one.code) for one in find_all()] == [("ORG-2", "perhaps-a-double")]
    Instrument.objects.filter(reference="ORG-2").update(state="withdrawn")
    assert find_all() == []


def test_the_command_prints_a_line_a_finding_and_exits_well(organ: Instrument) -> None:
    Instrument.objects.update(pitch_hz="440")
    out = StringIO()
    call_command("check_records", stdout=out)
    assert (
        out.getvalue().splitlines()[0].startswith("ORG-1 pitch_hz: warning, pitch-without-temperature: 440")
    )
    out = StringIO()
    call_command("check_records", "ORG-1", "--json", stdout=out)
    assert json.loads(out.getvalue())["findings"][0]["code"] == "pitch-without-temperature"


def test_an_unknown_reference_is_one_line_and_exit_2() -> None:
    with pytest.raises(NoSuchReference):
        find_all("ORG-9")
    with pytest.raises(CommandError) as caught:
        call_command("check_records", "ORG-9")
    assert caught.value.returncode == 2 and "\n" not in str(caught.value)
