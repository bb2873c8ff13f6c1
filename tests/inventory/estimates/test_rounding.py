"""Rounded parts add up, whatever they are."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.errors import EstimateError
from inventory.estimates.rounding import apportion, exact, round_half_up

AMOUNTS = st.lists(st.integers(0, 10**13).map(lambda n: Fraction(n, 10**6)), max_size=12)


def test_the_largest_remainders_get_the_units_that_are_left():
    # By hand: 1.6 + 1.5 + 0.9 = 4; rounded down 1 + 1 + 0, two units left for 0.9 and 0.6.
    assert apportion([Fraction(16, 10), Fraction(15, 10), Fraction(9, 10)]) == [2, 1, 1]


def test_of_equal_remainders_the_earlier_gets_the_unit():
    assert apportion([Fraction(1, 2), Fraction(1, 2)]) == [1, 0]


def test_nothing_shares_out_to_nothing():
    assert apportion([]) == [] and apportion([Fraction(0)] * 3) == [0, 0, 0]


def test_halves_go_up_and_dust_of_floating_sums_does_not_count():
    assert round_half_up(Fraction(5, 2)) == 3
    assert round_half_up(exact(0.1 * 3 * 5)) == 2  # 1.5000000000000002


@given(AMOUNTS)
@settings(max_examples=100)
def test_parts_add_up_and_none_is_off_by_a_unit(amounts):
    whole = apportion(amounts)
    assert sum(whole) == round_half_up(sum(amounts, Fraction(0)))
    assert all(abs(one - amount) < 1 for one, amount in zip(whole, amounts, strict=True))


@pytest.mark.parametrize("parts, total", [([Fraction(-1)], None), ([Fraction(1)], 3), ([Fraction(2)], 1)])
def test_what_cannot_be_shared_out_is_refused(parts, total):
    with pytest.raises(EstimateError):
        apportion(parts, total)
