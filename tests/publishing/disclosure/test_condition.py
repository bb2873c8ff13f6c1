"""Parts and defects in public: only where a consent for condition stands, never with a defect's place."""

from __future__ import annotations

import pytest

from inventory.courses import last_word
from inventory.models import Consent, Defect, DefectObservation, Part, PartCondition, Survey, Term
from inventory.models.vocabularies import Vocabulary
from publishing.catalogue.condition_tables import condition_tables, open_defects
from publishing.disclosure.condition import read_conditions
from publishing.disclosure.instruments import open_collection, read_instruments
from tests.factory import make_instrument, make_public, make_term

pytestmark = pytest.mark.django_db


@pytest.fixture
def organ(people):
    organ = make_public(make_instrument(people.curator), people.editor)
    first, second, third = (
        Survey.objects.create(instrument=organ, code=year, when=year, level=2, surveyor="S.", limits="-")
        for year in ("1990", "2005", "2020")
    )
    part = Part.objects.create(
        instrument=organ, code="bellows", name="Wedge bellows", kind=make_term("part", "bellows"), opening="zqpanel"
    )  # fmt: skip
    Term.objects.create(vocabulary=Vocabulary.CONDITION_CLASS, code="2", names={"en": "poor"})
    PartCondition.objects.create(
        survey=second, code="b", part=part, looked_at="present", condition_class=2, playability="sighs",
        integrity="of 1790", note="A patched fold.",
    )  # fmt: skip
    defect = Defect.objects.create(
        instrument=organ, code="worm", kind=make_term("defect", "worm", en="woodworm"), part=part,
        where="zqbehind the left panel", cause="damp", cause_certainty="probable",
    )  # fmt: skip
    for survey, course in ((second, "new"), (third, "cured")):
        DefectObservation.objects.create(
            defect=defect, code=survey.code, survey=survey, course=course, affected=3, out_of=9, note="Frass."
        )
    return organ


def consent(organ, **more) -> None:
    values = {"code": "c", "group": "condition", "given_by": "zqgiver", "when": "2020"} | more
    Consent.objects.create(instrument=organ, **values)


@pytest.mark.parametrize(
    "more", [None, {"withdrawn": True}, {"until": "2021"}, {"group": "danger"}], ids=str
)  # fmt: skip
def test_without_a_consent_that_stands_nothing_is_read(organ, more):
    if more is not None:
        consent(organ, **more)
    assert read_conditions([organ.pk]) == {}


def test_with_consent_everything_but_the_place_is_told_and_nothing_is_filled_in(organ):
    consent(organ)
    [value] = read_instruments([organ.pk], open_collection())
    assert "zq" not in repr(value)
    tables = condition_tables(value)
    assert tables.visits == ("2005", "2020")  # 1990 spoke of no part and no defect
    [(name, (judged, silent))] = tables.parts
    assert (name, judged.said, silent.said) == ("Wedge bellows", "present", "not looked at")
    assert judged.lines == ("condition: 2 poor", "playability: sighs", "integrity: of 1790")
    assert judged.texts == ("A patched fold.",)
    [(kind, beneath, cells)] = tables.defects
    assert (kind, beneath) == ("woodworm", ("Wedge bellows", "damp (probable)"))
    assert [cell.said for cell in cells] == ["new", "cured"] and cells[0].lines == ("3 of 9",)
    assert open_defects(value) == {"1990": 0, "2005": 1, "2020": 0}


@pytest.mark.parametrize(
    ("courses", "is_open"),
    [("new same", True), ("new cured same", False), ("new cured worse same", True), ("same", True)],
)
def test_the_same_after_cured_is_still_cured(courses, is_open):
    assert (last_word(courses.split()) != "cured") == is_open
