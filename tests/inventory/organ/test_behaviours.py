"""Behaviours: the smallest trials that make a pipe sound, against trying everything."""

import random

from inventory.organ.behaviours import Behaviours
from inventory.organ.flows import Flows
from inventory.organ.nets import Failure
from inventory.organ.valves_needed import Plays, net_of
from tests.inventory.organ.fault_cases import random_case, random_failures
from tests.inventory.organ.fault_enumerator import Brute, levels_of, name_of, states_of
from tests.inventory.organ.test_nets import organ


def test_levels_read_off_behaviours_are_those_of_every_trial():
    for seed in range(40):
        rng = random.Random(seed)
        scheme, _ = random_case(rng)
        brute = Brute(scheme)
        behaviours = Behaviours(Flows(net_of(scheme)), Plays(scheme).playable)
        failures = random_failures(rng, brute)
        changed = behaviours.of(Failure(name_of(part), fails) for part, fails in failures)
        states = states_of(scheme)
        for touches in rng.sample(states, min(12, len(states))):
            level = levels_of(brute.gates, brute.pairs, touches, dict(failures))
            for pipe in {p for pipes in brute.pipes_of.values() for p in pipes} - brute.gone:
                assert behaviours.level(changed, name_of(pipe), touches) == level.get(pipe, 0), (seed, pipe)


def test_two_parts_in_one_row_behave_alike_and_two_branches_do_not():
    scheme = organ()
    behaviours = Behaviours(Flows(net_of(scheme)))
    assert behaviours.of([Failure("pallet:I:1", "shut")]) == behaviours.of([Failure("channel:I:1", "dead")])
    assert behaviours.of([Failure("valve:A:3", "shut")]) != behaviours.of([Failure("valve:B:1", "shut")])
