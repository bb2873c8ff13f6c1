"""Plans that clear every part: by hand, against nets that share no code, against another solver."""

import random
from itertools import combinations

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from inventory.organ.nets import Failure, possible_failures
from inventory.organ.schemes import Chest, Scheme, Segment, Stop
from inventory.organ.trial_plans import MOST_STOPS, expected_trials, plan_trials
from inventory.organ.valves_needed import net_of
from tests.inventory.organ.fault_cases import random_case
from tests.inventory.organ.fault_enumerator import Brute, levels_of, name_of, states_of
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank
from tests.inventory.organ.test_next_trial import octaves_together


def test_one_stop_of_two_keys_takes_four_trials():
    # By hand: each note alone (2), the stop with nothing held (pallets that close badly: 1), a key
    # with nothing drawn (a slider that closes badly: 1).
    scheme = Scheme(
        (full_keyboard("I", 2),),
        (full_rank("R", 2),),
        (Stop("A", "I", "Flute"),),
        (Segment("A", (1, 2), "R", shift=0),),
    )
    plan = plan_trials(scheme)
    assert len(plan.trials) == plan.at_least == 4 and plan.is_shortest
    assert (plan.knob_changes, plan.knob_changes_at_least) == (1, 1)
    assert plan.never_told == plan.left == ()


def test_a_leaking_flap_is_in_the_plan_with_its_twin_and_a_stop_to_murmur():
    scheme = octaves_together(24)
    plan = plan_trials(scheme)
    telling = [t for t in plan.trials if Failure("valve:A:17", "open") in t.clears]
    assert len(telling) == 1 and len(telling[0].stops) == 3 and telling[0].keys == (("I", 5),)
    assert telling[0].listen_for and not telling[0].speaks  # three sound: nobody swears to one
    assert plan.is_shortest and len(plan.trials) == 74


def test_with_one_knob_at_a_time_the_flaps_are_left_and_said_to_be():
    plan = plan_trials(octaves_together(24), most_stops=1)
    assert {f.part.partition(":")[0] for f in plan.left} == {"valve"}
    assert all(f.fails == "open" for f in plan.left)


def test_every_failure_is_either_cleared_or_named_as_left():
    scheme = octaves_together(24)
    plan = plan_trials(scheme)
    cleared = [f for trial in plan.trials for f in trial.clears]
    assert len(cleared) == len(set(cleared))
    assert set(cleared) | set(plan.left) | set(plan.never_told) == set(possible_failures(net_of(scheme)))


def test_nothing_held_comes_first_in_each_registration():
    scheme = octaves_together(24)
    found: dict = {}
    for trial in plan_trials(scheme).trials:
        found.setdefault(trial.stops, []).append(trial.keys)
    assert all(keys == sorted(keys) for keys in found.values())


def test_unit_chests_need_no_flap_trials():
    scheme = Scheme(
        (full_keyboard("I", 3),),
        (full_rank("R", 15),),
        (Stop("A", "I", "Flute"), Stop("B", "I", "Octave")),
        (Segment("A", (1, 3), "R", shift=0), Segment("B", (1, 3), "R", shift=12)),
        chests=(Chest("c", "unit", ("A", "B")),),
    )
    plan = plan_trials(scheme)
    assert plan.is_shortest and all(len(trial.stops) < 2 for trial in plan.trials)


SEEDS = [n for n in range(40) if n % 2 == 0]


@pytest.mark.parametrize("seed", SEEDS)
def test_if_all_goes_as_expected_no_single_failure_is_left_possible(seed):
    # The record of a clean plan, judged by nets that share no code with ours.
    scheme, _features = random_case(random.Random(seed))
    brute, plan = Brute(scheme), plan_trials(scheme)
    record = expected_trials(scheme, plan)
    assert all(brute.predicts(trial, ()) for trial in record)
    excused = {(f.part, f.fails) for f in (*plan.left, *plan.never_told)}
    for part, fails in brute.universe:
        if (name_of(part), fails) not in excused:
            assert any(not brute.predicts(trial, [(part, fails)]) for trial in record), (part, fails)


