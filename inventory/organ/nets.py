"""The chest as one net: spaces that hold wind, gates between them, and spaces that are neighbours.

Spaces and parts bear the names of the exchange format (``channel:I:5``, ``groove:A:5``,
``pipe:R:17``); ``wind``, ``supply`` (current) and ``wire:…`` are spaces but no parts. A
gate lets wind through when *all* it waits for is there: a key held, a stop drawn, or
another space live. Wind passes an open gate both ways unless the gate is one-way.

A part fails in one of five ways: a gate *shut* (never opens), *open* (never closes; a
one-way gate then passes back) or *slight* (closes badly); a space *dead* (holds no wind);
two neighbouring spaces that *run*. A flap that leaks is ``open``: how much it leaks
nobody can hear apart. Electric contacts and switches fail shut or open, never slightly.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

Key = tuple[str, int]
"""Keyboard id and number of the key (or of the channel beyond the keys)."""
Touch = str | Key
"""What the player does: a stop id drawn, or a key held."""
Space = str
WIND, SUPPLY = "wind", "supply"
NONE, FAINT, LOUD = 0, 1, 2


@dataclass(frozen=True)
class Gate:
    """A way for wind (or current) from one space to another."""

    origin: Space
    target: Space
    part: str | None = None
    """Name of the part that can fail; None for a plain boring or passage."""
    opened_by: frozenset[Touch] = frozenset()
    """All of these must be held or drawn; nothing to wait for means always open."""
    one_way: bool = False
    live: Space | None = None
    """A space that must be live as well; the gate then only passes forward, from wind."""
    electric: bool = False


class Failure(NamedTuple):
    """One thing wrong: the part, and ``shut``, ``open``, ``slight``, ``dead`` or ``runs``."""

    part: str
    fails: str


@dataclass(frozen=True)
class Net:
    """Everything wind can do on the chests of a scheme."""

    gates: tuple[Gate, ...]
    beside: tuple[tuple[Space, Space], ...] = ()
    """Pairs of neighbours, each pair once, in the order of the chest."""
    calls: Mapping[tuple[str, int], tuple[Space, ...]] = field(default_factory=dict)
    """By (stop, key): the pipes it asks."""
    missing: frozenset[Space] = frozenset()
    """Pipes known to be gone: wind reaches their holes, no sound comes."""

    @cached_property
    def spaces(self) -> frozenset[Space]:
        """Every space, sources included."""
        ends = {end for gate in self.gates for end in (gate.origin, gate.target)}
        return frozenset(ends | {gate.live for gate in self.gates if gate.live} | {WIND})

    @cached_property
    def pipes(self) -> frozenset[Space]:
        """Every pipe a gate leads to."""
        return frozenset(space for space in self.spaces if space.startswith("pipe:"))

    @cached_property
    def gates_of_part(self) -> Mapping[str, tuple[int, ...]]:
        """Places in `gates`, by part."""
        found: dict[str, list[int]] = defaultdict(list)
        for place, gate in enumerate(self.gates):
            if gate.part is not None:
                found[gate.part].append(place)
        return {part: tuple(places) for part, places in found.items()}


def can_die(space: Space) -> bool:
    """Whether a space is a part that can be dead.

    >>> can_die("groove:A:5"), can_die("wire:A:5")
    (True, False)
    """
    return space.partition(":")[0] in ("channel", "groove", "stopchannel", "line", "pipe")


def failures_of_gate(gate: Gate) -> tuple[str, ...]:
    """The ways a gate can fail; none for a plain passage.

    >>> failures_of_gate(Gate("groove:A:1", "pipe:R:1", "valve:A:1", one_way=True))
    ('shut', 'open')
    """
    if gate.part is None:
        return ()
    if not gate.opened_by and gate.live is None:
        return ("shut", "open") if gate.one_way else ("shut",)
    return ("shut", "open") if gate.electric else ("shut", "open", "slight")


def possible_failures(net: Net) -> Iterator[Failure]:
    """Yield every single failure of a net, in a fixed order.

    >>> net = Net((Gate(WIND, "channel:I:1", "pallet:I:1", frozenset({("I", 1)})),))
    >>> [failure.fails for failure in possible_failures(net)]
    ['shut', 'open', 'slight', 'dead']
    """
    for part, places in net.gates_of_part.items():
        for fails in failures_of_gate(net.gates[places[0]]):
            yield Failure(part, fails)
    for space in sorted(net.spaces):
        if can_die(space) and space not in net.missing:
            yield Failure(space, "dead")
    for one, other in net.beside:
        yield Failure(run_name(one, other), "runs")


def run_name(one: Space, other: Space) -> str:
    """Name of a run between two neighbours, the same whichever is named first.

    >>> run_name("channel:I:2", "channel:I:1")
    'channel:I:1|channel:I:2'
    """
    return "|".join(sorted((one, other), key=_in_order))


def _in_order(space: Space) -> tuple[str | int, ...]:
    kind, owner, *number = space.split(":")
    return (kind, owner, *(int(n) for n in number))


@dataclass(frozen=True)
class Fed:
    """What a part serves: it lies on the way from wind to these."""

    stops: frozenset[str]
    keys: frozenset[Key]
    pipes: frozenset[Space]


def feeds(net: Net, part: str) -> Fed:
    """What every part feeds, by the ways wind takes in a sound chest.

    `part` is a name of the exchange format, or ``wind``. Keys and stops are those named
    by the gates on the way to and from the part, so a pallet feeds each stop of its
    keyboard, and a pipe names every stop and key that reach it.

    >>> gates = (Gate(WIND, "channel:I:1", "pallet:I:1", frozenset({("I", 1)})),
    ...          Gate("channel:I:1", "groove:A:1", "slider:A", frozenset({"A"})),
    ...          Gate("groove:A:1", "pipe:R:1"))
    >>> fed = feeds(Net(gates), "slider:A")
    >>> sorted(fed.stops), sorted(fed.keys), sorted(fed.pipes)
    (['A'], [('I', 1)], ['pipe:R:1'])
    """
    own = [net.gates[place] for place in net.gates_of_part.get(part, ())]
    below = {part} if part in net.spaces else {gate.target for gate in own}
    above = {part} if part in net.spaces else {gate.origin for gate in own}
    touches: set[Touch] = {touch for gate in own for touch in gate.opened_by}
    for reached, forward in ((below, True), (above, False)):
        waiting = list(reached)
        while waiting:
            space = waiting.pop()
            for gate in _leading(net, forward).get(space, ()):
                touches |= gate.opened_by
                ends = [gate.target] if forward else [gate.origin, *([gate.live] if gate.live else [])]
                for end in ends:
                    if end not in reached:
                        reached.add(end)
                        waiting.append(end)
    return Fed(
        frozenset(touch for touch in touches if isinstance(touch, str)),
        frozenset(touch for touch in touches if not isinstance(touch, str)),
        frozenset(space for space in below if space.startswith("pipe:")),
    )


def _leading(net: Net, forward: bool) -> dict[Space, list[Gate]]:
    found: dict[Space, list[Gate]] = defaultdict(list)
    for gate in net.gates:
        found[gate.origin if forward else gate.target].append(gate)
        if forward and gate.live:
            found[gate.live].append(gate)
    return found
