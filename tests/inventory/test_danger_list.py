"""The danger list from rows: three judgements beside one another, deadlines, and the advice that follows."""

from __future__ import annotations

from datetime import date

import pytest
from django.core.exceptions import ValidationError
from django.db.utils import IntegrityError

from inventory.danger_list import Advice, make_danger_list, scores_of
from inventory.models import Criterion, Danger, Decision, Instrument, Judgement
from tests.factory import make_instrument, make_people, make_term

pytestmark = pytest.mark.django_db
TODAY = date(2026, 11, 25)


@pytest.fixture
def organs():
    people = make_people()
    for code, judgement in (("mechanism", "loss"), ("decay", "likely"), ("feasible", "help")):
        Criterion.objects.create(
            code=code, version=2, judgement=judgement, name=code, more_means=f"more {code}"
        )
    return [make_instrument(people.curator, reference=f"ORG-T90{n}", name=f"Organ {n}") for n in range(3)]


def say(organ: Instrument, **values: int | tuple[int, int]) -> None:
    for criterion, value in values.items():
        low, high = value if isinstance(value, tuple) else (value, value)
        Judgement.objects.create(
            instrument=organ, code=f"{criterion}-{Judgement.objects.count()}", low=low, high=high, because="seen",
            criterion=Criterion.objects.get(code=criterion), assessor="panel", interests="none", when="2026",
        )  # fmt: skip


def the_list():
    return make_danger_list(
        Judgement.objects.select_related("instrument", "criterion"),
        Danger.objects.select_related("instrument", "kind"),
        Decision.objects.select_related("instrument"),
        today=TODAY,
    )


def test_three_judgements_stand_beside_one_another_and_are_never_added(organs):
    first, second, _third = organs
    say(first, mechanism=5, decay=5, feasible=5)
    say(second, mechanism=1, decay=1, feasible=1)
    found = the_list()
    assert found.entries[first.reference].bands == {"loss": 1, "likely": 1, "help": 1}
    assert found.entries[second.reference].bands == {"loss": 2, "likely": 2, "help": 2}
    assert found.advice_for(first.reference) == Advice.SAVE
    assert found.advice_for(second.reference) == Advice.NONE


def test_each_rule_of_the_advice_by_hand(organs):
    first, second, third = organs
    say(first, mechanism=5, decay=5, feasible=0)
    say(second, mechanism=0, decay=5, feasible=5)
    say(third, mechanism=5, decay=0, feasible=5)
    found = the_list()
    assert [found.advice_for(one.reference) for one in organs] == [
        Advice.DOCUMENT,
        Advice.STABILISE,
        Advice.WATCH,
    ]


def test_where_all_are_tied_nobody_stands_out(organs):
    for one in organs:
        say(one, mechanism=5, decay=5, feasible=5)
    assert the_list().advice_for(organs[0].reference) == Advice.NONE


def test_what_is_not_known_enough_is_looked_at_first(organs):
    say(organs[0], mechanism=5, decay=(0, 5))
    found = the_list()
    assert found.judgements["likely"].judged.unknown == (organs[0].reference,)
    assert found.advice_for(organs[0].reference) == Advice.LOOK


@pytest.mark.parametrize(
    ("deadline", "is_emergency"),
    [
        ("2027-02-23", True),
        ("2027-02-24", False),
        ("2020", True),
        ("2027", True),
        ("", False),
        ("2031-05", False),
    ],
)
def test_a_near_deadline_is_an_emergency_counted_from_its_earliest_day(organs, deadline, is_emergency):
    kind = make_term("danger", "closing")
    Danger.objects.create(instrument=organs[0], code="sale", kind=kind, text="sold", deadline=deadline)
    found = the_list()
    assert found.entries[organs[0].reference].is_emergency is is_emergency
    assert (found.advice_for(organs[0].reference) == Advice.EMERGENCY) is is_emergency


def test_a_danger_that_ended_leaves_the_list_and_says_why(organs):
    kind = make_term("danger", "closing")
    danger = Danger(
        instrument=organs[0], code="sale", kind=kind, text="sold", deadline="2026", ended="averted"
    )
    with pytest.raises(ValidationError):
        danger.validate_constraints()
    danger.outcome = "bought by the town"
    danger.save()
    assert the_list().entries == {}


def test_the_database_too_asks_for_the_reason(organs):
    with pytest.raises(IntegrityError):
        Danger.objects.create(
            instrument=organs[0], code="x", kind=make_term("danger", "sea"), text="sea", ended="lost"
        )


def test_assessors_who_differ_leave_the_whole_span_open(organs):
    criterion = Criterion.objects.get(code="mechanism")
    rows = [
        Judgement(code="a", criterion=criterion, low=1, high=2, assessor="one", when_sort=1),
        Judgement(code="b", criterion=criterion, low=4, high=4, assessor="two", when_sort=1),
        Judgement(code="c", criterion=criterion, low=3, high=3, assessor="two", when_sort=2),
    ]
    assert scores_of(rows) == {"mechanism": (1, 3)}


def test_judgements_by_an_older_version_of_the_criteria_do_not_count(organs):
    old = Criterion.objects.create(code="age", version=1, judgement="loss", name="age", more_means="older")
    say(organs[0], mechanism=5)
    Judgement.objects.create(
        instrument=organs[1], code="old", low=5, high=5, because="old", criterion=old,
        assessor="panel", interests="none", when="1990",
    )  # fmt: skip
    found = the_list()
    assert found.version == 2
    assert list(found.entries) == [organs[0].reference]


def test_an_empty_record_gives_an_empty_list():
    assert the_list().entries == {}
