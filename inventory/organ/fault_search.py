"""The search for smallest sets of failures: exact, by branching on what must be true.

At each step one observation is not predicted by the failures chosen so far.

- A pipe too loud: wind comes to it by some way; any set of failures that explains must
  cut *that* way, so it holds a shut gate or a dead space on it.
- A pipe too soft: let T be the spaces from which wind would get to it. Any set that
  explains must open a way into T, so it holds a failure that opens one.

Branching over those, with one more failure allowed each round, reaches every smallest
set. Parts that speaking notes rule out are left aside, and a way into T is only tried
if wind can get to its beginning with the failures still allowed.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Collection
from dataclasses import dataclass, field

from inventory.organ.errors import OrganError
from inventory.organ.flows import Changes
from inventory.organ.nets import NONE, Failure, Space, Touch
from inventory.organ.symptoms import Observations, Symptom

FailureSet = frozenset[Failure]
MOST_FAILURES = 6
"""Failures sought in one connected group of symptoms before the search gives up."""
MOST_STEPS = 20_000


class SearchTooLong(OrganError):
    """The search passed its limit of steps."""


@dataclass
class Finding:
    """What a search found for one group of symptoms."""

    size: int | None
    """Failures in a smallest explanation; None if there is none within the limit."""
    explanations: set[FailureSet] = field(default_factory=set)
    considered: set[Failure] = field(default_factory=set)
    """Every failure the search ever thought of."""
    helped_by: bool = False
    """Whether failures of other groups, had for nothing, would open more."""


class Search:
    """One group of symptoms, explained while every observation outside `ignored` holds.

    >>> from inventory.organ.flows import Flows
    >>> from inventory.organ.nets import Gate, Net
    >>> from inventory.organ.trials import Bounds
    >>> flows = Flows(Net((Gate("wind", "pipe:R:1", "pallet:I:1", frozenset({("I", 1)})),)))
    >>> seen = Observations(flows, [Bounds(frozenset({("I", 1)}), {}, {"pipe:R:1": 0}, quiet=False)])
    >>> sorted(Search(seen, [Symptom(0, "pipe:R:1", 0, True)], []).smallest().explanations, key=sorted)
    [frozenset({Failure(part='pallet:I:1', fails='shut')}), frozenset({Failure(part='pipe:R:1', fails='dead')})]
    """

    def __init__(
        self, observations: Observations, symptoms: Collection[Symptom], ignored: Collection[Symptom]
    ) -> None:
        self._seen = observations
        self._flows = observations.flows
        self._symptoms = sorted(symptoms)
        self._ignored = {(symptom.trial, symptom.pipe) for symptom in ignored}
        self._trials = list(dict.fromkeys(symptom.trial for symptom in self._symptoms))
        self._fewest_at_root: Symptom | None = None
        self._steps = 0

    def smallest(self, most: int = MOST_FAILURES) -> Finding:
        """Every explanation of the smallest size, up to `most` failures."""
        for size in range(1, most + 1):
            found = self.of_size(size, frozenset())
            if found.explanations:
                return found
        return Finding(None)

    def of_size(self, size: int, free: FailureSet) -> Finding:
        """Every explanation of up to `size` failures reached by branching, others' failures had for nothing."""
        found = Finding(size)
        visited: set[FailureSet] = set()
        hot: list[int] = []
        waiting: list[FailureSet] = [frozenset()]
        while waiting:
            failures = waiting.pop()
            self._steps += 1
            if self._steps > MOST_STEPS:
                raise SearchTooLong(
                    f"no end after {MOST_STEPS} steps: too many symptoms hang together, give fewer trials at once"
                )
            changes = self._flows.changes(failures)
            symptom = self._unexplained(changes, hot) if failures else self._easiest(size)
            if symptom is None:
                found.explanations.add(failures)
                continue
            left = size - len(failures)
            fixes = self.fixes(symptom, changes, left, frozenset())
            if free:
                more = self.fixes(symptom, changes, left, free)
                found.helped_by = found.helped_by or bool(more - fixes or more & free)
            if left == 0:
                continue
            found.considered |= fixes
            for fix in sorted(fixes):
                step = failures | {fix}
                if step not in visited:
                    visited.add(step)
                    waiting.append(step)
        return found

    def _easiest(self, size: int) -> Symptom:
        """The symptom with the fewest fixes, looked for among the first few."""
        sound = self._flows.changes(())
        return min(self._symptoms[:8], key=lambda s: len(self.fixes(s, sound, size, frozenset())))

    def _unexplained(self, changes: Changes, hot: list[int]) -> Symptom | None:
        """An observation the failures do not predict; trials that refuted before come first."""
        touched: set[int] = set()
        for failure in changes.failures:
            touched.update(self._seen.touched_by(failure))
        order = [t for t in hot if t in touched or t in self._trials]
        known = set(order)
        order += [t for t in self._trials if t not in known]
        known.update(order)
        order += sorted(touched - known)
        for symptom in self._seen.violations(changes, order, lambda t, p: (t, p) not in self._ignored):
            if symptom.trial in hot:
                hot.remove(symptom.trial)
            hot.insert(0, symptom.trial)
            del hot[12:]
            return symptom
        return None

    def fixes(self, symptom: Symptom, changes: Changes, left: int, free: FailureSet) -> set[Failure]:
        """Failures one of which every explanation must hold, given those already chosen.

        `left` failures may still be chosen; those in `free` cost nothing. With none left
        only free ones are given.
        """
        bounds = self._seen.bounds[symptom.trial]
        levels, came = self._flows.spread(bounds.touches, changes)
        if symptom.too_loud:
            blockers = self._flows.blockers_on_way(symptom.pipe, came, changes.parts)
            return {b for b in blockers if (left or b in free) and not self._seen.cleared(b)}
        level = symptom.level
        reached = {space for space, at in levels.items() if at >= level}
        behind = self._flows.behind(symptom.pipe, level, bounds.touches, changes)
        found: set[Failure] = set()
        refused: set[tuple[Space, int, str]] = set()
        for space in behind:
            for opening in self._flows.openings_into.get(space, ()):
                failure, origin = opening.failure, opening.origin
                if (
                    opening.level < level
                    or failure in found
                    or origin in behind
                    or failure.part in changes.parts
                    or origin in changes.dead_spaces
                ):
                    continue
                budget = left if failure in free else left - 1
                again = failure.part if failure.part in self._flows.many_gated else ""
                if budget < 0 or (origin, budget, again) in refused or self._seen.impossible(failure):
                    continue
                if budget == 0 and again and not free:
                    # The last failure: simply try whether it is enough.
                    after = self._flows.changes(changes.failures | {failure})
                    if self._flows.spread(bounds.touches, after)[0].get(symptom.pipe, NONE) >= level:
                        found.add(failure)
                    else:
                        refused.update((o.origin, budget, again) for o in self._flows.openings[failure])
                elif self._within(origin, level, budget, again, reached, bounds.touches, changes, free):
                    found.add(failure)
                else:
                    refused.add((origin, budget, again))
        return found

    def _within(
        self,
        space: Space,
        level: int,
        budget: int,
        again: str,
        reached: set[Space],
        touches: frozenset[Touch],
        changes: Changes,
        free: FailureSet,
    ) -> bool:
        """Whether wind can get to a space with up to `budget` more failures (never underestimated).

        A part of many gates, such as a slider, opens them all at once: its second gate
        costs nothing, and to be safe neither does its first. `again` is such a part already chosen.
        """
        if space in reached:
            return True
        if budget == 0 and not free:
            return False  # what costs nothing is reached already
        costs: dict[Space, int] = {space: 0}
        waiting = deque([(space, NONE)])
        while waiting:
            at, cost = waiting.popleft()
            if cost > costs[at]:
                continue
            if at in reached:
                return True
            steps = [
                (way[0], 0)
                for way, needs in self._flows.into.get(at, ())
                if needs <= touches and way[3] not in changes.shut_gates
            ]
            steps += [(o.origin, 0) for o in changes.opened_into.get(at, ()) if o.level >= level]
            for opening in self._flows.openings_into.get(at, ()):
                failure = opening.failure
                if opening.level < level or failure.part in changes.parts or self._seen.impossible(failure):
                    continue
                many = failure.part in self._flows.many_gated
                nothing = failure in free or failure.part == again or (many and budget > 0)
                steps.append((opening.origin, 0 if nothing else 1))
            for origin, step in steps:
                total = cost + step
                if total <= budget and origin not in changes.dead_spaces and total < costs.get(origin, 99):
                    costs[origin] = total
                    (waiting.append if step else waiting.appendleft)((origin, total))
        return False
