"""Likeness on arrays against Gower's sum pair by pair, by hand, and the pictures made of it."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from scipy.cluster.hierarchy import average
from scipy.spatial.distance import squareform

from inventory.estimates.gower import Variable, gower_likeness
from publishing.statistics import likeness
from publishing.statistics.examples import example_instrument
from publishing.statistics.frames import frames_of
from publishing.statistics.likeness import (
    Compared,
    clustered_order,
    compared_instruments,
    distances,
    nearest,
    sample_of,
    scaled_map,
    score_pairs,
)
from publishing.statistics.rarities import rare_kinds


def made_up(count: int, seed: int) -> Compared:
    """Random instruments with gaps everywhere."""
    random = np.random.default_rng(seed)
    number = pd.Series(random.integers(0, 30, count).astype(float)).where(
        pd.Series(random.random(count) > 0.2)
    )
    category = pd.Series(random.choice(["a", "b", "c"], count)).where(pd.Series(random.random(count) > 0.2))
    presence = (
        pd.Series(random.random(count) > 0.5)
        .astype("object")
        .where(pd.Series(random.random(count) > 0.2), None)
    )
    table = pd.DataFrame({"n": number, "c": category, "p": presence})
    span = float(number.max() - number.min())
    variables = (
        Variable("n", "number", span=span),
        Variable("c", "category", weight=2.0),
        Variable("p", "presence"),
    )
    return Compared(tuple(f"ORG-{n}" for n in range(count)), variables, table)


@pytest.mark.parametrize("seed", range(4))
def test_every_pair_is_as_the_sum_of_one_pair_has_it(seed):
    compared = made_up(25, seed)
    scores, weights = score_pairs(compared, np.arange(25))
    rows = [
        {name: None if pd.isna(value) else value for name, value in row.items()}
        for row in compared.table.to_dict("records")
    ]
    for one in range(25):
        for other in range(25):
            found = gower_likeness(rows[one], rows[other], compared.variables)
            if found.value is None:
                assert np.isnan(scores[one, other]) and weights[one, other] == 0
            else:
                assert scores[one, other] == pytest.approx(found.value, abs=1e-12)


def test_a_pair_by_hand():
    """Numbers 4 and 6 of a span of 10 score 0.8; the same category 1; of two presences one is in both: (0.8+1+1+0)/4."""
    table = pd.DataFrame(
        {"n": [4.0, 6.0, 14.0], "c": ["x", "x", "y"], "p": [True, True, False], "q": [True, False, False]}
    )
    variables = (Variable("n", "number", span=10.0), Variable("c", "category"), Variable("p", "presence"),
                 Variable("q", "presence"))  # fmt: skip
    scores, weights = score_pairs(Compared(("A", "B", "C"), variables, table), np.array([0]))
    assert scores[0, 1] == pytest.approx(0.7) and weights[0, 1] == 4
    assert scores[0, 2] == 0.0 and weights[0, 2] == 4


def test_the_order_keeps_each_close_pair_together():
    apart = np.array([[0, 5, 1, 6.0], [5, 0, 6, 1], [1, 6, 0, 7], [6, 1, 7, 0]])
    order = clustered_order(apart)
    assert {frozenset(order[:2]), frozenset(order[2:])} == {frozenset({0, 2}), frozenset({1, 3})}
    assert average(squareform(apart))[0, 2] == 1


def test_above_the_limit_a_stated_sample_is_drawn_and_always_the_same(monkeypatch):
    monkeypatch.setattr(likeness, "MOST_ON_A_MAP", 10)
    compared = made_up(30, 1)
    chosen = sample_of(compared)
    assert len(set(chosen)) == 10 and (chosen == sample_of(compared)).all() and (np.diff(chosen) > 0).all()
    assert distances(compared, chosen).shape == (10, 10)


def test_nothing_or_one_instrument_has_no_map_and_no_neighbour():
    none = compared_instruments(frames_of([]))
    one = compared_instruments(frames_of([example_instrument()]))
    assert (
        scaled_map(distances(none, sample_of(none))) is None
        and scaled_map(distances(one, sample_of(one))) is None
    )
    assert nearest(one, "ORG-1") == [] and clustered_order(distances(none, sample_of(none))) == []
    assert rare_kinds(frames_of([]), "idea") == []


def test_what_is_not_known_is_left_out_and_not_taken_for_absent():
    organ = example_instrument("B")
    blind = tuple(replace(segment, device="") for segment in organ.current.segments)
    unseen = replace(organ, specifications=(replace(organ.current, segments=blind),))
    near = nearest(compared_instruments(frames_of([example_instrument("A"), unseen])), "A")[0]
    assert near.likeness == 1.0 and near.compared == near.asked - 1
    assert not any(name.startswith("device") for name in (*near.alike, *near.unlike))


def test_rarity_of_three_alike_and_one_other():
    organs = [example_instrument(f"ORG-{n}") for n in range(3)] + [example_instrument("ORG-9", shares=False)]
    (kind,) = rare_kinds(frames_of(organs), "idea")
    assert (kind.count, kind.total, kind.bits) == (3, 3, 0.0)
