"""Which branches need a non-return valve, proved from what can be open together (DESIGN §4).

Strip every one-way gate. A branch *b* of a pipe needs a valve exactly where the player
can do something that fills the pipe through another branch *a* and, back through *b*, a
channel nobody plays. What must be done is read off the gates:

- to fill the pipe through *a*: its stop drawn, its key held (all chest kinds);
- to keep the way back through *b* open: on a slider or spring chest *b*'s stop drawn (the
  slider stands over the channel), on a stop channel *b*'s key held (the cone stands over it);
- nobody plays *b*'s channel: *b*'s key not held, or on a stop channel *b*'s stop not drawn.

Longer ways back add nothing: wind that comes down a channel and up another stop's groove
meets, at that groove's pipe, the same question. Left and right stops of one control exclude
each other; permanent couplers play what they pull. So a common bass on a slider chest
needs none (one channel), and on stop channels it does (two). The rule is checked
against filling stripped nets by brute force in tests/inventory/organ/test_valves_needed.py.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from itertools import combinations

from inventory.organ.chest_kinds import Branch, branches_of, make_net
from inventory.organ.nets import Key, Net, Touch
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Call, Scheme
from inventory.organ.sounding import press_keys


@dataclass(frozen=True)
class ValveSchedule:
    """Non-return valves of a scheme, branch by branch: (stop, key, rank, pipe)."""

    needed: tuple[Call, ...]
    recorded: tuple[Call, ...]
    """Needed, and the record names a device that is such a valve."""
    not_seen: tuple[Call, ...]
    """Needed, and nobody has recorded one: which is not *missing*."""


@remember_recent(AT_ONCE)
def schedule_valves(scheme: Scheme) -> ValveSchedule:
    """The schedule of non-return valves: needed, recorded, not seen; one entry for each branch.

    Two stops of two keyboards on one pipe need two flaps (Dickson 1882, on borrowing
    between manuals: "two non-return leather flaps per shared pipe").

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36,)), Keyboard("II", (36,))), (Rank("r", 1, (36,)),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "II", "Flute", "8")),
    ...                 (Segment("a", (1, 1), "r", shift=0), Segment("b", (1, 1), "r", shift=0)))
    >>> len(schedule_valves(scheme).needed)
    2
    """
    needing = _needing(scheme)
    needed = [branch for branch in branches_of(scheme) if branch.call in needing]
    return ValveSchedule(
        tuple(sorted(b.call for b in needed)),
        tuple(sorted(b.call for b in needed if b.recorded)),
        tuple(sorted(b.call for b in needed if not b.recorded)),
    )


@remember_recent(AT_ONCE)
def net_of(scheme: Scheme) -> Net:
    """The net of a scheme with every valve it needs or has recorded.

    >>> net_of(Scheme((), (), (), ())).gates
    ()
    """
    return make_net(scheme, _needing(scheme))


@remember_recent(AT_ONCE)
def _needing(scheme: Scheme) -> frozenset[Call]:
    by_pipe: dict[tuple[str, int], list[Branch]] = defaultdict(list)
    for branch in branches_of(scheme):
        by_pipe[branch.call.rank, branch.call.pipe].append(branch)
    plays = Plays(scheme)
    return frozenset(
        back.call
        for branches in by_pipe.values()
        if len(branches) > 1
        and len({branch.channel for branch in branches}) > 1  # else every way leads to the channel played
        for back in branches
        if back.channel is not None
        and back.isolates != "branch"
        and any(
            through.channel != back.channel and plays.fills_back(through, back)
            for through in branches
            if through is not back
        )
    )


class Plays:
    """What a player can do on one scheme.

    >>> plays = Plays(Scheme((), (), (), ()))
    >>> plays.playable(frozenset({"A"}))
    [frozenset({'A'})]
    """

    def __init__(self, scheme: Scheme) -> None:
        self._scheme = scheme
        self._ways: dict[Key, list[frozenset[Key]]] = {}
        self._drawable: dict[tuple[frozenset[str], str | None], bool] = {}

    def fills_back(self, through: Branch, back: Branch) -> bool:
        """Whether playing `through` can fill the channel of `back` while nobody plays it."""
        if through.isolates == back.isolates == "pair":
            return False
        key_of_back = (back.keyboard, back.call.key)
        key_through = (through.keyboard, through.call.key)
        if back.kind == "stop channel":
            if not self.can_draw(frozenset({through.call.stop}), back.call.stop):
                return False
            return bool(self.ways_to_press(key_through) and self.ways_to_press(key_of_back))
        if not self.can_draw(frozenset({through.call.stop, back.call.stop}), None):
            return False
        return any(key_of_back not in played for played in self.ways_to_press(key_through))

    def can_draw(self, stops: frozenset[str], without: str | None) -> bool:
        """Whether these stops can be drawn together, one other staying in; every control has an off."""
        asked = (stops, without)
        if asked not in self._drawable:
            self._drawable[asked] = without not in stops and any(
                without not in drawn for drawn in draws_with(self._scheme, stops)
            )
        return self._drawable[asked]

    def ways_to_press(self, key: Key) -> list[frozenset[Key]]:
        """Smallest sets of channels played that include this one; chains of up to two drawn couplers.

        A channel beyond the keys that no recorded coupler reaches is taken to be played
        alone: that it is there says that some coupler plays it.
        """
        if key not in self._ways:
            scheme = self._scheme
            if key[1] <= scheme.keyboard[key[0]].keys:
                self._ways[key] = [press_keys(scheme, (), [key])]
            else:
                drawn = [c.id for c in scheme.couplers if not c.always]
                chosen = [c for size in range(3) for c in combinations(drawn, size)]
                held = [(k.id, n) for k in scheme.keyboards for n in range(1, k.keys + 1)]
                ways = {press_keys(scheme, c, [one]) for c in chosen for one in held}
                self._ways[key] = [way for way in ways if key in way] or [frozenset({key})]
        return self._ways[key]

    def playable(self, touches: frozenset[Touch]) -> list[frozenset[Touch]]:
        """The smallest things a player can really do that open at least these stops and channels."""
        stops = [touch for touch in touches if isinstance(touch, str)]
        found: list[frozenset[Touch]] = [frozenset[Touch](drawn) for drawn in draws_with(self._scheme, stops)]
        for touch in sorted(touch for touch in touches if not isinstance(touch, str)):
            found = [one | way for one in found for way in self.ways_to_press(touch)]
        return found


def draws_with(scheme: Scheme, stops: Collection[str]) -> Iterator[frozenset[str]]:
    """Yield what ends up drawn when these stops are drawn, for each way the controls allow.

    A stop of a control is drawn only by one of its positions, which may draw more. No
    way at all means that the stops exclude each other.

    >>> from inventory.organ.schemes import Control
    >>> scheme = Scheme((), (), (), (), controls=(Control("k", (("a",), ("b", "c"))),))
    >>> list(draws_with(scheme, ["a", "b"])), [sorted(d) for d in draws_with(scheme, ["b", "x"])]
    ([], [['b', 'c', 'x']])
    """
    controlled = {stop for control in scheme.controls for position in control.positions for stop in position}

    def choose(waiting: tuple[str, ...], chosen: dict[str, tuple[str, ...]]) -> Iterator[frozenset[str]]:
        drawn = frozenset(stop for position in chosen.values() for stop in position)
        left = [stop for stop in waiting if stop not in drawn]
        if not left:
            yield drawn
            return
        for control in scheme.controls:
            for position in control.positions:
                if left[0] in position and control.id not in chosen:
                    yield from choose(tuple(left[1:]), {**chosen, control.id: position})

    free = frozenset(stops) - controlled
    for drawn in choose(tuple(sorted(set(stops) & controlled)), {}):
        yield drawn | free
