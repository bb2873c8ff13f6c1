"""Danger against areas worked out by hand, and what must hold for any entries. Derived here; the sum stands beside."""

from __future__ import annotations

from math import log

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.danger import judge, unknown_share
from inventory.estimates.smaa import rank_acceptability
from inventory.estimates.smaa_samples import Criterion

TWO = [Criterion("mechanism", 0, 5), Criterion("pipes", 0, 5)]
THREE = [*TWO, Criterion("case", 0, 5)]
SAMPLES = 40_000
ERROR = 4 * (0.25 / SAMPLES) ** 0.5
"""Four standard errors of a half, the widest there is."""


def first_share(entries, criteria) -> float:
    """How often the first named leads the second."""
    found = rank_acceptability(entries, criteria, seed=11, samples=SAMPLES)
    return float(found.pairwise[0, 1])


def test_one_criterion_against_two():
    # A leads where w1 > w2 + w3, that is w1 > 1/2: a triangle of (1/2)^2 = 1/4 of all weightings.
    entries = {"A": {"mechanism": 5, "pipes": 0, "case": 0}, "B": {"mechanism": 0, "pipes": 5, "case": 5}}
    assert first_share(entries, THREE) == pytest.approx(1 / 4, abs=ERROR)


def test_a_line_through_a_corner_of_the_weightings():
    # u(A) - u(B) = w1 - w2 / 2 in fifths of five: A leads below the line from the corner w3 = 1 to w1:w2 = 1:2,
    # which cuts the opposite side at w1 = 1/3: areas on one height, so A leads in 2/3.
    entries = {"A": {"mechanism": 4, "pipes": 0, "case": 2}, "B": {"mechanism": 0, "pipes": 2, "case": 2}}
    assert first_share(entries, THREE) == pytest.approx(2 / 3, abs=ERROR)


def test_weights_and_an_unknown_together():
    # A = (1, 0.2), B = (r, 0.6), r even on 0 to 0.8: A leads where w (1 - r) > 0.4 (1 - w), w > 0.4 / (1.4 - r).
    # Share: 1 - (1/0.8) * integral of 0.4 / (1.4 - r) dr = 1 - ln(1.4 / 0.6) / 2 = 0.5763.
    entries = {"A": {"mechanism": 5, "pipes": 1}, "B": {"mechanism": (0, 4), "pipes": 3}}
    assert first_share(entries, TWO) == pytest.approx(1 - log(7 / 3) / 2, abs=ERROR)


def test_the_certainty_of_a_band_is_that_of_the_rule():
    # One criterion: 4.4 of 5 against an even 0 to 5 leads in 0.88, 4.6 in 0.92: a band begins at 0.9.
    for value, bands in ((4.4, 1), (4.6, 2)):
        found = judge({"A": {"mechanism": value}, "B": {}}, TWO[:1], seed=5, samples=SAMPLES, most_unknown=1)
        assert len(found.bands) == bands


RANGES = st.tuples(st.integers(0, 5), st.integers(0, 5)).map(lambda pair: (min(pair), max(pair)))


@settings(max_examples=25, deadline=None)
@given(st.lists(RANGES, min_size=3, max_size=3), st.integers(0, 2), st.integers(0, 5))
def test_a_range_made_wider_is_never_better_known(ranges, which, more):
    names = [criterion.name for criterion in THREE]
    before = dict(zip(names, ranges, strict=True))
    low, high = before[names[which]]
    after = {**before, names[which]: (max(0, low - more), min(5, high + more))}
    assert unknown_share(after, THREE) >= unknown_share(before, THREE)
    other = {"other": {name: 3 for name in names}}
    apart = judge({"it": before, **other}, THREE, seed=1, samples=200).unknown
    assert set(apart) <= set(judge({"it": after, **other}, THREE, seed=1, samples=200).unknown)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.lists(RANGES, min_size=2, max_size=2), min_size=2, max_size=5), st.integers(0, 4))
def test_who_surely_leads_on_every_criterion_is_never_in_a_lower_band(rows, chosen):
    names = [criterion.name for criterion in TWO]
    entries = {f"O{n}": dict(zip(names, row, strict=True)) for n, row in enumerate(rows)}
    ahead = {name: entries[f"O{chosen % len(rows)}"][name][1] for name in names}
    found = judge({**entries, "ahead": ahead}, TWO, seed=1, samples=300)
    behind = found.band_of(f"O{chosen % len(rows)}")
    assert behind is None or found.band_of("ahead") <= behind


@settings(max_examples=20, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=2, max_size=5),
    st.permutations("pqrst"),
)
def test_the_names_of_instruments_change_nothing_where_all_is_known(rows, names):
    entries = [{"mechanism": one, "pipes": two} for one, two in rows]
    plain = judge({f"O{n}": entry for n, entry in enumerate(entries)}, TWO, seed=1, samples=500)
    other = judge(dict(zip(names, entries, strict=False)), TWO, seed=1, samples=500)
    assert [plain.band_of(f"O{n}") for n in range(len(rows))] == [
        other.band_of(name) for name, _ in zip(names, rows, strict=False)
    ]
