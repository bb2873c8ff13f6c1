"""Plans within a fixed amount of work: the same for the same scheme, honest where work runs out."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from inventory.organ import set_covers
from inventory.organ.plain_plans import MOST_WORK, count_work, plain_plan, plan_within
from inventory.organ.schemes import Chest, Control, Scheme, Segment, Stop
from inventory.organ.trial_plans import plan_trials
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank
from tests.inventory.organ.test_next_trial import octaves_together

ROOT = Path(__file__).resolve().parents[3]


def many_together(stops: int, keys: int, kind: str = "slider") -> Scheme:
    """So many stops on one rank, each a semitone further up."""
    return Scheme(
        (full_keyboard("I", keys),),
        (full_rank("R", keys + stops),),
        tuple(Stop(f"S{n}", "I", f"Flute {n}") for n in range(stops)),
        tuple(Segment(f"S{n}", (1, keys), "R", shift=n) for n in range(stops)),
        chests=(Chest("c", kind, tuple(f"S{n}" for n in range(stops))),),
    )


def test_small_schemes_are_worked_out_as_before():
    assert plan_within(octaves_together(14)) == plan_trials(octaves_together(14))


def test_the_search_is_cut_short_by_steps_and_the_plan_says_so():
    scheme = many_together(5, 7)
    whole, cut = plan_within(scheme), plan_within(scheme, most_steps=1)
    assert whole.is_shortest and len(whole.trials) <= len(cut.trials)
    assert cut.at_least < len(cut.trials) and not cut.is_shortest and cut.is_worked_out
    assert {f for t in cut.trials for f in t.clears} == {f for t in whole.trials for f in t.clears}
    assert cut == plan_within(scheme, most_steps=1)


def test_steps_are_counted_over_all_parts_together():
    # Complete graphs on five points, many times over: each part alone needs a search (see test_set_covers).
    pairs = [(a, b) for a in range(5) for b in range(a)]
    sets = [
        [10 * part + n for n, pair in enumerate(pairs) if point in pair]
        for part in range(9)
        for point in range(5)
    ]
    assert set_covers.smallest_cover(sets).is_smallest
    cut = set_covers.smallest_cover(sets, most_steps=20)
    assert not cut.is_smallest and 9 * 2 < cut.at_least < len(cut.chosen) == 9 * 4


def test_a_scheme_too_large_gets_each_note_alone_and_no_word_of_clearing():
    # By hand: nothing drawn 1, and for each of 12 stops nothing held 1 and 61 notes.
    scheme = many_together(12, 61)
    assert count_work(scheme) > MOST_WORK
    plan = plan_within(scheme)
    assert len(plan.trials) == 1 + 12 * 62
    assert not plan.is_worked_out and not plan.is_shortest and plan.at_least == 0
    assert not any(trial.clears or trial.listen_for for trial in plan.trials)


def test_meetings_on_a_unit_chest_cost_nothing():
    # By hand: 61 keys x 12 stops; on sliders the pipes in the middle meet 12 x 11 pairs.
    assert count_work(many_together(12, 61, "unit")) == 61 * 12
    # Pipes 1 to 11 and the last 11 have 1 to 11 calls, the 50 between have 12.
    ends = sum(depth * (depth - 1) for depth in range(1, 12))
    assert count_work(many_together(12, 61)) == 61 * 12 + 2 * ends + 50 * 12 * 11


def test_pipes_that_are_not_there_are_not_asked_to_speak():
    scheme = Scheme(
        (full_keyboard("I", 3),),
        (full_rank("R", 2),),
        (Stop("A", "I", "Flute"), Stop("B", "I", "None")),
        (Segment("A", (1, 3), "R", shift=0),),
    )
    assert [trial.keys for trial in plain_plan(scheme).trials] == [(), (), (("I", 1),), (("I", 2),)]


def test_a_control_with_positions_moves_one_knob_from_stop_to_stop():
    scheme = Scheme(
        (full_keyboard("I", 1),),
        (full_rank("R", 1),),
        (Stop("A", "I", "Flute"), Stop("B", "I", "Horn")),
        (Segment("A", (1, 1), "R", shift=0), Segment("B", (1, 1), "R", shift=0)),
        controls=(Control("k", (("A",), ("B",))),),
    )
    plan = plain_plan(scheme)
    assert (plan.knob_changes, plan.knob_changes_at_least) == (2, 2)


@pytest.mark.parametrize("stops", [(), (Stop("A", "I", "Flute"),)])
def test_a_scheme_without_calls_has_only_the_trial_of_nothing(stops):
    plan = plain_plan(Scheme((full_keyboard("I", 1),), (), stops, ()))
    assert [trial.stops for trial in plan.trials] == [()] and plan.knob_changes == 0


def test_two_processes_make_the_same_plan():
    # Sets of words lie in another order in every process; here two pipes tell the same.
    made = {
        subprocess.run(
            [sys.executable, "-c", PRINT_PLAN],
            env=os.environ | {"PYTHONHASHSEED": seed},
            cwd=ROOT,
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        for seed in ("1", "2", "5")
    }
    assert len(made) == 1 and "listen_for=('pipe" in made.pop()


PRINT_PLAN = """
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from inventory.organ.plain_plans import plan_within
ranks = tuple(Rank(name, 3, (36, 37, 38)) for name in "XY")
stops = (Stop("x", "I", "Cornet"),)
segments = tuple(Segment("x", (1, 3), name, shift=0) for name in "XY")
print(plan_within(Scheme((Keyboard("I", (36, 37, 38)),), ranks, stops, segments)))
"""
