"""What a net does in *every* trial, written down exactly: the smallest trials that make each pipe sound.

Holding more keys and drawing more stops never takes wind away. So how a net behaves is
known completely by listing, for each pipe and level, the smallest sets of keys and stops
that bring it there. Two sets of failures that give the same lists can be told apart by
no trial; where the lists differ, the sets that differ are the trials that tell.
Lists are kept as differences from the sound net, so that only the failing corner is worked.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable

from inventory.organ.flows import Changes, Flows
from inventory.organ.nets import FAINT, LOUD, NONE, SUPPLY, WIND, Failure, Space, Touch

Played = frozenset[Touch]
Smallest = frozenset[Played]
"""Sets of touches, none holding another."""
Behaviour = frozenset[tuple[Space, int, Smallest]]
NOTHING: Smallest = frozenset()


class Behaviours:
    """Behaviours of one net under sets of failures.

    >>> from inventory.organ.nets import Gate, Net
    >>> behaviours = Behaviours(Flows(Net((Gate(WIND, "pipe:R:1", "pallet:I:1", frozenset({("I", 1)})),))))
    >>> behaviours.of([Failure("pallet:I:1", "shut")]) == behaviours.of([Failure("pipe:R:1", "dead")])
    True
    """

    def __init__(self, flows: Flows, playable: Callable[[Played], Collection[Played]] | None = None) -> None:
        """`playable` turns what opens ways into the smallest things a player can really do for it."""
        self._flows = flows
        self._playable = playable
        self._played: dict[Smallest, Smallest] = {}
        self._sound: dict[int, dict[Space, Smallest]] = {}
        self._known: dict[frozenset[Failure], Behaviour] = {}

    def of(self, failures: Iterable[Failure]) -> Behaviour:
        """Everything failures change: (pipe, level, smallest trials that bring it there)."""
        failures = frozenset(failures)
        if failures not in self._known:
            changes = self._flows.changes(failures)
            loud = self._differences(changes, LOUD)
            # Only a slight opening tells loud from faint: without one, both lists are the same.
            if all(opening.level >= LOUD for openings in changes.opened.values() for opening in openings):
                faint = [(pipe, FAINT, smallest) for pipe, _level, smallest in loud]
            else:
                faint = self._differences(changes, FAINT)
            self._known[failures] = frozenset([*loud, *faint])
        return self._known[failures]

    def telling_trials(self, behaviours: Collection[Behaviour]) -> set[Played]:
        """Smallest trials in which some of these behaviours (or the sound net) differ."""
        trials: set[Played] = set()
        for pipe, level in {(pipe, level) for one in behaviours for pipe, level, _ in one}:
            lists = [self.list_of(one, pipe, level) for one in behaviours]
            common = frozenset.intersection(*lists)
            trials |= {played for one in lists for played in one - common}
        return trials

    def level(self, behaviour: Behaviour, pipe: Space, played: Played) -> int:
        """Level of a pipe in one trial."""
        for level in (LOUD, FAINT):
            if any(smallest <= played for smallest in self.list_of(behaviour, pipe, level)):
                return level
        return NONE

    def list_of(self, behaviour: Behaviour, pipe: Space, level: int) -> Smallest:
        """The smallest trials that bring a pipe to a level."""
        for at, of_level, smallest in behaviour:
            if at == pipe and of_level == level:
                return smallest
        return self._as_played(self.sound(level).get(pipe, NOTHING))

    def _as_played(self, smallest: Smallest) -> Smallest:
        if self._playable is None:
            return smallest
        if smallest not in self._played:
            self._played[smallest] = _keep_smallest({p for one in smallest for p in self._playable(one)})
        return self._played[smallest]

    def sound(self, level: int) -> dict[Space, Smallest]:
        """The smallest trials that bring each space of the sound net to a level."""
        if level not in self._sound:
            start: dict[Space, Smallest] = {WIND: frozenset({frozenset()}), SUPPLY: frozenset({frozenset()})}
            self._spread(start, [WIND, SUPPLY], level, self._flows.changes(()))
            self._sound[level] = start
        return self._sound[level]

    def _differences(self, changes: Changes, level: int) -> list[tuple[Space, int, Smallest]]:
        sound = self.sound(level)
        lost = self._downstream(changes)
        lists = _Changed(sound, lost)
        waiting: list[Space] = []
        for space in lost - changes.dead_spaces - {WIND, SUPPLY}:
            # What still comes in from outside the starved corner; nothing else is worked again.
            arriving = {
                played | needs
                for (origin, _, _, place), needs in self._flows.into[space]
                if origin not in lost and place not in changes.shut_gates
                for played in sound.get(origin, NOTHING)
            }
            if arriving:
                lists[space] = _keep_smallest(arriving)
                waiting.append(space)
        for origin, openings in changes.opened.items():
            here = sound.get(origin, NOTHING) if origin not in lost else NOTHING
            for opening in openings:
                target, before = opening.target, lists.get(opening.target, NOTHING)
                if opening.level < level or here <= before or target in changes.dead_spaces:
                    continue
                if target not in (WIND, SUPPLY):
                    lists[target] = _keep_smallest(before | here)
                    waiting.append(target)
        self._spread(lists, waiting, level, changes)
        missing = self._flows.net.missing
        differing = [
            (pipe, lists.get(pipe, NOTHING), sound.get(pipe, NOTHING))
            for pipe in lost | lists.changed.keys()
            if pipe in self._flows.net.pipes
            and pipe not in missing
            and lists.get(pipe, NOTHING) != sound.get(pipe, NOTHING)
        ]
        played = [(pipe, self._as_played(now), self._as_played(before)) for pipe, now, before in differing]
        return [(pipe, level, now) for pipe, now, before in played if now != before]

    def _downstream(self, changes: Changes) -> set[Space]:
        """Spaces that shut gates and dead spaces may starve: everything their wind could get to."""
        gates = self._flows.net.gates
        found: set[Space] = set()
        waiting = list(changes.dead_spaces)
        for place in changes.shut_gates:
            gate = gates[place]
            waiting.append(gate.target)
            if not gate.one_way and gate.live is None and gate.origin not in (WIND, SUPPLY):
                waiting.append(gate.origin)
        while waiting:
            space = waiting.pop()
            if space not in found:
                found.add(space)
                waiting += [way[1] for way, _ in self._flows.out[space]]
        return found

    def _spread(
        self, lists: dict[Space, Smallest] | _Changed, waiting: list[Space], level: int, changes: Changes
    ) -> None:
        """Let every list flow along ways of at least a level until nothing changes."""
        queued = set(waiting)
        while waiting:
            space = waiting.pop()
            queued.discard(space)
            here = lists[space]
            steps: dict[Space, set[Played]] = defaultdict(set)
            for (_, target, _, place), needs in self._flows.out.get(space, ()):
                if place not in changes.shut_gates:
                    steps[target].update(played | needs for played in here)
            for opening in changes.opened.get(space, ()):
                if opening.level >= level:
                    steps[opening.target].update(here)
            for target, arriving in steps.items():
                if target in changes.dead_spaces or target in (WIND, SUPPLY):
                    continue
                before = lists.get(target, NOTHING)
                if arriving <= before:
                    continue
                after = _keep_smallest(before | arriving)
                if after != before:
                    lists[target] = after
                    if target not in queued:
                        queued.add(target)
                        waiting.append(target)


class _Changed:
    """The lists of a sound net with a corner starved and worked anew; the rest is looked up, never copied."""

    def __init__(self, sound: dict[Space, Smallest], lost: set[Space]) -> None:
        self._sound, self._lost = sound, lost
        self.changed: dict[Space, Smallest] = {}

    def get(self, space: Space, default: Smallest) -> Smallest:
        if space in self.changed:
            return self.changed[space]
        return default if space in self._lost else self._sound.get(space, default)

    def __getitem__(self, space: Space) -> Smallest:
        return self.get(space, NOTHING)

    def __setitem__(self, space: Space, smallest: Smallest) -> None:
        self.changed[space] = smallest


def _keep_smallest(sets: Collection[Played]) -> Smallest:
    kept: list[Played] = []
    for one in sorted(sets, key=len):
        if not any(smaller <= one for smaller in kept):
            kept.append(one)
    return frozenset(kept)
