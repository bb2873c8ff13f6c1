"""Wilson intervals against printed tables and SciPy; each source stands beside its check."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import binomtest

from inventory.estimates.errors import EstimateError
from inventory.estimates.wilson import wilson_interval


@pytest.mark.parametrize(
    ("count", "total", "low", "high"),
    [
        (0, 1, 0, 0.7934567),
        (1, 1, 0.2065433, 1),
        (1, 2, 0.0945287, 0.9054713),
        (1, 11, 0.0162318, 0.3773646),
        (10, 100, 0.0552285, 0.1743673),
        (25, 100, 0.1754509, 0.3430465),
        (50, 100, 0.4038298, 0.5961702),
        (0, 100, 0, 0.0369948),
    ],
)
def test_printed_intervals_with_z_of_1_96(count, total, low, high):
    # codegolf.stackexchange.com question 105389 (its pairs are successes and failures), z = 1.96 exactly.
    assert wilson_interval(count, total, z=1.96) == pytest.approx((low, high), abs=6e-8)


def test_the_trap_z_changes_the_fifth_figure():
    rounded, exact = wilson_interval(10, 100, z=1.96), wilson_interval(10, 100)
    assert rounded.low != pytest.approx(exact.low, abs=1e-7)
    assert rounded.low == pytest.approx(exact.low, abs=1e-5)


@pytest.mark.parametrize(
    ("count", "total", "low", "high"),
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_newcombes_table(count, total, low, high):
    # Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I, method 3: from memory, recomputed.
    assert wilson_interval(count, total) == pytest.approx((low, high), abs=6e-5)


def test_nothing_looked_at_has_no_interval():
    assert wilson_interval(0, 0) is None


@pytest.mark.parametrize(("count", "total"), [(-1, 5), (6, 5), (0, -1)])
def test_impossible_counts_are_refused(count, total):
    with pytest.raises(EstimateError, match="check both"):
        wilson_interval(count, total)


@pytest.mark.parametrize("z", [0, -1, float("nan"), float("inf")])
def test_z_must_be_above_nothing(z):
    with pytest.raises(EstimateError, match="1.959964"):
        wilson_interval(1, 2, z)


@settings(max_examples=100, deadline=None)
@given(st.integers(1, 5000).flatmap(lambda total: st.tuples(st.integers(0, total), st.just(total))))
def test_scipy_gives_the_same(pair):
    count, total = pair
    theirs = binomtest(count, total).proportion_ci(0.95, method="wilson")
    assert wilson_interval(count, total) == pytest.approx((theirs.low, theirs.high), abs=1e-7)


@settings(max_examples=60, deadline=None)
@given(st.integers(1, 300).flatmap(lambda total: st.tuples(st.integers(0, total), st.just(total))))
def test_the_share_lies_inside_and_the_rest_is_the_mirror(pair):
    count, total = pair
    low, high = wilson_interval(count, total)
    assert 0 <= low <= count / total <= high <= 1
    mirrored = wilson_interval(total - count, total)
    assert (1 - high, 1 - low) == pytest.approx(mirrored, abs=1e-12)
