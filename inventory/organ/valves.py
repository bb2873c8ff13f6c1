"""Non-return valves: how many a scheme needs, has recorded, and has not been seen to have.

The rule (DESIGN §4, after Dickson 1882 on borrowing between manuals). A *branch* is one
groove hole: a (stop, key) that leads to a pipe, fed by the channel (keyboard, key). A
branch needs a non-return valve when

1. it stands on a slider or spring chest, where wind can pass down through its hole into
   its channel (a cone, a unit valve or a relay holds the wind back by itself);
2. the same pipe has another branch fed from a *different* channel; and
3. the two can be open together: their stops are not in different positions of one
   control, and are not the two ways of an alternating slider.

So a pipe called through n different channels by one stop in each needs n valves, one over
each hole; a common bass needs none (one channel). Two holes of one channel beside a third
of another channel are three branches. Channels beyond the last key count, since couplers
play them. `nets.py` proves the same by filling a net; this counts without building one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from inventory.organ.devices import DEVICE_BY_CODE, Device
from inventory.organ.schemes import Scheme, Segment
from inventory.organ.sums import CalledPipes, Pipe

_PASSES_BACK = ("slider", "spring")


@dataclass(frozen=True, order=True)
class Branch:
    """One hole that leads from a stop's groove at one key to a pipe."""

    stop: str
    key: int
    rank: str
    pipe: int
    keyboard: str
    device: str | None
    recorded: bool
    """Whether the record names a device that is itself a non-return valve."""


@dataclass(frozen=True)
class ValveCount:
    """Valves a scheme needs, those recorded, and those nobody has seen (which is not *missing*)."""

    needed: int
    recorded: int

    @property
    def not_seen(self) -> int:
        """Needed less recorded."""
        return self.needed - self.recorded


def chest_kinds(scheme: Scheme) -> Mapping[int, str]:
    """By place of the segment: kind of the chest it stands on; ``slider`` where none is said."""
    kind = {chest.id: chest.kind for chest in scheme.chests}
    by_stop = {stop: chest.kind for chest in scheme.chests for stop in chest.stops or ()}
    return {
        place: kind[segment.chest] if segment.chest in kind else by_stop.get(segment.stop, "slider")
        for place, segment in enumerate(scheme.segments)
    }


def branches_needing_valves(called: CalledPipes) -> list[Branch]:
    """Every branch that needs a non-return valve by the rule above, sorted."""
    scheme = called.scheme
    kinds = chest_kinds(scheme)
    apart = _exclusive_stops(scheme)
    branches: dict[Pipe, dict[tuple[str, int], tuple[Segment, str]]] = {}
    for ask in called.asks:
        if ask.answered and ask.pipe is not None:
            of_pipe = branches.setdefault((ask.rank, ask.pipe), {})
            of_pipe.setdefault((ask.stop, ask.key), (scheme.segments[ask.segment], kinds[ask.segment]))
    found = []
    for (rank, pipe), of_pipe in branches.items():
        channels = {(scheme.stop[stop].keyboard, key) for stop, key in of_pipe}
        if len(channels) < 2:
            continue
        for (stop, key), (segment, kind) in of_pipe.items():
            device = DEVICE_BY_CODE.get(segment.device or "")
            if kind not in _PASSES_BACK or (device is not None and device.isolates == "branch"):
                continue
            keyboard = scheme.stop[stop].keyboard
            if any(
                (scheme.stop[other].keyboard, other_key) != (keyboard, key)
                and (stop, other) not in apart
                and not _alternate(device, DEVICE_BY_CODE.get(other_segment.device or ""))
                for (other, other_key), (other_segment, _) in of_pipe.items()
            ):
                inherent = device is not None and device.non_return == "inherent"
                found.append(Branch(stop, key, rank, pipe, keyboard, segment.device, inherent))
    return sorted(found, key=lambda b: (b.stop, b.key, b.rank, b.pipe))


def _alternate(one: Device | None, other: Device | None) -> bool:
    return one is not None and other is not None and one.isolates == other.isolates == "pair"


def _exclusive_stops(scheme: Scheme) -> set[tuple[str, str]]:
    """Pairs of stops that no position of their common control draws together."""
    apart: set[tuple[str, str]] = set()
    for control in scheme.controls:
        together = {(a, b) for position in control.positions for a in position for b in position}
        stops = {stop for position in control.positions for stop in position}
        apart |= {(a, b) for a in stops for b in stops if (a, b) not in together}
    return apart


def count_valves(called: CalledPipes) -> ValveCount:
    """Count the non-return valves of a scheme.

    Two stops of two keyboards on one pipe need two flaps (Dickson 1882: "two non-return
    leather flaps per shared pipe"):

    >>> from inventory.organ.schemes import Keyboard, Rank, Stop
    >>> scheme = Scheme((Keyboard("I", (36,)), Keyboard("II", (36,))), (Rank("r", 1, (36,)),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "II", "Flute", "8")),
    ...                 (Segment("a", (1, 1), "r", shift=0, device="flap-valves"), Segment("b", (1, 1), "r", shift=0)))
    >>> count_valves(CalledPipes(scheme))
    ValveCount(needed=2, recorded=1)
    """
    needed = branches_needing_valves(called)
    return ValveCount(len(needed), sum(branch.recorded for branch in needed))
