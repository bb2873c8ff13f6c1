"""The evaluation without valves and findings says what the whole one says; both of what shares only."""

from __future__ import annotations

import pytest

from inventory.organ.answers import evaluate_answer, evaluate_sharing
from inventory.organ.calls import CalledPipes
from inventory.organ.families import find_families
from inventory.organ.findings import find_findings
from inventory.organ.patterns import SchemePatterns
from inventory.organ.schemes import Scheme
from inventory.organ.synthetic import make_scheme


@pytest.mark.parametrize("seed", range(4))
def test_the_short_evaluation_is_the_whole_one_less_valves_and_findings(seed: int) -> None:
    scheme = make_scheme(seed, unified=True if seed % 2 else None)
    whole = evaluate_answer(scheme)
    assert list(whole)[-2:] == ["valves", "findings"]
    short = evaluate_sharing(CalledPipes(scheme))
    assert short == {name: value for name, value in whole.items() if name not in ("valves", "findings")}
    # The findings are those of a scheme nobody had evaluated before.
    assert [f.message for f in find_findings(scheme)] == [f["message"] for f in whole["findings"]]


@pytest.mark.parametrize("seed", range(4))
def test_patterns_of_the_stops_that_share_are_enough_for_every_family(seed: int) -> None:
    called = CalledPipes(make_scheme(seed, unified=True))
    every = find_families(called, SchemePatterns(called))
    assert every and find_families(called) == every
    alone = {stop.id for stop in called.scheme.stops} - called.sharing
    assert not alone & {stop for family in every for stop in family.stops}


def test_an_empty_scheme_has_no_sums_but_all_names() -> None:
    nothing = Scheme((), (), (), ())
    assert list(evaluate_sharing(CalledPipes(nothing))) == list(evaluate_answer(nothing))[:-2]
