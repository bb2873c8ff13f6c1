"""Wind in a net: where it gets, how loud, for what is played and what has failed.

Three levels: *loud* where wind comes by sound or fully open gates, *faint* where only
through a back-leak, a run or a slight opening, *none*. Wind follows every open way to a
fixed point. The same tables answer backwards: which ways into a space could a failure open.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from functools import cached_property
from typing import Literal

from inventory.organ.nets import (
    FAINT,
    LOUD,
    SUPPLY,
    WIND,
    Failure,
    Net,
    Space,
    Touch,
    can_die,
    failures_of_gate,
    run_name,
)

Way = tuple[Space, Space, int, int]
"""From, to, the most that passes (LOUD or FAINT), and the place of its gate; -1 for a run."""


@dataclass(frozen=True)
class Opening:
    """A way that a failure would open."""

    origin: Space
    target: Space
    level: int
    failure: Failure


@dataclass
class Changes:
    """A set of failures as changes to a net's ways."""

    failures: frozenset[Failure] = frozenset()
    parts: frozenset[str] = frozenset()
    shut_gates: set[int] = field(default_factory=set)
    dead_spaces: set[Space] = field(default_factory=set)
    opened: dict[Space, list[Opening]] = field(default_factory=lambda: defaultdict(list))
    opened_into: dict[Space, list[Opening]] = field(default_factory=lambda: defaultdict(list))


