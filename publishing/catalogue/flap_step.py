"""The flap whose failure is best heard: held open, something murmurs that nobody asked for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from inventory.organ.chest_kinds import branches_of
from inventory.organ.errors import OrganError
from inventory.organ.flows import Flows
from inventory.organ.nets import FAINT, Failure, Space
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Call, Scheme
from inventory.organ.sounding import Channel, sound
from inventory.organ.trials import touches_of
from inventory.organ.valves_needed import net_of

MOST_TRIED = 24
"""Flaps looked at, Cs first and from the middle of the compass outwards."""


@dataclass(frozen=True)
class Murmur:
    """A flap, what is played, and the pipes that murmur for it."""

    valve: Call
    drawn: tuple[str, ...]
    held: tuple[Channel, ...]
    pipes: tuple[tuple[str, int], ...]
    recorded: bool
    """Whether the record names a valve there; else the scheme needs one that nobody saw."""


@remember_recent(AT_ONCE)
def find_murmur(scheme: Scheme) -> Murmur | None:
    """The first flap, from the middle of the compass outwards, whose failure can be heard; None if none can."""
    net = net_of(scheme)
    callers: dict[Space, list[tuple[str, int]]] = {}
    for at, pipes in net.calls.items():
        for pipe in pipes:
            callers.setdefault(pipe, []).append(at)
    valves = []
    for gate in net.gates:
        if gate.part and gate.part.startswith("valve:"):
            _valve, stop, key = gate.part.split(":")
            board = scheme.keyboard_of(stop)
            away = abs(int(key) - board.keys // 2) + 6 * (board.channel_notes[int(key) - 1] % 12 != 0)
            valves.append((away, stop, int(key), gate.target))
    if not valves:
        return None
    flows = Flows(net)
    for _away, stop, key, pipe in sorted(valves)[:MOST_TRIED]:
        changes = flows.changes({Failure(f"valve:{stop}:{key}", "open")})
        for other, other_key in sorted(callers[pipe]):
            if (other, other_key) == (stop, key) or other_key > scheme.keyboard_of(other).keys:
                continue
            for drawn, held in _trials(scheme, (stop, key), (other, other_key)):
                try:
                    asked = sound(scheme, drawn, held)
                except OrganError:
                    continue
                touches = touches_of(scheme, frozenset(drawn), frozenset(held))
                levels, _came = flows.spread(touches, changes)
                faint = [
                    _pipe_of(space)
                    for space, level in levels.items()
                    if level == FAINT and _heard(net, space)
                ]
                if faint and not set(faint) & set(asked.pipes):
                    rank, number = _pipe_of(pipe)
                    valve = Call(stop, key, rank, number)
                    recorded = any(branch.call == valve and branch.recorded for branch in branches_of(scheme))
                    return Murmur(valve, drawn, held, tuple(sorted(faint)), recorded)
    return None


def _trials(
    scheme: Scheme, valve: tuple[str, int], other: tuple[str, int]
) -> Iterator[tuple[tuple[str, ...], tuple[Channel, ...]]]:
    """What could be played so that wind comes to the pipe the other way; the simplest first."""
    one, two = scheme.stop[valve[0]], scheme.stop[other[0]]
    keys = ((two.keyboard, other[1]),)
    more = [s.id for s in scheme.stops if s.keyboard == one.keyboard and s.state == "present"]
    draws = [(two.id,), (two.id, one.id), *((two.id, one.id, third) for third in more)]
    for drawn in draws:
        drawn = tuple(dict.fromkeys(drawn))
        yield drawn, keys
        if valve[1] <= scheme.keyboard[one.keyboard].keys:
            # On stop channels the cone of the flap's own key must stand open as well.
            yield drawn, (*keys, (one.keyboard, valve[1]))


def _heard(net: object, space: Space) -> bool:
    return space.startswith("pipe:") and space not in net.missing  # type: ignore[attr-defined]


def _pipe_of(space: Space) -> tuple[str, int]:
    _pipe, rank, number = space.split(":")
    return rank, int(number)
