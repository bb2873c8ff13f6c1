"""Symptoms solved apart where nothing connects them, and together where something might.

Symptoms that one failure could explain begin in one group. A group is solved while every
observation outside the other groups' symptoms holds. Two groups stay apart only if

1. no part is thought of in both searches, and
2. with the other's failures had for nothing, neither search finds anything new, and
3. what explains one and what explains the other explain both when put together.

Then every smallest explanation of the whole is one of each group put together: it must
hold, in each search's own tree, as many failures as that group needs, and has none left
over. Otherwise the two are joined and solved as one. At the end an answer that is a product of
independent choices is split into them.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations, islice, product
from math import prod

from inventory.organ.fault_search import FailureSet, Finding, Search
from inventory.organ.symptoms import Observations, Symptom

MOST_CHECKED_TOGETHER = 400


@dataclass
class SolvedGroup:
    """Symptoms that hang together, and what the search found for them."""

    symptoms: list[Symptom]
    finding: Finding

    @property
    def parts(self) -> set[str]:
        """Parts thought of in the search."""
        return {failure.part for failure in self.finding.considered}


def solve_groups(observations: Observations) -> list[SolvedGroup]:
    """Every smallest explanation, group by group; a group without any has size None.

    >>> from inventory.organ.flows import Flows
    >>> from inventory.organ.nets import Net
    >>> solve_groups(Observations(Flows(Net(())), []))
    []
    """
    sound = observations.flows.changes(())
    everything = list(observations.violations(sound, range(len(observations.bounds)), lambda t, p: True))
    waiting = _connected(observations, everything)
    solved: list[SolvedGroup] = []
    while waiting or solved:
        solved += [
            SolvedGroup(group, Search(observations, group, _without(everything, group)).smallest())
            for group in waiting
        ]
        waiting = []
        pair = _first_connected_pair(observations, solved, everything)
        if pair is None:
            return solved
        one, other = pair
        solved = [group for group in solved if group is not one and group is not other]
        waiting = [one.symptoms + other.symptoms]
    return solved


def _without(everything: Sequence[Symptom], group: Collection[Symptom]) -> list[Symptom]:
    kept = set(group)
    return [symptom for symptom in everything if symptom not in kept]


def _connected(observations: Observations, symptoms: Sequence[Symptom]) -> list[list[Symptom]]:
    """Symptoms in groups: joined where one failure could fix either.

    Joining more than needed costs time, never exactness, so the symptoms of one pipe go
    together unasked: they are many where a cipher is heard in every trial.
    """
    search, sound = Search(observations, symptoms, ()), observations.flows.changes(())
    sharing: dict[str, list[int]] = defaultdict(list)
    asked: set[tuple[str, bool]] = set()
    for place, symptom in enumerate(symptoms):
        sharing[f"of {symptom.pipe} {symptom.too_loud}"].append(place)
        if (symptom.pipe, symptom.too_loud) in asked:
            continue
        asked.add((symptom.pipe, symptom.too_loud))
        fixes = search.fixes(symptom, sound, 1, frozenset()) or search.fixes(symptom, sound, 2, frozenset())
        for part in {failure.part for failure in fixes}:
            sharing[part].append(place)
    return [[symptoms[n] for n in places] for places in _components(len(symptoms), sharing.values())]


def _components(count: int, links: Iterable[Sequence[int]]) -> list[list[int]]:
    leader = list(range(count))

    def find(n: int) -> int:
        while leader[n] != n:
            leader[n] = leader[leader[n]]
            n = leader[n]
        return n

    for linked in links:
        for other in linked[1:]:
            leader[find(other)] = find(linked[0])
    found: dict[int, list[int]] = defaultdict(list)
    for n in range(count):
        found[find(n)].append(n)
    return list(found.values())


def _first_connected_pair(
    observations: Observations, solved: list[SolvedGroup], everything: Sequence[Symptom]
) -> tuple[SolvedGroup, SolvedGroup] | None:
    groups = [group for group in solved if group.finding.size is not None]
    holder: dict[str, SolvedGroup] = {}
    for group in groups:
        for part in group.parts:
            if holder.setdefault(part, group) is not group:
                return holder[part], group
    for group in groups:
        others = [other for other in groups if other is not group]
        free = frozenset(f for other in others for f in other.finding.considered)
        if not free or not _helped(observations, group, everything, free):
            continue
        for other in others:
            if _helped(observations, group, everything, frozenset(other.finding.considered)):
                return group, other
        return group, others[0]
    return _first_clash(observations, groups)


def _helped(
    observations: Observations, group: SolvedGroup, everything: Sequence[Symptom], free: FailureSet
) -> bool:
    size = group.finding.size
    assert size is not None
    search = Search(observations, group.symptoms, _without(everything, group.symptoms))
    return search.of_size(size, free).helped_by


def _first_clash(
    observations: Observations, groups: list[SolvedGroup]
) -> tuple[SolvedGroup, SolvedGroup] | None:
    """Two groups whose explanations do not hold together: all pairs, and many whole combinations."""
    for one, other in combinations(groups, 2):
        both = product(one.finding.explanations, other.finding.explanations)
        outside = [g for g in groups if g is not one and g is not other]
        ignored = {(s.trial, s.pipe) for g in outside for s in g.symptoms}
        if any(not _holds(observations, a | b, ignored) for a, b in islice(both, MOST_CHECKED_TOGETHER)):
            return one, other
    if len(groups) > 2:
        whole = product(*(sorted(g.finding.explanations, key=sorted) for g in groups))
        for sets in islice(whole, MOST_CHECKED_TOGETHER):
            if not _holds(observations, frozenset().union(*sets), set()):
                return groups[0], groups[1]
    return None


def _holds(observations: Observations, failures: FailureSet, ignored: set[tuple[int, str]]) -> bool:
    trials = {trial for failure in failures for trial in observations.touched_by(failure)}
    changes = observations.flows.changes(failures)
    return not any(observations.violations(changes, trials, lambda t, p: (t, p) not in ignored))


def split_product(explanations: Collection[FailureSet]) -> list[set[FailureSet]]:
    """Split a family of sets into the smallest independent choices whose product it is.

    >>> from inventory.organ.nets import Failure
    >>> a, b, c = (Failure(f"pipe:R:{n}", "dead") for n in (1, 2, 3))
    >>> sorted(len(choice) for choice in split_product([frozenset({a, c}), frozenset({b, c})]))
    [1, 2]
    """
    family = list(explanations)
    items = sorted({failure for one in family for failure in one})
    counted = {item: sum(item in one for one in family) for item in items}
    links = []
    for (m, one), (n, other) in combinations(enumerate(items), 2):
        together = sum(one in each and other in each for each in family)
        if together * len(family) != counted[one] * counted[other]:
            links.append((m, n))
    blocks = [frozenset(items[n] for n in places) for places in _components(len(items), links)]
    choices = [{one & block for one in family} for block in blocks]
    if prod(len(choice) for choice in choices) != len(set(family)):
        return [set(family)]
    return choices
