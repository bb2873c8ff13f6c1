"""Bootstrap intervals: hand-solved ends, coverage, and SciPy beside it."""

import numpy as np
import pytest
from scipy import stats

from inventory.estimates import bootstrap as bootstrap_module
from inventory.estimates.bootstrap import bootstrap_mean, bootstrap_ratio
from inventory.estimates.errors import EstimateError


def test_two_values_have_three_possible_means():
    # Resamples of (0, 1): mean 0, 1/2, 1 with chances 1/4, 1/2, 1/4; the 95 % ends are 0 and 1.
    found = bootstrap_mean([0, 1], seed=1)
    assert (found.estimate, found.low, found.high, found.count) == (0.5, 0, 1, 2)
    middle = bootstrap_mean([0, 1], seed=1, level=0.4)
    assert (middle.low, middle.high) == (0.5, 0.5)


def test_equal_values_leave_no_doubt_and_one_value_says_how_little_it_rests_on():
    found = bootstrap_mean([7, 7, 7], seed=1)
    assert (found.low, found.high) == (7, 7)
    assert bootstrap_mean([7], seed=1).count == 1


def test_nothing_known_is_none():
    assert bootstrap_mean([], seed=1) is None
    assert bootstrap_ratio([], [], seed=1) is None
    assert bootstrap_ratio([0, 0], [0, 0], seed=1) is None


def test_scipy_gives_nearly_the_same_interval():
    values = np.random.default_rng(4).gamma(2, 10, 40)
    ours = bootstrap_mean(values, seed=1, resamples=20_000)
    theirs = stats.bootstrap(
        (values,), np.mean, n_resamples=20_000, method="percentile", rng=np.random.default_rng(2)
    ).confidence_interval
    assert (ours.low, ours.high) == pytest.approx((theirs.low, theirs.high), rel=0.02)


def test_a_ratio_is_of_sums_drawn_in_pairs():
    # Every pair has the ratio 1/2, so every resample has, though the sizes differ.
    found = bootstrap_ratio([1, 50, 7], [2, 100, 14], seed=3)
    assert (found.estimate, found.low, found.high, found.count) == (0.5, 0.5, 0.5, 3)


def test_resamples_without_anything_below_are_left_out():
    found = bootstrap_ratio([0, 3], [0, 4], seed=1)
    assert (found.estimate, found.low, found.high) == (0.75, 0.75, 0.75)


def test_the_interval_of_a_mean_covers_about_as_often_as_it_says():
    chance = np.random.default_rng(8)
    covered = 0
    for trial in range(200):
        found = bootstrap_mean(chance.normal(3, 2, 50), seed=trial, resamples=400)
        covered += found.low <= 3 <= found.high
    assert 0.89 <= covered / 200 <= 0.99


def test_the_same_seed_gives_the_same_interval_and_another_does_not():
    values = list(range(30))
    assert bootstrap_mean(values, seed=1) == bootstrap_mean(values, seed=1)
    assert bootstrap_mean(values, seed=1) != bootstrap_mean(values, seed=2)


def test_large_collections_are_drawn_in_blocks(monkeypatch):
    monkeypatch.setattr(bootstrap_module, "VALUES_AT_ONCE", 70)
    found = bootstrap_mean([0, 1] * 10, seed=1, resamples=1000)
    assert found.low < 0.5 < found.high


def test_settings_and_values_out_of_range_are_refused():
    for call in (
        lambda: bootstrap_mean([1, np.nan], seed=1),
        lambda: bootstrap_mean([1], seed=1, resamples=10),
        lambda: bootstrap_mean([1], seed=1, level=1),
        lambda: bootstrap_ratio([1, 2], [1], seed=1),
        lambda: bootstrap_ratio([1, 2], [-1, 2], seed=1),
    ):
        with pytest.raises(EstimateError):
            call()
