"""Money in sight, the gap, gifts that close it."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.estimates.errors import EstimateError
from inventory.estimates.funding import Position, funding_position, gift_table, given_pipes


def test_a_position_by_hand():
    found = funding_position(55_000, secured=9_000, pledged=4_000, applied=15_000)
    assert found == Position(55_000, 9_000, 4_000, 15_000, gap=27_000, surplus=0)
    assert found.not_in_hand == 46_000


def test_more_than_enough_is_a_surplus_and_no_gap():
    found = funding_position(100, secured=150, pledged=0, applied=0)
    assert (found.gap, found.surplus, found.not_in_hand) == (0, 50, 0)


@given(st.integers(0, 10**7), *[st.floats(0, 10**6) for _ in range(3)])
def test_a_position_adds_up_to_the_unit(total, secured, pledged, applied):
    found = funding_position(total, secured=secured, pledged=pledged, applied=applied)
    assert found.secured + found.pledged + found.applied + found.gap - found.surplus == total


def test_a_gift_table_by_hand():
    # Gap 27 000: 15 % is 4050, a round 2000; 7.5 % is 2025, a round 2000 twice; 1.5 % is 405, ten of 200.
    levels = [(level.count, level.each, level.sum) for level in gift_table(27_000)]
    assert levels == [(1, 2000, 2000), (2, 2000, 4000), (10, 200, 2000), (None, 0, 19_000)]


@given(st.integers(0, 10**8))
def test_gifts_add_up_to_the_gap_exactly_and_get_smaller(gap):
    levels = gift_table(gap)
    assert sum(level.sum for level in levels) == gap
    each = [level.each for level in levels if level.count]
    assert each == sorted(each, reverse=True)
    assert all(level.sum > 0 for level in levels)


def test_a_shared_pipe_is_one_gift_with_several_voices():
    voices = [("r", 13, "Flute 8"), ("r", 13, "Flute 4"), ("r", 1, "Flute 8"), ("r", 13, "Flute 4")]
    assert given_pipes([("r", 13), ("r", 1)], voices) == {
        ("r", 13): ("Flute 4", "Flute 8"),
        ("r", 1): ("Flute 8",),
    }


def test_no_pipe_is_given_twice():
    with pytest.raises(EstimateError, match="given twice"):
        given_pipes([("r", 13), ("r", 13)], [])


@pytest.mark.parametrize("call", [lambda: gift_table(-1), lambda: funding_position(-1, secured=0, pledged=0, applied=0),
                                  lambda: funding_position(1, secured=-1, pledged=0, applied=0)])  # fmt: skip
def test_amounts_below_nothing_are_refused(call):
    with pytest.raises(EstimateError):
        call()
