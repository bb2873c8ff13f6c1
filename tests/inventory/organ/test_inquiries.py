"""From random failures in the demo's schemes the tracer asks its own trials and ends at the right parts."""

from __future__ import annotations

import random
from statistics import median

import pytest

from inventory.organ.confirming_trial import confirming_trial
from inventory.organ.explanations import explain
from inventory.organ.flows import Flows
from inventory.organ.inquiries import inquire
from inventory.organ.listening import listen
from inventory.organ.nets import Failure
from inventory.organ.schemes import Scheme, Segment, Stop
from inventory.organ.valves_needed import net_of
from tests.demo_schemes import demo_schemes
from tests.inventory.organ.inquiry_cases import make_case, solve, solve_at_random
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


def run(largest: int, seeds, at_random: int, most: int) -> dict[str, list]:
    """Seeded cases on schemes of 2 to `largest` stops; the first `at_random` also with trials at random."""
    schemes = [s for s in demo_schemes().values() if 2 <= len(s.stops) <= largest]
    told: dict[str, list] = {"asked": [], "beside": [], "at random": [], "wrong": []}
    for place, seed in enumerate(seeds):
        rng = random.Random(seed)
        case = make_case(rng.choice(schemes), rng, 1 + seed % 2)
        found = solve(case)
        told["asked"].append(found.asked)
        if not (case.is_right(found) and found.is_ended):
            told["wrong"].append((seed, case.broken))
        if place < at_random:
            told["beside"].append(found.asked)
            beside = solve_at_random(case, rng, most)
            told["at random"].append(beside.asked if beside.is_ended else most + 1)
    return told


def test_the_tracer_ends_at_the_right_parts_or_their_inseparable_kin():
    told = run(9, range(40), 8, 12)
    assert told["wrong"] == []
    assert median(told["asked"]) <= 3 and max(told["asked"]) <= 12
    assert median(told["beside"]) < median(told["at random"])


@pytest.mark.thorough
def test_the_same_of_three_hundred_sets_of_failures_on_larger_schemes(capsys):
    told = run(16, range(1000, 1300), 60, 40)
    with capsys.disabled():
        print(  # noqa: T201
            f"\nmedian {median(told['asked'])}, most {max(told['asked'])}; of the first 60: tracer "
            f"{median(told['beside'])}, at random {median(told['at random'])}, beyond 40: "
            f"{sum(n > 40 for n in told['at random'])}; wrong {told['wrong']}"
        )
    assert len(told["wrong"]) <= 3


@pytest.fixture
def two_stops():
    return Scheme(
        (full_keyboard("I", 4),),
        (full_rank("R", 4), full_rank("Q", 4)),
        (Stop("A", "I", "Flute"), Stop("B", "I", "String")),
        (Segment("A", (1, 4), "R", shift=0), Segment("B", (1, 4), "Q", shift=0)),
    )


def test_two_pipes_are_not_taken_for_a_slider(two_stops):
    # By hand: A is silent at keys 1 and 2. One slider explains both; so do two pipes. The tracer asks
    # A at a third key, hears it speak, and is left with two dumb notes.
    flows, broken = Flows(net_of(two_stops)), [Failure("pipe:R:1", "dead"), Failure("pipe:R:2", "dead")]

    def ask(following):
        return listen(two_stops, flows, broken, following.stops, following.keys, attend=following.listen_for)

    given = [listen(two_stops, flows, broken, ["A"], [("I", key)]) for key in (1, 2)]
    first = explain(two_stops, given)
    assert [e.failure.part for e in first.groups[0].explanations[0].entries] == ["slider:A"]
    assert confirming_trial(two_stops, given, first).keys == (("I", 3),)
    found = inquire(two_stops, given, ask)
    assert found.is_ended and found.diagnosis.size == 2
    kin = {
        f.part
        for g in found.diagnosis.groups
        for e in g.explanations[0].entries
        for f in (e.failure, *e.same_as)
    }
    assert {"pipe:R:1", "pipe:R:2"} <= kin


def test_the_limit_stops_an_inquiry_and_says_so(two_stops):
    flows, broken = Flows(net_of(two_stops)), [Failure("slider:A", "shut")]
    given = [listen(two_stops, flows, broken, ["A"], [("I", 1)])]
    found = inquire(two_stops, given, lambda n: listen(two_stops, flows, broken, n.stops, n.keys), most=0)
    assert found.asked == 0 and not found.is_ended


def test_nothing_wrong_asks_nothing(two_stops):
    found = inquire(two_stops, [], lambda n: pytest.fail("asked"))
    assert found.is_ended and found.diagnosis.groups == ()