class Flows:
    """A net made ready for many questions. Levels are NONE, FAINT, LOUD (0, 1, 2).

    >>> from inventory.organ.nets import Gate
    >>> flows = Flows(Net((Gate(WIND, "pipe:R:1", "pallet:I:1", frozenset({("I", 1)})),)))
    >>> levels, _ = flows.spread(frozenset(), flows.changes([Failure("pallet:I:1", "slight")]))
    >>> levels["pipe:R:1"]
    1
    """

    def __init__(self, net: Net) -> None:
        self.net = net
        self._ways: list[tuple[Way, frozenset[Touch]]] = []
        for place, gate in enumerate(net.gates):
            self._ways.append(((gate.live or gate.origin, gate.target, LOUD, place), gate.opened_by))
            if not gate.one_way and gate.live is None and gate.origin not in (WIND, SUPPLY):
                self._ways.append(((gate.target, gate.origin, LOUD, place), gate.opened_by))
        self._always: dict[Space, list[Way]] = defaultdict(list)
        self._touched: dict[Space, dict[Touch, list[tuple[Way, frozenset[Touch]]]]] = defaultdict(dict)
        for way, touches in self._ways:
            if not touches:
                self._always[way[0]].append(way)
                continue
            first = next(iter(touches)) if len(touches) == 1 else min(touches, key=str)
            self._touched[way[0]].setdefault(first, []).append((way, touches - {first}))
        self._single: dict[frozenset[Failure], Changes] = {}
        self._opened_by: dict[Failure, list[Opening]] = {}
        self._runs = {run_name(one, other): (one, other) for one, other in net.beside}
        self.many_gated = {part for part, places in net.gates_of_part.items() if len(places) > 1}

    @cached_property
    def into(self) -> dict[Space, list[tuple[Way, frozenset[Touch]]]]:
        """Every way into a space, with what opens it."""
        return self._ways_by(1)

    @cached_property
    def out(self) -> dict[Space, list[tuple[Way, frozenset[Touch]]]]:
        """Every way out of a space, with what opens it."""
        return self._ways_by(0)

    def _ways_by(self, end: Literal[0, 1]) -> dict[Space, list[tuple[Way, frozenset[Touch]]]]:
        """The ways by the space they come from (0) or lead to (1)."""
        found: dict[Space, list[tuple[Way, frozenset[Touch]]]] = defaultdict(list)
        for way, touches in self._ways:
            found[way[end]].append((way, touches))
        return found

    @cached_property
    def openings(self) -> dict[Failure, list[Opening]]:
        """What every failure that opens something would open."""
        failures = [
            Failure(part, fails)
            for part, places in self.net.gates_of_part.items()
            for fails in failures_of_gate(self.net.gates[places[0]])
            if fails != "shut"
        ]
        failures += [Failure(run, "runs") for run in self._runs]
        return {failure: self._openings_of(failure) for failure in failures}

    @cached_property
    def openings_into(self) -> dict[Space, list[Opening]]:
        """What failures would open into a space."""
        found: dict[Space, list[Opening]] = defaultdict(list)
        for openings in self.openings.values():
            for opening in openings:
                found[opening.target].append(opening)
        return found

    def _openings_of(self, failure: Failure) -> list[Opening]:
        """What one failure would open; nothing where it cannot be."""
        if failure not in self._opened_by:
            found: list[Opening] = []
            places = self.net.gates_of_part.get(failure.part, ())
            if failure.fails == "runs" and failure.part in self._runs:
                one, other = self._runs[failure.part]
                found = [Opening(one, other, FAINT, failure), Opening(other, one, FAINT, failure)]
            elif (
                places
                and failure.fails != "shut"
                and failure.fails in failures_of_gate(self.net.gates[places[0]])
            ):
                found = [opening for place in places for opening in self._openings_of_gate(place, failure)]
            self._opened_by[failure] = found
        return self._opened_by[failure]

    def _openings_of_gate(self, place: int, failure: Failure) -> list[Opening]:
        gate = self.net.gates[place]
        level = LOUD if failure.fails == "open" else FAINT
        found = []
        if gate.opened_by or gate.live is not None:
            found.append(Opening(gate.origin, gate.target, level, failure))
        if gate.origin in (WIND, SUPPLY) or gate.electric:
            return found
        if not gate.one_way:
            found.append(Opening(gate.target, gate.origin, level, failure))
        elif failure.fails == "open":
            found.append(Opening(gate.target, gate.origin, FAINT, failure))
        return found

    def changes(self, failures: Iterable[Failure]) -> Changes:
        """The changes a set of failures makes; each part fails in one way only."""
        failures = frozenset(failures)
        if failures in self._single:
            return self._single[failures]
        made = Changes(failures, frozenset(failure.part for failure in failures))
        for failure in failures:
            if failure.fails == "shut":
                made.shut_gates.update(self.net.gates_of_part[failure.part])
            elif failure.fails == "dead":
                made.dead_spaces.add(failure.part)
            for opening in self._openings_of(failure):
                made.opened[opening.origin].append(opening)
                made.opened_into[opening.target].append(opening)
        if len(failures) < 2:
            self._single[failures] = made
        return made

    def spread(
        self, touches: Collection[Touch], changes: Changes
    ) -> tuple[dict[Space, int], dict[Space, tuple[Space, int]]]:
        """Level of every space wind reaches, and for each the (space, gate) it came from."""
        levels: dict[Space, int] = {}
        came: dict[Space, tuple[Space, int]] = {}
        dead, shut = changes.dead_spaces, changes.shut_gates
        faint: list[tuple[Space, Space, int]] = []
        waiting: list[Space] = [WIND, SUPPLY]
        levels[WIND] = levels[SUPPLY] = LOUD
        level = LOUD
        while True:
            while waiting:
                space = waiting.pop()
                for _, target, _, place in self._open_ways(space, touches):
                    if target not in levels and target not in dead and place not in shut:
                        levels[target] = level
                        came[target] = (space, place)
                        waiting.append(target)
                for opening in changes.opened.get(space, ()):
                    target = opening.target
                    if target in levels or target in dead:
                        continue
                    if opening.level >= level:
                        levels[target] = level
                        came[target] = (space, -1)
                        waiting.append(target)
                    else:
                        faint.append((space, target, -1))
            while faint:
                space, target, place = faint.pop()
                if target not in levels:
                    level = FAINT
                    levels[target] = FAINT
                    came[target] = (space, place)
                    waiting.append(target)
            if not waiting:
                return levels, came
            level = FAINT

    def _open_ways(self, space: Space, touches: Collection[Touch]) -> list[Way]:
        touched = self._touched.get(space)
        always = self._always.get(space, [])
        if not touched:
            return always
        found = list(always)
        if len(touched) <= len(touches):
            pairs = [ways for touch, ways in touched.items() if touch in touches]
        else:
            pairs = [touched[touch] for touch in touches if touch in touched]
        for ways in pairs:
            found += [way for way, rest in ways if not rest or rest <= set(touches)]
        return found

    def blockers_on_way(
        self, space: Space, came: dict[Space, tuple[Space, int]], taken: frozenset[str]
    ) -> list[Failure]:
        """Failures that would cut the way wind came to a space; parts in `taken` cannot fail again."""
        found: list[Failure] = []
        while True:
            if space not in taken and can_die(space) and space not in self.net.missing:
                found.append(Failure(space, "dead"))
            if space not in came:
                return found
            space, place = came[space]
            part = self.net.gates[place].part if place >= 0 else None
            if part is not None and part not in taken:
                found.append(Failure(part, "shut"))

    def behind(self, space: Space, level: int, touches: Collection[Touch], changes: Changes) -> set[Space]:
        """Spaces from which wind of at least a level would get to a space by ways open now."""
        found = {space}
        if space in changes.dead_spaces:
            return set()
        waiting = [space]
        touches = set(touches)
        while waiting:
            at = waiting.pop()
            for (origin, _, _, place), needs in self.into.get(at, ()):
                if (
                    origin not in found
                    and place not in changes.shut_gates
                    and origin not in changes.dead_spaces
                    and needs <= touches
                ):
                    found.add(origin)
                    waiting.append(origin)
            for opening in changes.opened_into.get(at, ()):
                origin = opening.origin
                if opening.level >= level and origin not in found and origin not in changes.dead_spaces:
                    found.add(origin)
                    waiting.append(origin)
        return found