@pytest.mark.parametrize("seed", range(1, 24, 2))
def test_no_plan_by_the_rules_is_shorter_says_another_solver(seed):
    # Trials and what they tell by the rules of the module's head, from the brute-force nets; the
    # fewest by scipy.optimize.milp (HiGHS).
    scheme, _features = random_case(random.Random(seed))
    brute, plan = Brute(scheme), plan_trials(scheme)
    rows = _telling_rows(scheme, brute)
    if not rows:
        assert plan.trials == ()
        return
    matrix = np.array(sorted(rows)).T
    matrix = matrix[matrix.any(axis=1)]
    found = milp(
        np.ones(matrix.shape[1]),
        constraints=LinearConstraint(matrix, lb=1),
        integrality=1,
        bounds=Bounds(0, 1),
    )
    assert round(found.fun) == plan.at_least == len(plan.trials)


def _telling_rows(scheme, brute) -> set[tuple[int, ...]]:
    """For each smallest trial: which failures it tells (1) and which not (0)."""
    states = states_of(scheme)
    broken = [((part, fails),) for part, fails in brute.universe]
    levels = {f: [levels_of(brute.gates, brute.pairs, s, dict(f)) for s in states] for f in [(), *broken]}
    pipes = sorted({p for p in brute.spaces if p[0] == "pipe"} - brute.gone)
    rows: dict = {}
    for place, failures in enumerate(broken):
        for pipe in pipes:
            for least in (1, 2):
                now = _smallest(states, [lv.get(pipe, 0) >= least for lv in levels[failures]])
                for state in now ^ _smallest(states, [lv.get(pipe, 0) >= least for lv in levels[()]]):
                    rows.setdefault(state, set()).add((place, pipe))
    answer = set()
    for state, exact in rows.items():
        stops = [t for t in state if isinstance(t, str)]
        if len(stops) > MOST_STOPS:
            continue
        at = states.index(state)
        sound = levels[()][at]
        calls = [
            call
            for call in brute.pipes_of
            if call[0] in stops
            and (brute.board[call[0]], call[1]) in state
            and brute.pipes_of[call] - brute.gone
        ]
        asked = {p for call in calls for p in brute.pipes_of[call]}
        told = []
        for place, failures in enumerate(broken):
            level = levels[failures][at]
            told.append(
                int(
                    any(
                        (level.get(p, 0) < sound.get(p, 0) and len(calls) == 1)
                        or (
                            level.get(p, 0) > sound.get(p, 0) == 0
                            and (level.get(p, 0) == 2 or (place, p) in exact)
                            and any(p in brute.pipes_of[c] and not brute.pipes_of[c] & asked for c in brute.pipes_of)
                        )
                        for p in pipes
                    )
                )
            )  # fmt: skip
        if any(told):
            answer.add(tuple(told))
    return answer


def _smallest(states, reached) -> set:
    there = [state for state, yes in zip(states, reached, strict=True) if yes]
    return {one for one in there if not any(other < one for other in there)}


def test_pairs_of_failures_that_hide_each_other_are_rare_and_the_head_of_the_module_says_so():
    scheme = Scheme(
        (full_keyboard("I", 3),),
        (full_rank("R", 4),),
        (Stop("A", "I", "Flute"), Stop("B", "I", "Octave")),
        (Segment("A", (1, 3), "R", shift=0), Segment("B", (1, 3), "R", shift=1)),
        chests=(Chest("c", "slider", ("A", "B"), tuple(("I", k) for k in (1, 2, 3))),),
    )
    brute = Brute(scheme)
    record = expected_trials(scheme, plan_trials(scheme))
    pairs = [p for p in combinations(brute.universe, 2) if p[0][0] != p[1][0]]
    hidden = [p for p in pairs if all(brute.predicts(trial, p) for trial in record)]
    assert len(hidden) < len(pairs) / 20
