"""What trials are consistent with: every smallest set of failures that predicts all of them.

An explanation is *consistent with* what was heard; it is never *the* fault. Failures that
no trial can tell apart are one entry with its `same_as`. Independent symptoms are solved
apart, ranked by stated prior odds (of an entry: the sum over what cannot be told apart).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import islice, product
from math import prod

from inventory.organ.behaviours import Behaviour, Behaviours
from inventory.organ.contradictions import contradicting_trials
from inventory.organ.fault_search import FailureSet, Search
from inventory.organ.flows import Flows
from inventory.organ.nets import Failure
from inventory.organ.odds import Odds, stated_odds
from inventory.organ.schemes import Scheme
from inventory.organ.symptom_groups import SolvedGroup, solve_groups, split_product
from inventory.organ.symptoms import Observations
from inventory.organ.trials import Bounds, Trial, bounds_of
from inventory.organ.valves_needed import Plays, net_of

MOST_LISTED = 50
MOST_IN_COMPANY = 6
"""Groups up to which failures are compared in the company of all other groups' explanations."""
MOST_COMPANIES = 24


@dataclass(frozen=True)
class Entry:
    """One failure, and those that no trial can tell from it."""

    failure: Failure
    same_as: tuple[Failure, ...] = ()


@dataclass(frozen=True)
class Explanation:
    """A set of failures that predicts everything observed of one group."""

    entries: tuple[Entry, ...]
    odds: float
    """Product over the entries of the prior odds of what each stands for: for ranking only."""

    @property
    def failures(self) -> FailureSet:
        """The likeliest failure of each entry."""
        return frozenset(entry.failure for entry in self.entries)


@dataclass(frozen=True)
class Group:
    """Symptoms with one set of explanations of their own."""

    size: int
    """Failures in each explanation."""
    count: int
    explanations: tuple[Explanation, ...]
    """The likeliest first, at most MOST_LISTED."""


@dataclass(frozen=True)
class Diagnosis:
    """The answer to a set of trials."""

    groups: tuple[Group, ...]
    unexplained: tuple[int, ...]
    """Trials, numbered from 1, that nothing explains or that contradict each other."""
    behaviours: Behaviours

    @property
    def size(self) -> int:
        """Failures in a smallest explanation of all that can be explained."""
        return sum(group.size for group in self.groups)

    def likeliest_besides(self, group: Group) -> FailureSet:
        """The likeliest failures of the other groups: the company in which this group's are heard."""
        others = [g for g in self.groups if g is not group] if len(self.groups) <= MOST_IN_COMPANY else []
        return frozenset().union(*(other.explanations[0].failures for other in others))

    @property
    def count(self) -> int:
        """How many smallest explanations there are of everything: 0 where trials stay unexplained."""
        return 0 if self.unexplained else prod(group.count for group in self.groups)


def explain(scheme: Scheme, trials: Sequence[Trial], odds: Odds | None = None) -> Diagnosis:
    """Find every smallest set of failures consistent with the trials.

    Trials that cannot be explained are set aside, named, and the rest is explained.
    Raises SearchTooLong where too many symptoms hang together.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.trials import Heard
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 2), "R", shift=0),))
    >>> trials = [Trial(frozenset({"A"}), frozenset({("I", key)}), (Heard("A", key, manner),))
    ...           for key, manner in ((1, "silent"), (2, "speaks"))]
    >>> best = explain(scheme, trials).groups[0].explanations[0].entries[0]
    >>> best.failure.part, [failure.part for failure in best.same_as]
    ('pipe:R:1', ['pallet:I:1', 'groove:A:1', 'channel:I:1'])
    """
    flows = Flows(net_of(scheme))
    bounds = [bounds_of(scheme, flows.net, trial) for trial in trials]
    aside = set(contradicting_trials(flows.net, bounds))
    groups, observations, kept = _solve(flows, bounds, aside)
    while unsolved := [group for group in groups if group.finding.size is None]:
        for group in unsolved:
            aside |= {kept[n] for n in _to_set_aside(observations, group)}
        groups, observations, kept = _solve(flows, bounds, aside)
    plays = Plays(scheme)
    behaviours = Behaviours(flows, plays.playable)
    chances = odds or stated_odds()
    made = []
    split = [split_product(group.finding.explanations) for group in groups]
    whole = [choice for choices in split for choice in choices]
    for choices in split:
        for choice in choices:
            # Whether two failures can be told apart may hang on what else has failed.
            others = whole if len(whole) <= MOST_IN_COMPANY else choices
            company = _company([other for other in others if other is not choice], chances)
            made.append(make_group(choice, behaviours, chances, company))
    made.sort(key=lambda group: (group.size, [e.failure for e in group.explanations[0].entries]))
    return Diagnosis(tuple(made), tuple(sorted(trial + 1 for trial in aside)), behaviours)


