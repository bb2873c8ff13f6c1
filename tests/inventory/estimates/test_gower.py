"""Gower's likeness: hand-solved cases and its rules."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.errors import EstimateError
from inventory.estimates.gower import Variable, gower_likeness, span_of

PIPES = Variable("pipes", "number", span=100)
CHEST = Variable("chest", "category")
FLAP = Variable("flap", "presence")
ALL = (PIPES, CHEST, FLAP)


def test_a_hand_solved_pair():
    # 1 - 25/100 = 0.75; equal chests 1; one has flaps 0; mean of three.
    found = gower_likeness(
        {"pipes": 73, "chest": "slider", "flap": True}, {"pipes": 98, "chest": "slider", "flap": False}, ALL
    )
    assert (found.value, found.compared, found.asked, found.left_out) == (pytest.approx(1.75 / 3), 3, 3, ())


def test_what_is_not_known_is_left_out_and_named():
    found = gower_likeness({"pipes": 73, "chest": None}, {"pipes": 73, "chest": "unit", "flap": True}, ALL)
    assert (found.value, found.compared, found.left_out) == (1.0, 1, ("chest", "flap"))


def test_absent_in_both_says_nothing_but_unlike_zero_of_a_number_it_is_not_compared():
    assert gower_likeness({"flap": False}, {"flap": False}, [FLAP]).value is None
    assert gower_likeness({"pipes": 0}, {"pipes": 0}, [PIPES]).value == 1


def test_nothing_comparable_has_no_likeness():
    found = gower_likeness({}, {}, ALL)
    assert (found.value, found.compared, found.asked) == (None, 0, 3)
    assert gower_likeness({}, {}, []).value is None


def test_weights_count():
    heavy = Variable("chest", "category", weight=3)
    found = gower_likeness({"chest": "unit", "pipes": 0}, {"chest": "unit", "pipes": 100}, [heavy, PIPES])
    assert found.value == pytest.approx(0.75)


def test_a_collection_where_all_are_equal_has_no_span_and_full_likeness():
    assert gower_likeness({"n": 3}, {"n": 3}, [Variable("n", "number", span=0)]).value == 1


def test_wrong_statements_are_refused():
    with pytest.raises(EstimateError, match="take the span over the whole collection"):
        gower_likeness({"pipes": 0}, {"pipes": 101}, ALL)
    with pytest.raises(EstimateError, match="compare it as a category"):
        gower_likeness({"pipes": "73"}, {"pipes": 73}, ALL)
    with pytest.raises(EstimateError, match="has no span"):
        Variable("pipes", "number")
    with pytest.raises(EstimateError, match="is not one of"):
        Variable("pipes", "ordinal")
    with pytest.raises(EstimateError, match="not above 0"):
        Variable("chest", "category", weight=0)


def test_the_span_passes_over_what_is_not_known():
    assert span_of([None, 4, 9, None]) == 5
    assert span_of([None]) == span_of([]) == span_of([7]) == 0


RECORDS = st.fixed_dictionaries(
    {
        "pipes": st.one_of(st.none(), st.integers(0, 100)),
        "chest": st.one_of(st.none(), st.sampled_from(["slider", "spring", "unit"])),
        "flap": st.one_of(st.none(), st.booleans()),
    }
)


@settings(max_examples=100, deadline=None)
@given(RECORDS, RECORDS)
def test_likeness_is_the_same_both_ways_and_between_0_and_1(first, second):
    there, back = gower_likeness(first, second, ALL), gower_likeness(second, first, ALL)
    assert there == back
    assert there.compared + len(there.left_out) == there.asked
    assert (there.value is None) == (there.compared == 0)
    assert there.value is None or 0 <= there.value <= 1


@settings(max_examples=40, deadline=None)
@given(RECORDS)
def test_everything_is_like_itself(record):
    assert gower_likeness(record, record, ALL).value in (None, 1)
