"""Kaplan-Meier against Freireich's trial and SciPy; each source stands beside its check."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import CensoredData, ecdf

from inventory.estimates.errors import EstimateError
from inventory.estimates.kaplan_meier import estimate_survival, survival_at_both_ends

# Freireich and others, Blood 21 (1963) 699-716, weeks in remission; read in R's MASS (gehan) and in
# Introductory Biostatistics, example 11.1. "+" is still in remission.
TREATED = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+".split()
PLACEBO = (1, 1, 2, 2, 3, 4, 4, 5, 5, 8, 8, 8, 8, 11, 11, 12, 12, 15, 17, 22, 23)


def treated():
    return [float(text.rstrip("+")) for text in TREATED], [not text.endswith("+") for text in TREATED]


def test_the_treated_arm():
    # Computed from the data read; equals Klein and Moeschberger, Table 4.1A, from memory.
    curve = estimate_survival(*treated())
    assert [step.time for step in curve.steps] == [6, 7, 10, 13, 16, 22, 23]
    assert [step.at_risk for step in curve.steps] == [21, 17, 15, 12, 11, 7, 6]
    survival = (0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482)
    errors = (0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346)
    assert [step.survival for step in curve.steps] == pytest.approx(survival, abs=6e-5)
    assert [step.deviation for step in curve.steps] == pytest.approx(errors, abs=6e-5)
    assert (curve.median, curve.count, curve.failed) == (23, 21, 9)


def test_the_placebo_arm_where_nobody_is_censored():
    # Data as above; shares are arithmetic.
    curve = estimate_survival(PLACEBO, [True] * len(PLACEBO))
    survival = (
        0.9048, 0.8095, 0.7619, 0.6667, 0.5714, 0.3810, 0.2857, 0.1905, 0.1429, 0.0952, 0.0476, 0,
    )  # fmt: skip
    assert [step.survival for step in curve.steps] == pytest.approx(survival, abs=6e-5)
    assert curve.median == 8
    assert (curve.steps[-1].low, curve.steps[-1].high, curve.steps[-1].deviation) == (None, None, 0)


def test_nelson_aalen_is_the_sum_of_failed_over_at_risk():
    # Formula: manual of R's survMisc, sf.Rd.
    curve = estimate_survival(*treated())
    assert curve.steps[2].hazard == pytest.approx(3 / 21 + 1 / 17 + 1 / 15)


def test_scipy_gives_the_same_curve_and_bands_for_the_treated_arm():
    times, failed = treated()
    curve = estimate_survival(times, failed)
    theirs = ecdf(CensoredData.right_censored(times, ~np.array(failed))).sf
    bands = theirs.confidence_interval(0.95, method="log-log")
    at = [step.time for step in curve.steps]
    assert [step.survival for step in curve.steps] == pytest.approx(list(theirs.evaluate(at)))
    assert [step.low for step in curve.steps] == pytest.approx(list(bands.low.evaluate(at)), abs=1e-6)
    assert [step.high for step in curve.steps] == pytest.approx(list(bands.high.evaluate(at)), abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 30), st.booleans()), min_size=1, max_size=40))
def test_scipy_gives_the_same_curve_for_anything(watched):
    times, failed = [float(t) for t, _ in watched], [f for _, f in watched]
    curve = estimate_survival(times, failed)
    theirs = ecdf(CensoredData.right_censored(times, ~np.array(failed))).sf
    for step in curve.steps:
        assert step.survival == pytest.approx(float(theirs.evaluate(step.time)), abs=1e-12)
    assert all(a.survival > b.survival for a, b in zip(curve.steps, curve.steps[1:], strict=False))
    assert all(s.low is None or s.low <= s.survival <= s.high for s in curve.steps)


def test_shares_and_numbers_at_risk_at_chosen_times():
    curve = estimate_survival(*treated())
    assert curve.share_at(0) == 1
    assert curve.share_at(6) == curve.share_at(6.5) == pytest.approx(0.8571, abs=6e-5)
    assert curve.share_at(35) == pytest.approx(0.4482, abs=6e-5)
    assert curve.share_at(36) is None
    assert curve.at_risk_at([0, 6, 10, 20, 36]) == (21, 21, 15, 8, 0)


def test_a_thing_last_seen_going_at_a_time_is_at_risk_then():
    curve = estimate_survival([5, 5], [True, False])
    assert (curve.steps[0].at_risk, curve.steps[0].survival) == (2, 0.5)


def test_nothing_failed_or_nothing_watched_has_no_steps():
    assert estimate_survival([3, 4], [False, False]).steps == ()
    assert estimate_survival([3, 4], [False, False]).median is None
    empty = estimate_survival([], [])
    assert (empty.steps, empty.share_at(0)) == ((), None)


def test_failures_between_visits_are_tried_at_both_ends():
    early, late = survival_at_both_ends([10, 20, 20, 30], [15, None, 30, 40])
    assert [(s.time, s.at_risk) for s in early.steps] == [(10, 4), (20, 3), (30, 1)]
    assert [(s.time, s.at_risk) for s in late.steps] == [(15, 4), (30, 2), (40, 1)]
    for time in (5, 10, 17, 20, 29):
        assert early.share_at(time) <= late.share_at(time)


def test_what_cannot_be_is_refused():
    for call in (
        lambda: estimate_survival([1, 2], [True]),
        lambda: estimate_survival([-1], [True]),
        lambda: estimate_survival([float("nan")], [True]),
        lambda: estimate_survival([1], [True], z=0),
        lambda: survival_at_both_ends([1], []),
        lambda: survival_at_both_ends([5], [4]),
    ):
        with pytest.raises(EstimateError):
            call()
