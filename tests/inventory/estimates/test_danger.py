"""One judgement of danger: bands, what is set apart, reasons, and what would change it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.danger import Change, judge, reasons, smallest_change, unknown_share
from inventory.estimates.errors import EstimateError
from inventory.estimates.smaa_samples import Criterion

MECHANISM, PIPES = Criterion("mechanism", 0, 5), Criterion("pipes", 0, 5)
BOTH = [MECHANISM, PIPES]


def test_better_on_every_criterion_is_a_band_of_its_own():
    found = judge({"low": {"mechanism": 1, "pipes": 1}, "high": {"mechanism": 4, "pipes": 5}}, BOTH, seed=1)
    assert found.bands == (("high",), ("low",))


def test_equal_instruments_are_one_band_in_alphabetical_order():
    same = {"mechanism": 3, "pipes": 3}
    assert judge({"b": same, "a": same}, BOTH, seed=1).bands == (("a", "b"),)


def test_what_hangs_on_the_weights_is_a_tie():
    # By hand: A leads where mechanism weighs more than half, so each stands above the other half the time.
    found = judge({"A": {"mechanism": 5, "pipes": 0}, "B": {"mechanism": 0, "pipes": 5}}, BOTH, seed=1)
    assert found.bands == (("A", "B"),)


def test_against_the_exact_areas_of_a_small_case():
    # values.md section 8 (derived): A=(1,0), B=(0,1), C=(0.6,0.6), even weights: first 0.4, 0.4, 0.2; C second 0.8.
    entries = {
        "A": {"mechanism": 5, "pipes": 0},
        "B": {"mechanism": 0, "pipes": 5},
        "C": {"mechanism": 3, "pipes": 3},
    }
    found = judge(entries, BOTH, seed=7, samples=40_000).acceptability
    assert found is not None
    error = 4 * (0.25 / 40_000) ** 0.5
    assert found.shares[:, 0].tolist() == pytest.approx([0.4, 0.4, 0.2], abs=error)
    assert found.shares[2, 1] == pytest.approx(0.8, abs=error)


def test_an_unknown_value_is_a_range_by_hand():
    # One criterion: known 4 of 5 against 0..5 evenly: the known one leads in 4/5 of all cases.
    found = judge({"known": {"mechanism": 4}, "not": {}}, [MECHANISM], seed=3, samples=40_000, most_unknown=1)
    assert found.acceptability is not None
    assert found.acceptability.pairwise[0, 1] == pytest.approx(0.8, abs=0.01)
    assert found.bands == (("known", "not"),)


def test_too_little_known_is_set_apart_and_ranks_nowhere():
    found = judge({"a": {"mechanism": 1, "pipes": 2}, "b": {"mechanism": (0, 4)}}, BOTH, seed=1)
    assert found.unknown == ("b",)
    assert found.band_of("b") is None
    assert found.bands == (("a",),)


def test_exactly_half_unknown_is_still_ranked():
    assert unknown_share({"pipes": 3}, BOTH) == 0.5
    assert judge({"a": {"pipes": 3}}, BOTH, seed=1).unknown == ()


def test_nobody_to_judge_is_no_error():
    assert judge({}, BOTH, seed=1).bands == ()


@settings(max_examples=25, deadline=None)
@given(
    st.dictionaries(
        st.sampled_from("abcdef"), st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=2, max_size=5
    ),
    st.randoms(use_true_random=False),
)
def test_the_order_of_the_records_changes_nothing_and_dominance_holds(values, chance):
    entries = {name: {"mechanism": one, "pipes": two} for name, (one, two) in values.items()}
    shuffled = list(entries.items())
    chance.shuffle(shuffled)
    found = judge(entries, BOTH, seed=1, samples=500)
    assert judge(dict(shuffled), BOTH, seed=1, samples=500).bands == found.bands
    for first, one in values.items():
        for second, other in values.items():
            if one[0] >= other[0] and one[1] >= other[1]:
                assert found.band_of(first) <= found.band_of(second)


def test_another_seed_moves_shares_by_no_more_than_the_stated_error():
    entries = {"A": {"mechanism": 5, "pipes": 1}, "B": {"mechanism": 2, "pipes": 4}, "C": {"mechanism": 3}}
    first, second = (judge(entries, BOTH, seed=seed).acceptability for seed in (1, 2))
    assert first is not None and second is not None
    assert (abs(first.shares - second.shares) <= 6 * first.errors + 1e-9).all()


def test_reasons_name_what_speaks_for_and_what_is_not_known():
    entries = {
        "A": {"mechanism": 5},
        "B": {"mechanism": 1, "pipes": 2},
        "C": {"mechanism": 1, "pipes": 2},
        "D": {"mechanism": 0, "pipes": 2},
    }
    assert [(one.criterion, one.says) for one in reasons("A", entries, BOTH)] == [
        ("mechanism", "for"),
        ("pipes", "unknown"),
    ]
    assert [(one.criterion, one.says) for one in reasons("D", entries, BOTH)][0] == ("mechanism", "against")


def test_the_smallest_change_that_moves_the_band_by_hand():
    # One criterion, B at 1 under A at 3: at 3 they are equal, which is the first band; at 2 still below.
    change = smallest_change("B", {"A": {"mechanism": 3}, "B": {"mechanism": 1}}, [MECHANISM], seed=1)
    assert change == Change("mechanism", 3.0, 3.0, 1, pytest.approx(0.4))


def test_where_nothing_moves_it_alone_it_says_so():
    assert smallest_change("A", {"A": {"mechanism": 3}}, [MECHANISM], seed=1) is None


def test_errors_say_what_to_do():
    with pytest.raises(EstimateError, match="name one of them"):
        reasons("Z", {"A": {}}, BOTH)
    with pytest.raises(EstimateError, match="name one of them"):
        smallest_change("Z", {"A": {}}, BOTH, seed=1)
    with pytest.raises(EstimateError, match="outside 0 to 1"):
        judge({"A": {}}, BOTH, seed=1, most_unknown=2)
    with pytest.raises(EstimateError, match="5 is usual"):
        smallest_change("A", {"A": {}}, BOTH, seed=1, steps=0)
