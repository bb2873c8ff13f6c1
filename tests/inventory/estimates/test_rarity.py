"""Rarity in bits: hand-solved."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.errors import EstimateError
from inventory.estimates.rarity import Rarity, rarity, rarity_of_kinds


@pytest.mark.parametrize(("count", "total", "bits"), [(1, 1, 0), (1, 2, 1), (3, 12, 2), (1, 48, 5.584963)])
def test_bits_are_minus_log2_of_the_share(count, total, bits):
    assert rarity(count, total) == Rarity(pytest.approx(bits, abs=1e-6), count, total)


def test_what_everyone_has_is_plain_zero():
    assert math.copysign(1, rarity(7, 7).bits) == 1


def test_none_of_a_kind_has_no_rarity():
    assert rarity(0, 12) is None
    assert rarity(0, 0) is None


@pytest.mark.parametrize(("count", "total"), [(-1, 3), (4, 3)])
def test_impossible_counts_are_refused(count, total):
    with pytest.raises(EstimateError, match="outside 0 to 3"):
        rarity(count, total)


def test_an_empty_collection_has_no_kinds():
    assert rarity_of_kinds([]) == {}


@settings(max_examples=60, deadline=None)
@given(st.lists(st.sampled_from("abcdef"), min_size=1, max_size=50))
def test_shares_of_all_kinds_add_up_to_one(kinds):
    found = rarity_of_kinds(kinds)
    assert sum(2**-one.bits for one in found.values()) == pytest.approx(1)
    assert all(one == rarity(kinds.count(kind), len(kinds)) for kind, one in found.items())
    assert all(one.bits <= math.log2(len(kinds)) + 1e-12 for one in found.values())
