"""Trials held against a net: which observations a set of failures does not predict."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from typing import NamedTuple

from inventory.organ.flows import Changes, Flows
from inventory.organ.nets import FAINT, LOUD, NONE, SUPPLY, WIND, Failure, Space
from inventory.organ.trials import Bounds


class Symptom(NamedTuple):
    """One observation not predicted: in this trial this pipe should be softer or louder."""

    trial: int
    """Place of the trial, from 0."""
    pipe: Space
    level: int
    """The level it must reach at least, or must not exceed."""
    too_loud: bool


class Observations:
    """All trials of one inquiry, with an index that says which of them a failure can touch.

    >>> from inventory.organ.nets import Gate, Net
    >>> flows = Flows(Net((Gate(WIND, "pipe:R:1", "pallet:I:1", frozenset({("I", 1)})),)))
    >>> heard = Bounds(frozenset({("I", 1)}), {"pipe:R:1": LOUD}, {}, quiet=False)
    >>> Observations(flows, [heard]).cleared(Failure("pipe:R:1", "dead"))
    True
    """

    def __init__(self, flows: Flows, bounds: Sequence[Bounds]) -> None:
        self.flows = flows
        self.bounds = bounds
        sound = flows.changes(())
        self._reached: dict[Space, list[int]] = defaultdict(list)
        for trial, one in enumerate(bounds):
            for space in flows.spread(one.touches, sound)[0]:
                self._reached[space].append(trial)
        self._touched: dict[Failure, Collection[int]] = {}
        self._cleared: dict[Failure, bool] = {}
        self._impossible: dict[Failure, bool] = {}
        self._silent = [trial for trial, one in enumerate(bounds) if NONE in one.most.values()]
        self._speaking = {p for one in bounds for p, least in one.least.items() if least == LOUD}

    def touched_by(self, failure: Failure) -> Collection[int]:
        """Trials whose sound a failure can change (given that it alone failed)."""
        if failure not in self._touched:
            net = self.flows.net
            if failure.fails == "shut":
                spaces = {net.gates[place].target for place in net.gates_of_part[failure.part]}
            elif failure.fails == "dead":
                spaces = {failure.part}
            else:
                spaces = {opening.origin for opening in self.flows.openings[failure]}
            if spaces & {WIND, SUPPLY}:
                self._touched[failure] = range(len(self.bounds))
            else:
                self._touched[failure] = {trial for space in spaces for trial in self._reached[space]}
        return self._touched[failure]

    def violations(
        self, changes: Changes, trials: Iterable[int], wanted: Callable[[int, Space], bool]
    ) -> Iterator[Symptom]:
        """Observations of these trials that the failures do not predict; `wanted` (trial, pipe) only."""
        missing = self.flows.net.missing
        for trial in trials:
            one = self.bounds[trial]
            levels = self.flows.spread(one.touches, changes)[0]
            for pipe, least in one.least.items():
                level = NONE if pipe in missing else levels.get(pipe, NONE)
                if level < least and wanted(trial, pipe):
                    yield Symptom(trial, pipe, least, False)
            for pipe, most in one.most.items():
                if pipe not in missing and levels.get(pipe, NONE) > most and wanted(trial, pipe):
                    yield Symptom(trial, pipe, most, True)
            if one.quiet:
                for space, level in levels.items():
                    if (
                        level == LOUD
                        and space.startswith("pipe:")
                        and space not in one.named
                        and space not in missing
                        and wanted(trial, space)
                    ):
                        yield Symptom(trial, space, FAINT, True)

    def cleared(self, failure: Failure) -> bool:
        """Whether a note that speaks rules a part out as shut or dead, whatever else has failed.

        So it is when every way by which wind could get loudly to a speaking pipe, with
        all failures that open ways at once, leads through that part.
        """
        if failure not in self._cleared:
            self._cleared[failure] = any(
                not self._can_be_loud(pipe, failure) for pipe in self._below(failure) & self._speaking
            )
        return self._cleared[failure]

    def impossible(self, failure: Failure) -> bool:
        """Whether a failure that opens ways would, whatever else has failed, be heard where it was not.

        So it is when it makes a pipe too loud by a way whose every part a speaking note clears.
        """
        if failure not in self._impossible:
            changes = self.flows.changes((failure,))
            trials: Iterable[int] = self.touched_by(failure)
            if all(opening.level < LOUD for opening in self.flows.openings[failure]):
                # A faint sound contradicts only where a note was silent.
                trials = [trial for trial in self._silent if trial in self.touched_by(failure)]
            self._impossible[failure] = any(
                symptom.too_loud and self._stays_too_loud(symptom, changes)
                for symptom in self.violations(changes, trials, lambda t, p: True)
            )
        return self._impossible[failure]

    def _stays_too_loud(self, symptom: Symptom, changes: Changes) -> bool:
        came = self.flows.spread(self.bounds[symptom.trial].touches, changes)[1]
        blockers = self.flows.blockers_on_way(symptom.pipe, came, changes.parts)
        return all(self.cleared(blocker) for blocker in blockers)

    def _below(self, failure: Failure) -> set[Space]:
        net, found = self.flows.net, set[Space]()
        waiting = (
            [failure.part]
            if failure.fails == "dead"
            else [net.gates[place].target for place in net.gates_of_part[failure.part]]
        )
        while waiting:
            space = waiting.pop()
            if space in found:
                continue
            found.add(space)
            for (_, target, _, place), _ in self.flows.out[space]:
                gate = net.gates[place]
                if target == gate.target:
                    waiting.append(target)
        return found

    def _can_be_loud(self, pipe: Space, blocked: Failure) -> bool:
        """Whether any way at all leads loudly to a pipe round a blocked part."""
        shut = set(self.flows.net.gates_of_part.get(blocked.part, ())) if blocked.fails == "shut" else set()
        dead = blocked.part if blocked.fails == "dead" else None
        if pipe == dead:
            return False
        found, waiting = {pipe}, [pipe]
        while waiting:
            space = waiting.pop()
            if space in (WIND, SUPPLY):
                return True
            for (origin, _, _, place), _ in self.flows.into[space]:
                if origin not in found and origin != dead and place not in shut:
                    found.add(origin)
                    waiting.append(origin)
            for opening in self.flows.openings_into[space]:
                origin = opening.origin
                if (
                    opening.level == LOUD
                    and opening.failure.part != blocked.part
                    and origin not in found
                    and origin != dead
                ):
                    found.add(origin)
                    waiting.append(origin)
        return False
