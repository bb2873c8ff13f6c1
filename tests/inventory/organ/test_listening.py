"""The simulated organ against the brute-force nets, which share no code with ours."""

import random

import pytest

from inventory.organ.flows import Flows
from inventory.organ.listening import listen
from inventory.organ.nets import Failure
from inventory.organ.valves_needed import net_of
from tests.inventory.organ.fault_cases import random_case, random_failures
from tests.inventory.organ.fault_enumerator import Brute, name_of


@pytest.mark.parametrize("seed", range(25))
def test_what_is_written_down_is_what_the_brute_net_predicts(seed):
    rng = random.Random(seed)
    scheme, _features = random_case(rng)
    brute, flows = Brute(scheme), Flows(net_of(scheme))
    broken = random_failures(rng, brute)
    ours = [Failure(name_of(part), fails) for part, fails in broken]
    keys = [(b.id, k) for b in scheme.keyboards for k in range(1, b.keys + 1)]
    for _ in range(6):
        drawn = rng.sample([s.id for s in scheme.stops], rng.randint(0, len(scheme.stops)))
        trial = listen(scheme, flows, ours, drawn, rng.sample(keys, rng.randint(0, 2)))
        assert brute.predicts(trial, broken)
        heard = {("pipe", x.rank, x.pipe) for x in trial.extra}
        level = brute.hears(trial, broken)
        assert heard == {p for p, n in level.items() if n and p not in brute.asked(trial)}
