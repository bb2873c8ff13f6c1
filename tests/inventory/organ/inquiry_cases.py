"""Organs with something wrong, the complaint a player would bring, and trials chosen at random beside the tracer's."""

from __future__ import annotations

import random
from dataclasses import dataclass
from itertools import product

from inventory.organ.behaviours import Behaviours
from inventory.organ.confirming_trial import confirming_trial
from inventory.organ.flows import Flows
from inventory.organ.inquiries import Inquiry, inquire
from inventory.organ.listening import listen
from inventory.organ.nets import Failure, possible_failures
from inventory.organ.next_trial import NextTrial, count_knobs, next_trial
from inventory.organ.schemes import Scheme
from inventory.organ.symptoms import Observations
from inventory.organ.trials import Trial, bounds_of
from inventory.organ.valves_needed import Plays, net_of


@dataclass
class Case:
    """One or two failures in a scheme, each with a complaint that shows it beside the other."""

    scheme: Scheme
    flows: Flows
    behaviours: Behaviours
    broken: list[Failure]
    given: list[Trial]

    def ask(self, following: NextTrial) -> Trial:
        return listen(
            self.scheme, self.flows, self.broken, following.stops, following.keys, attend=following.listen_for
        )

    def is_right(self, found: Inquiry) -> bool:
        """Whether an explanation left does everywhere what the true failures do (they or their kin)."""
        true = self.behaviours.of(self.broken)
        left = product(*(group.explanations for group in found.diagnosis.groups))
        sets = [frozenset().union(*(one.failures for one in some)) for _n, some in zip(range(500), left)]  # noqa: B905
        return any(self.behaviours.of(one) == true for one in sets)


def make_case(scheme: Scheme, rng: random.Random, size: int) -> Case:
    """Kinds of failure come up equally often, so that one slider counts as much as fifty pallets."""
    flows = Flows(net_of(scheme))
    behaviours = Behaviours(flows, Plays(scheme).playable)
    pool: dict[tuple[str, str], list[Failure]] = {}
    for failure in possible_failures(flows.net):
        pool.setdefault((failure.part.partition(":")[0], failure.fails), []).append(failure)
    while True:
        broken = [rng.choice(pool[kind]) for kind in rng.choices(sorted(pool), k=size)]
        complaints = [_complaints(scheme, flows, behaviours, broken, failure) for failure in broken]
        if len({failure.part for failure in broken}) == size and all(complaints):
            return Case(scheme, flows, behaviours, broken, [rng.choice(some) for some in complaints])


def _complaints(scheme, flows, behaviours, broken, failure) -> list[Trial]:
    """Trials of up to three knobs in which this failure is heard although the others are there too."""
    alone, sound = behaviours.of([failure]), frozenset()
    others = [one for one in broken if one != failure]
    found = []
    for played in sorted(behaviours.telling_trials([alone, sound]), key=lambda one: sorted(map(str, one))):
        stops = sorted(touch for touch in played if isinstance(touch, str))
        keys = [touch for touch in played if not isinstance(touch, str)]
        if count_knobs(scheme, stops) > 3 or any(n > scheme.keyboard[b].keys for b, n in keys):
            continue
        if listen(scheme, flows, [failure], stops, keys) == listen(scheme, flows, [], stops, keys):
            continue
        heard = listen(scheme, flows, broken, stops, keys)
        if heard == listen(scheme, flows, others, stops, keys):
            continue
        # *Weak* clears and condemns nothing, so a complaint has to be more than that.
        seen = Observations(flows, [bounds_of(scheme, flows.net, heard)])
        if any(True for _ in seen.violations(flows.changes(others), [0], lambda _t, _p: True)):
            found.append(heard)
        if len(found) == 30:
            break
    return found


def choose_at_random(case: Case, rng: random.Random):
    """One to three stops and a key, at random among those that lead to the pipes in question."""

    def chosen(trials, diagnosis):
        if not (
            next_trial(case.scheme, trials, diagnosis) or confirming_trial(case.scheme, trials, diagnosis)
        ):
            return None
        named = [e.failures for group in diagnosis.groups for e in group.explanations]
        pipes = sorted({pipe for one in named for pipe, _l, _s in case.behaviours.of(one)})
        calls = [call for call, asked in case.flows.net.calls.items() if set(asked) & set(pipes)]
        keys = sorted({(case.scheme.stop[stop].keyboard, key) for stop, key in calls})
        known = case.scheme.stops
        while True:
            drawn = rng.sample([stop.id for stop in known], min(len(known), rng.randint(1, 3)))
            if count_knobs(case.scheme, drawn) <= 3 and _can_draw(case.scheme, drawn):
                break
        held = [rng.choice(keys)] if keys and rng.random() < 0.9 else []
        held = [key for key in held if key[1] <= case.scheme.keyboard[key[0]].keys]
        return NextTrial(tuple(sorted(drawn)), tuple(held), 2, tuple(pipes))

    return chosen


def _can_draw(scheme: Scheme, drawn: list[str]) -> bool:
    mine = set(drawn)
    return all(
        mine & {stop for position in control.positions for stop in position}
        in [set(), *map(set, control.positions)]
        for control in scheme.controls
    )


def solve(case: Case) -> Inquiry:
    return inquire(case.scheme, case.given, case.ask)


def solve_at_random(case: Case, rng: random.Random, most: int) -> Inquiry:
    return inquire(case.scheme, case.given, case.ask, choose=choose_at_random(case, rng), most=most)
