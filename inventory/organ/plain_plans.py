"""A plan for a scheme of any size within a fixed amount of work: worked out where it can be, else plain and said so.

Working out what every failure changes grows with the number of calls and with what they
share. The limit is a number of calls, never of seconds, so that the same scheme always
gets the same plan, on a fast machine or a slow one.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from itertools import pairwise

from inventory.organ.calls import list_asks
from inventory.organ.knob_orders import Knobs, count_changes, knobs_of
from inventory.organ.schemes import Scheme
from inventory.organ.trial_plans import PlannedTrial, TrialPlan, plan_trials

MOST_WORK = 4_500
"""Calls, and meetings of calls on one pipe, that are still worked out: about twice the largest of the demo."""
MOST_STEPS = 20_000
"""Branchings of the cover search in all."""


def plan_within(scheme: Scheme, *, most_work: int = MOST_WORK, most_steps: int = MOST_STEPS) -> TrialPlan:
    """The shortest plan that this much work finds; a plain one where the scheme asks for more than `most_work`.

    Parameters: `most_work` as `count_work` counts, 0 or more; `most_steps` branchings of the cover search,
    0 or more.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 2), "R", shift=0),))
    >>> plan_within(scheme).is_shortest, plan_within(scheme, most_work=1).is_worked_out
    (True, False)
    """
    if count_work(scheme) <= most_work:
        return plan_trials(scheme, most_steps=most_steps)
    return plain_plan(scheme)


def count_work(scheme: Scheme) -> int:
    """Calls, and for each pipe the pairs of calls that meet on it by ways that might leak into each other.

    On a unit chest a pipe has one valve, and nothing leaks from stop to stop: its meetings cost nothing.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> count_work(Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2),), (Stop("A", "I", "Flute"),
    ...            Stop("B", "I", "Octave")), (Segment("A", (1, 2), "R", shift=0), Segment("B", (1, 1), "R", shift=1))))
    5
    """
    unit = {chest.id for chest in scheme.chests if chest.kind == "unit"}
    on_units = {stop for chest in scheme.chests if chest.kind == "unit" for stop in chest.stops or ()}
    asks = list_asks(scheme)
    meeting = Counter(
        (ask.rank, ask.pipe)
        for ask in asks
        if scheme.segments[ask.segment].chest not in unit and ask.stop not in on_units
    )
    return len(asks) + sum(depth * (depth - 1) for depth in meeting.values())


def plain_plan(scheme: Scheme) -> TrialPlan:
    """Nothing drawn, then every stop with nothing held and each of its notes alone, in the order of the stops.

    It claims to clear nothing, for nothing was worked out; its bound is the trivial one, 0. Source: alone
    first is the order of work by common practice.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 2), "R", shift=0),))
    >>> [(trial.stops, trial.keys) for trial in plain_plan(scheme).trials]
    [((), ()), (('A',), ()), (('A',), (('I', 1),)), (('A',), (('I', 2),))]
    """
    keys = defaultdict[str, set[int]](set)
    for ask in list_asks(scheme):
        if ask.answered and not ask.beyond and ask.pipe not in scheme.rank[ask.rank].missing:
            keys[ask.stop].add(ask.key)
    trials = [PlannedTrial((), (), (), (), ())]
    registrations: list[Knobs] = [frozenset()]
    for stop in scheme.stops:
        if not keys[stop.id]:
            continue
        registrations.append(knobs_of(scheme, (stop.id,)))
        trials.append(PlannedTrial((stop.id,), (), (), (), ()))
        trials += [
            PlannedTrial((stop.id,), ((stop.keyboard, key),), ((stop.id, key),), (), ())
            for key in sorted(keys[stop.id])
        ]
    changes = sum(count_changes(one, other) for one, other in pairwise(registrations))
    return TrialPlan(tuple(trials), 0, changes, len(set(registrations)) - 1, (), (), is_worked_out=False)
