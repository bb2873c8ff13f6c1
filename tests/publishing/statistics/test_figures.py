"""Figures: intervals against published values and SciPy; sums of contributions; small groups."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from publishing.statistics.figures import RATIO, SHARE, SMALL, Figure, Record, make_figure


def of_shares(count: int, of: int) -> Figure:
    return make_figure("x", "", SHARE, [Record(f"ORG-{n}", float(n < count), 1.0) for n in range(of)])


@pytest.mark.parametrize(
    "count, of, low, high",
    [  # Newcombe 1998, table I, method 3 (values.md §8); 0 of 20 has the lower bound 0 exactly
        (81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718),
    ],
)  # fmt: skip
def test_wilson_as_published(count, of, low, high):
    figure = of_shares(count, of)
    assert (round(figure.low, 4), round(figure.high, 4)) == (low, high)


@settings(max_examples=40, deadline=None)
@given(st.integers(1, 400).flatmap(lambda of: st.tuples(st.integers(0, of), st.just(of))))
def test_wilson_as_scipy_has_it(pair):
    count, of = pair
    figure = of_shares(count, of)
    expected = stats.binomtest(count, of).proportion_ci(0.95, method="wilson")
    assert figure.low == pytest.approx(expected.low, abs=1e-6)
    assert figure.high == pytest.approx(expected.high, abs=1e-6)


def test_a_ratio_drawn_again_is_near_scipy_s_bootstrap():
    random = np.random.default_rng(3)
    of = random.integers(50, 400, 60).astype(float)
    count = np.round(of * random.uniform(1.0, 1.6, 60))
    figure = make_figure(
        "x", "", RATIO, [Record(str(n), c, o) for n, (c, o) in enumerate(zip(count, of, strict=True))]
    )
    expected = stats.bootstrap(
        (count, of), lambda a, b, axis=-1: a.sum(axis=axis) / b.sum(axis=axis), paired=True, method="percentile",
        n_resamples=4_000, random_state=np.random.default_rng(4),
    ).confidence_interval  # fmt: skip
    width = expected.high - expected.low
    assert figure.drawn_low == pytest.approx(expected.low, abs=0.12 * width)
    assert figure.drawn_high == pytest.approx(expected.high, abs=0.12 * width)
    assert figure.share == count.sum() / of.sum()


def test_the_same_records_give_the_same_interval():
    records = [Record(str(n), n % 3, 3.0) for n in range(20)]
    assert make_figure("x", "", SHARE, records) == make_figure("x", "", SHARE, records)


def test_stops_of_one_instrument_are_not_taken_for_independent():
    """Ten instruments with all or no stop shared: drawn again by instrument the interval is much wider than Wilson's."""
    figure = make_figure("x", "", SHARE, [Record(str(n), 20.0 * (n % 2), 20.0) for n in range(10)])
    assert figure.drawn_high - figure.drawn_low > 3 * (figure.high - figure.low)


def test_few_are_marked_and_have_no_drawn_interval():
    figure = make_figure("x", "", SHARE, [Record(str(n), 3.0, 9.0) for n in range(SMALL - 1)])
    assert figure.is_small and figure.drawn_low is None and figure.n == SMALL - 1


def test_nothing_looked_at_has_no_value_and_no_interval():
    figure = make_figure("x", "", SHARE, [])
    assert (figure.share, figure.low, figure.n, figure.is_small) == (None, None, 0, True)


def test_parts_of_instruments_add_up_to_whole_counts():
    figure = make_figure("x", "", SHARE, [Record("A", 1 / 3, 1 / 3), Record("B", 2 / 3, 2 / 3)])
    assert (figure.count, figure.of) == (1.0, 1.0) and figure.high == 1.0
