"""Fault tracing: how much faster than trying everything, and how it grows with the organ.

Ratios in one run, never seconds: the machine is shared. Printed with `-s`.
"""

from __future__ import annotations

import random
import time

import pytest

from inventory.organ.explanations import explain
from inventory.organ.flows import Flows
from inventory.organ.nets import Failure, possible_failures
from inventory.organ.schemes import Chest, Scheme, Segment, Stop
from inventory.organ.symptom_groups import solve_groups
from inventory.organ.symptoms import Observations
from inventory.organ.trials import Extra, Heard, Trial, bounds_of
from inventory.organ.valves_needed import net_of
from tests.inventory.organ.fault_enumerator import Brute
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


def twelve_stops(keys: int = 56) -> Scheme:
    """Twelve stops on eight rows, four of them at 8' + 4', on C and C sharp sides."""
    stops, segments, ranks = [], [], []
    for n in range(8):
        ranks.append(full_rank(f"R{n}", keys + (12 if n < 4 else 0)))
        for interval in (0, 12) if n < 4 else (0,):
            stops.append(Stop(f"s{len(stops)}", "I", f"Stop {len(stops)}"))
            segments.append(Segment(stops[-1].id, (1, keys), f"R{n}", interval=interval))
    chest = Chest("c", "slider", tuple(s.id for s in stops), None, "C and C sharp sides")
    return Scheme((full_keyboard("I", keys),), tuple(ranks), tuple(stops), tuple(segments), chests=(chest,))


def listen(scheme: Scheme, flows: Flows, failures, drawn, held) -> Trial:
    asked = bounds_of(scheme, flows.net, Trial(drawn, held, (), ()))
    level = flows.spread(asked.touches, flows.changes(failures))[0]
    heard = []
    for stop in sorted(drawn):
        for _, key in held:
            levels = {level.get(pipe, 0) for pipe in flows.net.calls.get((stop, key), ())}
            if levels:
                manner = "speaks" if levels == {2} else "silent" if levels == {0} else "weak"
                heard.append(Heard(stop, key, manner))
    extra = []
    for space, n in sorted(level.items()):
        if space.startswith("pipe:") and space not in asked.asked:
            _, rank, number = space.split(":")
            extra.append(Extra(rank, int(number), "loud" if n == 2 else "faint"))
    return Trial(drawn, held, tuple(heard), tuple(extra))


def all_single_trials(scheme: Scheme, flows: Flows, failures) -> list[Trial]:
    return [
        listen(scheme, flows, failures, frozenset({stop.id}), frozenset({("I", key)}))
        for stop in scheme.stops
        for key in range(1, scheme.keyboards[0].keys + 1)
    ]


def seconds(work) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


@pytest.mark.parametrize("kinds", [("shut", "dead"), ("open", "slight", "runs")])
def test_three_failures_on_twelve_stops_of_56_keys(kinds, capsys):
    """Said in milliseconds for the reader; asserted only against the work of hearing the trials."""
    scheme = twelve_stops()
    flows = Flows(net_of(scheme))
    pool = [failure for failure in possible_failures(flows.net) if failure.fails in kinds]
    searching, hearing, whole = [], [], []
    for seed in range(8):
        failures = random.Random(seed).sample(pool, 3)
        trials = all_single_trials(scheme, flows, failures)
        bounds = [bounds_of(scheme, flows.net, trial) for trial in trials]
        observations = Observations(flows, bounds)
        sound = flows.changes(())
        hearing.append(seconds(lambda b=bounds, s=sound: [flows.spread(one.touches, s) for one in b]))
        searching.append(seconds(lambda o=observations: solve_groups(o)))
        whole.append(seconds(lambda t=trials: explain(scheme, t)))
    with capsys.disabled():
        print(  # noqa: T201
            f"\n{'/'.join(kinds)}: search {1000 * max(searching):.0f} ms at worst, "
            f"with nets and reading {1000 * max(whole):.0f} ms; hearing all trials once "
            f"{1000 * max(hearing):.0f} ms"
        )
    # Shut parts: about one hearing of all trials. Open ones and runs: some dozens of hearings.
    assert sorted(searching)[4] < sorted(hearing)[4] * (12 if "shut" in kinds else 150)


def test_the_search_is_many_times_faster_than_trying_everything():
    scheme = Scheme(
        (full_keyboard("I", 6),),
        (full_rank("R", 8), full_rank("S", 6)),
        (Stop("A", "I", "Flute"), Stop("B", "I", "Octave"), Stop("D", "I", "String")),
        (
            Segment("A", (1, 6), "R", shift=0),
            Segment("B", (1, 6), "R", shift=2),
            Segment("D", (1, 6), "S", shift=0),
        ),
        chests=(Chest("c", "slider", ("A", "B", "D"), tuple(("I", key) for key in range(1, 7))),),
    )
    flows, brute = Flows(net_of(scheme)), Brute(scheme)
    failures = [Failure("pallet:I:2", "slight"), Failure("groove:D:5", "dead")]
    trials = all_single_trials(scheme, flows, failures)
    ours = seconds(lambda: explain(scheme, trials))
    answers: list = []
    everything = seconds(lambda: answers.extend(brute.explanations(trials)))
    found = explain(scheme, trials)
    assert found.size == len(answers[0]) == 2
    assert everything > 20 * ours, (everything, ours)