def _solve(
    flows: Flows, bounds: Sequence[Bounds], aside: Collection[int]
) -> tuple[list[SolvedGroup], Observations, list[int]]:
    kept = [trial for trial in range(len(bounds)) if trial not in aside]
    observations = Observations(flows, [bounds[trial] for trial in kept])
    return solve_groups(observations), observations, kept


def _to_set_aside(observations: Observations, group: SolvedGroup) -> list[int]:
    """Trials of a group that nothing explains: those without which the rest could be, else all."""
    trials = sorted({symptom.trial for symptom in group.symptoms})
    sound = observations.flows.changes(())
    everything = list(observations.violations(sound, range(len(observations.bounds)), lambda t, p: True))
    blamed = []
    for trial in trials if len(trials) > 1 else []:
        rest = [symptom for symptom in group.symptoms if symptom.trial != trial]
        ignored = [symptom for symptom in everything if symptom not in rest]
        if Search(observations, rest, ignored).smallest().size is not None:
            blamed.append(trial)
    return blamed or trials


def _company(others: Sequence[set[FailureSet]], odds: Odds) -> list[FailureSet]:
    """What else may have failed: combinations of the other groups' explanations, likeliest first."""
    ranked = [sorted(sets, key=lambda one: (-prod(map(odds.of, one)), sorted(one))) for sets in others]
    return [frozenset().union(*sets) for sets in islice(product(*ranked), MOST_COMPANIES)]


def make_group(
    explanations: Iterable[FailureSet],
    behaviours: Behaviours,
    odds: Odds,
    company: Sequence[FailureSet] = (frozenset(),),
) -> Group:
    """Merge explanations that no trial can tell apart, in any company of other failures; rank by odds.

    >>> from inventory.organ.nets import Gate, Net
    >>> net = Net((Gate("wind", "pipe:R:1", "pallet:I:1", frozenset({("I", 1)})),))
    >>> alike = [frozenset({Failure("pallet:I:1", "shut")}), frozenset({Failure("pipe:R:1", "dead")})]
    >>> make_group(alike, Behaviours(Flows(net)), stated_odds()).count
    1
    """
    classes = [set(explanations)]
    for others in company:
        finer: list[set[FailureSet]] = []
        for sets in classes:
            alike: dict[Behaviour | None, set[FailureSet]] = {}
            for failures in sets:
                behaviour = behaviours.of(failures | others) if len(sets) > 1 else None
                alike.setdefault(behaviour, set()).add(failures)
            finer += alike.values()
        classes = finer
    made: list[Explanation] = []
    for sets in classes:
        left = set(sets)
        while left:
            best = min(left, key=lambda one: (-prod(odds.of(f) for f in one), sorted(one)))
            entries, covered = _entries(best, sets, odds)
            left -= covered | {best}
            chance = prod(sum(odds.of(f) for f in (e.failure, *e.same_as)) for e in entries)
            made.append(Explanation(tuple(entries), float(f"{chance:.6g}")))
    made.sort(key=lambda one: (-one.odds, [entry.failure for entry in one.entries]))
    return Group(len(made[0].entries), len(made), tuple(made[:MOST_LISTED]))


def _entries(
    best: FailureSet, alike: Collection[FailureSet], odds: Odds
) -> tuple[list[Entry], set[FailureSet]]:
    """One failure after another with those that may stand in for it, and the sets this covers."""
    order = sorted(best)
    swaps = {
        failure: {f for one in alike if best - {failure} < one for f in one - best if len(one) == len(best)}
        for failure in order
    }
    choices = [[failure, *swaps[failure]] for failure in order]
    covered = {frozenset(chosen) for chosen in product(*choices)}
    if not covered <= set(alike):
        # Stand-ins that do not combine: keep only those of the failure that has most.
        most = max(order, key=lambda failure: len(swaps[failure]))
        swaps = {failure: swaps[failure] if failure == most else set() for failure in order}
        covered = {(best - {most}) | {f} for f in (most, *swaps[most])}
    entries = [
        Entry(failure, tuple(sorted(swaps[failure], key=lambda f: (-odds.of(f), f)))) for failure in order
    ]
    return entries, covered
