"""Rank acceptability against closed forms and edge cases; each source stands beside its check."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates import smaa
from inventory.estimates.errors import EstimateError
from inventory.estimates.smaa import acceptability_of_samples, rank_acceptability, tied_bands
from inventory.estimates.smaa_samples import Criterion, bounds_of, draw_weights

TWO = (Criterion("x", 0, 1), Criterion("y", 0, 1))
THREE = (*TWO, Criterion("z", 0, 1))
SIX_SIGMA = 6


def within(found, row, rank, share):
    """Whether a sampled share lies within six standard errors of the exact one."""
    error = np.sqrt(share * (1 - share) / found.samples)
    return abs(found.shares[row, rank] - share) <= SIX_SIGMA * error


def test_two_specialists_and_an_all_rounder():
    # Closed form, even weights: A (1,0), B (0,1), C (0.6,0.6) are first in 0.4, 0.4, 0.2 of the weightings;
    # central weights (0.8,0.2), (0.2,0.8), (0.5,0.5); C is second in the other 0.8.
    found = rank_acceptability(
        {"A": {"x": 1, "y": 0}, "B": {"x": 0, "y": 1}, "C": {"x": 0.6, "y": 0.6}},
        TWO,
        seed=1,
        samples=100_000,
    )
    assert all(within(found, row, 0, share) for row, share in enumerate((0.4, 0.4, 0.2)))
    assert within(found, 2, 1, 0.8)
    assert found.shares[2, 2] == 0
    assert found.central_weights == pytest.approx(np.array([[0.8, 0.2], [0.2, 0.8], [0.5, 0.5]]), abs=0.005)
    assert list(found.confidence) == [1, 1, 1]
    assert found.errors[0, 0] == pytest.approx(np.sqrt(0.24 / 100_000), rel=0.02)


def test_three_specialists():
    # Closed form: each first in a third; central weight (11/18, 7/36, 7/36).
    found = rank_acceptability(
        {"A": {"x": 1, "y": 0, "z": 0}, "B": {"x": 0, "y": 1, "z": 0}, "C": {"x": 0, "y": 0, "z": 1}},
        THREE,
        seed=2,
        samples=100_000,
    )
    assert all(within(found, row, 0, 1 / 3) for row in range(3))
    assert found.central_weights[0] == pytest.approx([11 / 18, 7 / 36, 7 / 36], abs=0.005)


def test_the_order_of_importance_narrows_the_weightings():
    # Two criteria with x the more important: w_x is even on 1/2 to 1, so A beats C (w_x > 0.6) in 0.8.
    found = rank_acceptability(
        {"A": {"x": 1, "y": 0}, "C": {"x": 0.6, "y": 0.6}}, TWO, seed=3, samples=50_000, order=["x", "y"]
    )
    assert within(found, 0, 0, 0.8)
    assert found.central_weights[0] == pytest.approx([0.8, 0.2], abs=0.005)


def test_ordered_weights_have_the_known_means():
    # Mean of ordered even weights on three criteria: 11/18, 5/18, 2/18 (rank order centroid).
    drawn = draw_weights(THREE, 100_000, np.random.default_rng(4), ["y", "z", "x"])
    assert drawn.mean(axis=0) == pytest.approx([2 / 18, 11 / 18, 5 / 18], abs=0.003)
    assert (drawn[:, 1] >= drawn[:, 2]).all() and (drawn[:, 2] >= drawn[:, 0]).all()


def test_even_weights_fill_the_simplex():
    drawn = draw_weights(THREE, 100_000, np.random.default_rng(5))
    assert drawn.sum(axis=1) == pytest.approx(1)
    assert drawn.mean(axis=0) == pytest.approx(1 / 3, abs=0.005)
    # P(w > 1/2) = (1/2)^2 for one of three even weights.
    assert (drawn[:, 0] > 0.5).mean() == pytest.approx(0.25, abs=0.01)


def test_a_dominated_alternative_is_never_first_and_has_no_central_weight():
    # As in R's package smaa, tests/nacw.R: acceptability 0, central weight and confidence not defined.
    found = rank_acceptability({"A": {"x": 1, "y": 1, "z": 1}, "B": {"x": 0, "y": 0, "z": 0}}, THREE, seed=1)
    assert found.shares.tolist() == [[1, 0], [0, 1]]
    assert np.isnan(found.central_weights[1]).all() and np.isnan(found.confidence[1])
    assert found.central_weights[0] == pytest.approx(1 / 3, abs=0.02)


def test_one_sample_in_ten_that_flips():
    # As in R's package smaa, tests/pwi.R: pairwise 0.9 and 0.1; central weights are then both 1/3.
    scores = np.zeros((10, 2, 3))
    scores[:, 0] = 1
    scores[0] = scores[0][::-1]
    found = acceptability_of_samples(scores, np.full((10, 3), 1 / 3))
    assert found.pairwise[0, 1] == pytest.approx(0.9) and found.pairwise[1, 0] == pytest.approx(0.1)
    assert found.central_weights == pytest.approx(1 / 3)
    assert list(found.confidence) == pytest.approx([0.9, 0.1])


def test_tied_alternatives_share_their_ranks():
    found = rank_acceptability({"A": {"x": 1}, "B": {"x": 1}, "C": {"x": 0}}, [TWO[0]], seed=1, samples=100)
    assert found.shares.tolist() == [[0.5, 0.5, 0], [0.5, 0.5, 0], [0, 0, 1]]
    assert found.pairwise[0, 1] == 0.5
    assert list(found.confidence[:2]) == [0.5, 0.5]
    assert tied_bands(found) == (("A", "B"), ("C",))


def test_the_direction_of_a_criterion_is_stated():
    years = Criterion("years left", least=50, most=0)
    found = rank_acceptability({"soon": {"years left": 2}, "late": {"years left": 40}}, [years], seed=1)
    assert found.shares[0, 0] == 1


def test_not_known_is_a_range_and_neither_zero_nor_the_middle():
    # One criterion: U even on 0 to 1 against 0.25 is above it in 0.75.
    found = rank_acceptability({"U": {}, "K": {"x": 0.25}}, [TWO[0]], seed=6, samples=50_000)
    assert within(found, 0, 0, 0.75)
    assert found.confidence[0] == pytest.approx(0.75, abs=0.02)
    narrower = rank_acceptability({"U": {"x": (0.5, 1)}, "K": {"x": 0.25}}, [TWO[0]], seed=6)
    assert narrower.shares[0, 0] == 1


def test_bands_do_not_pretend_to_an_order_that_weights_decide():
    found = rank_acceptability(
        {"A": {"x": 1, "y": 0.9}, "B": {"x": 0.9, "y": 1}, "C": {"x": 0.1, "y": 0.1}}, TWO, seed=1
    )
    assert [set(band) for band in tied_bands(found)] == [{"A", "B"}, {"C"}]


def test_blocks_of_samples_change_nothing(monkeypatch):
    alternatives = {"A": {"x": (0, 1)}, "B": {"x": 0.5, "y": 0.4}, "C": {"x": 0.5, "y": 0.4}}
    whole = rank_acceptability(alternatives, TWO, seed=9, samples=3000)
    monkeypatch.setattr(smaa, "VALUES_AT_ONCE", 1000)
    pieces = rank_acceptability(alternatives, TWO, seed=9, samples=3000)
    assert pieces.samples == whole.samples
    assert pieces.shares == pytest.approx(whole.shares, abs=0.06)
    assert pieces.shares.sum() == pytest.approx(3)


def test_the_same_seed_gives_the_same_answer():
    alternatives = {"A": {"x": 1}, "B": {"y": 1}}
    one, two = (rank_acceptability(alternatives, TWO, seed=7) for _ in range(2))
    assert (one.shares == two.shares).all() and (one.pairwise == two.pairwise).all()


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(*[st.one_of(st.none(), st.floats(0, 1))] * 3), min_size=1, max_size=6))
def test_shares_add_up_both_ways_and_pairs_mirror(rows):
    alternatives = {str(n): dict(zip("xyz", row, strict=True)) for n, row in enumerate(rows)}
    found = rank_acceptability(alternatives, THREE, seed=1, samples=200)
    assert found.shares.sum(axis=0) == pytest.approx(1) and found.shares.sum(axis=1) == pytest.approx(1)
    assert found.pairwise + found.pairwise.T == pytest.approx(np.ones((len(rows), len(rows))))
    # Ranks and pairs tell one story: expected rank = 1 + how often others rank above.
    others = len(rows) - (found.pairwise.sum(axis=1) - 0.5)
    assert found.expected_ranks == pytest.approx(others)
    assert sorted(name for band in tied_bands(found) for name in band) == sorted(alternatives)


def test_a_brute_force_count_gives_the_same_ranks():
    chance = np.random.default_rng(3)
    scores, weights = chance.integers(0, 3, (200, 4, 2)) / 2, np.full((200, 2), 0.5)
    found = acceptability_of_samples(scores, weights)
    shares = np.zeros((4, 4))
    for sample in scores:
        utilities = sample.sum(axis=1)
        for row, own in enumerate(utilities):
            above, level = int((utilities > own).sum()), int((utilities == own).sum())
            shares[row, above : above + level] += 1 / level
    assert found.shares == pytest.approx(shares / 200)


def test_what_cannot_be_ranked_is_refused():
    for call, words in (
        (lambda: rank_acceptability({}, TWO, seed=1), "no alternative"),
        (lambda: rank_acceptability({"A": {}}, [], seed=1), "give each once"),
        (lambda: rank_acceptability({"A": {}}, [TWO[0], TWO[0]], seed=1), "give each once"),
        (lambda: rank_acceptability({"A": {"w": 1}}, TWO, seed=1), "no criterion"),
        (lambda: rank_acceptability({"A": {"x": 2}}, TWO, seed=1), "widen the criterion"),
        (lambda: rank_acceptability({"A": {"x": float("nan")}}, TWO, seed=1), "widen the criterion"),
        (lambda: rank_acceptability({"A": {}}, TWO, seed=1, samples=5), "10000 is usual"),
        (lambda: rank_acceptability({"A": {}}, TWO, seed=1, order=["x"]), "every criterion"),
        (lambda: Criterion("x", 1, 1), "two different numbers"),
        (lambda: acceptability_of_samples(np.zeros((2, 2, 2)), np.zeros((2, 3))), "do not fit"),
        (lambda: tied_bands(rank_acceptability({"A": {}}, TWO, seed=1), 0.5), "0.9 is usual"),
    ):
        with pytest.raises(EstimateError, match=words):
            call()


def test_a_range_may_be_given_either_way_round():
    low, high = bounds_of({"A": {"x": (0.9, 0.2)}}, TWO)
    assert (low[0, 0], high[0, 0]) == (0.2, 0.9)
