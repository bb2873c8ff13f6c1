"""Explanations against a brute-force enumerator that shares no code, and by hand."""

from __future__ import annotations

import random
from collections import Counter
from itertools import product
from math import prod

import pytest

from inventory.organ.explanations import explain
from tests.inventory.organ.fault_cases import FEATURES, make_trials, random_case, random_failures
from tests.inventory.organ.fault_enumerator import Brute, name_of


def named(failures):
    return frozenset((name_of(part), fails) for part, fails in failures)


def expanded(group):
    return {
        frozenset((f.part, f.fails) for f in chosen)
        for one in group.explanations
        for chosen in product(*[(e.failure, *e.same_as) for e in one.entries])
    }


def check_case(seed: int) -> set[str]:
    rng = random.Random(seed)
    scheme, features = random_case(rng)
    brute = Brute(scheme)
    true = random_failures(rng, brute)
    trials = make_trials(rng, brute, true)
    wanted = brute.explanations(trials)
    assert wanted is not None
    found = explain(scheme, trials)
    assert not found.unexplained
    size = len(next(iter(wanted)))
    assert found.size == size <= len(true), seed
    classes = len({brute.behaviour(one) for one in wanted})
    if all(group.count <= 50 for group in found.groups):
        whole = {frozenset().union(*sets) for sets in product(*(expanded(g) for g in found.groups))}
        assert whole == {named(one) for one in wanted}, seed
        assert prod(g.count for g in found.groups) == found.count
        assert found.count >= classes, seed
        if found.count != classes:
            features = features | {"alike but not by swapping"}
        if size == len(true):
            assert named(true) in whole, seed
        if size:
            features = features | {f"size {size}"}
    else:
        features = features | {"too many to list"}
    return features


@pytest.mark.parametrize("block", range(10))
def test_explanations_equal_brute_force_on_random_small_organs(block):
    for seed in range(block * 15, block * 15 + 15):
        check_case(seed)


@pytest.mark.thorough
def test_explanations_equal_brute_force_on_a_thousand_random_small_organs():
    seen = Counter(feature for seed in range(1000) for feature in check_case(seed))
    assert all(seen[feature] >= 30 for feature in FEATURES), seen
