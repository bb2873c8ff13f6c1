"""Chest kinds as rows of data, and the net they make of a scheme (DESIGN §4).

Each row is one step of the wind's way. Names in braces are filled for every stop, key
and pipe. The last step to the pipe carries a non-return valve ``valve:STOP:key`` where the
record names one or the scheme needs one: a valve nobody has seen is taken to be there,
for one that is absent shows itself as a valve that fails open.

Keyed channels are one for each key of a keyboard, as the names of parts say, also where
a key has channels on two chests. A groove that feeds several pipes (a mixture) has a
boring of its own for each, so wind never goes from one of them through the groove into
another. On a spring chest ``slider:STOP`` is replaced by a pallet for each (stop, key),
named ``pallet:STOP:key``; if a keyboard has that stop's id too, ``pallet:stop STOP:key``.
Relays have isolation of their own: current never passes back from a line into a wire.
Stops that are missing, silenced or only prepared do not sound, so the net has nothing of
them; the valve schedule leaves out prepared ones only.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from inventory.organ.devices import DEVICE_BY_CODE
from inventory.organ.layouts import LAYOUTS, order_channels
from inventory.organ.nets import SUPPLY, WIND, Gate, Key, Net, Space, Touch, run_name
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Call, Scheme, Segment, asked_pipes


@dataclass(frozen=True)
class Step:
    """One row: from a space to a space through a part that a key, a stop or a live space opens."""

    origin: str
    target: str
    part: str | None
    opened_by: str
    """``key``, ``stop``, ``line`` or nothing."""
    one_way: bool = False
    electric: bool = False


PALLET = Step(WIND, "channel:{keyboard}:{key}", "pallet:{keyboard}:{key}", "key")
CHEST_KINDS: Mapping[str, tuple[Step, ...]] = {
    "slider": (
        PALLET,
        Step("channel:{keyboard}:{key}", "groove:{stop}:{key}", "slider:{stop}", "stop"),
        Step("groove:{stop}:{key}", "pipe:{rank}:{pipe}", None, ""),
    ),
    "spring": (
        PALLET,
        Step("channel:{keyboard}:{key}", "groove:{stop}:{key}", "pallet:{stop_name}:{key}", "stop"),
        Step("groove:{stop}:{key}", "pipe:{rank}:{pipe}", None, ""),
    ),
    "stop channel": (
        Step(WIND, "stopchannel:{stop}", "stopvalve:{stop}", "stop"),
        Step("stopchannel:{stop}", "pipe:{rank}:{pipe}", "cone:{stop}:{key}", "key"),
    ),
    "unit": (
        Step(SUPPLY, "wire:{stop}:{key}", "contact:{stop}:{key}", "key", electric=True),
        Step("wire:{stop}:{key}", "line:{rank}:{pipe}", "switch:{stop}", "stop", one_way=True, electric=True),
        Step(WIND, "pipe:{rank}:{pipe}", "pipevalve:{rank}:{pipe}", "line"),
    ),
}


@dataclass(frozen=True)
class Branch:
    """One way into a pipe: a stop at a key, on a chest of some kind."""

    call: Call
    keyboard: str
    kind: str
    device: str | None

    @property
    def channel(self) -> Space | None:
        """The space that a back-leak would fill; None on a unit chest, which has no channel."""
        if self.kind == "unit":
            return None
        if self.kind == "stop channel":
            return f"stopchannel:{self.call.stop}"
        return f"channel:{self.keyboard}:{self.call.key}"

    @property
    def recorded(self) -> bool:
        """Whether the record names a device that is itself a non-return valve."""
        device = DEVICE_BY_CODE.get(self.device or "")
        return device is not None and device.non_return == "inherent"

    @property
    def isolates(self) -> str:
        """How the device keeps its branches apart: ``branch``, ``pair`` or ``no``."""
        device = DEVICE_BY_CODE.get(self.device or "")
        return "no" if device is None else device.isolates


def kind_of_segment(scheme: Scheme, segment: Segment) -> str:
    """Kind of the chest a segment stands on: said of the segment, else of the stop, else ``slider``.

    >>> from inventory.organ.schemes import Chest, Scheme
    >>> kind_of_segment(Scheme((), (), (), (), chests=(Chest("c", "unit", ("A",)),)), Segment("A", (1, 1), "R"))
    'unit'
    """
    for chest in scheme.chests:
        if chest.id == segment.chest:
            return chest.kind
    for chest in scheme.chests:
        if segment.stop in (chest.stops or ()):
            return chest.kind
    return "slider"


@remember_recent(AT_ONCE)
def branches_of(scheme: Scheme) -> tuple[Branch, ...]:
    """Every way into every pipe, channels beyond the last key included; the first said wins.

    >>> from inventory.organ.schemes import Keyboard, Rank, Stop
    >>> scheme = Scheme((Keyboard("I", (36,)),), (Rank("R", 1),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 1), "R", shift=0),))
    >>> branches_of(scheme)[0].channel
    'channel:I:1'
    """
    found: dict[Call, Branch] = {}
    for segment in scheme.segments:
        if scheme.stop[segment.stop].state == "prepared":
            continue
        kind, rank = kind_of_segment(scheme, segment), scheme.rank[segment.rank]
        keyboard = scheme.stop[segment.stop].keyboard
        for key, pipe in asked_pipes(scheme, segment):
            if pipe is not None and rank.exists(pipe):
                call = Call(segment.stop, key, segment.rank, pipe)
                found.setdefault(call, Branch(call, keyboard, kind, segment.device))
    return tuple(found.values())


def make_net(scheme: Scheme, needed: Collection[Call]) -> Net:
    """The net of a scheme; `needed` are the calls whose branch needs a non-return valve.

    >>> from inventory.organ.schemes import Keyboard, Rank, Stop
    >>> scheme = Scheme((Keyboard("I", (36,)),), (Rank("R", 1),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 1), "R", shift=0),))
    >>> [gate.part for gate in make_net(scheme, ()).gates]
    ['pallet:I:1', 'slider:A', None]
    """
    gates: dict[Gate, None] = {}
    calls: dict[tuple[str, int], list[Space]] = defaultdict(list)
    branches = [b for b in branches_of(scheme) if scheme.stop[b.call.stop].state == "present"]
    fed = Counter((branch.call.stop, branch.call.key) for branch in branches)
    for branch in branches:
        valve = branch.recorded or branch.call in needed
        several = fed[branch.call.stop, branch.call.key] > 1
        for gate in _gates_of_branch(scheme, branch, valve, several):
            gates.setdefault(gate)
        pipe = f"pipe:{branch.call.rank}:{branch.call.pipe}"
        if pipe not in calls[branch.call.stop, branch.call.key]:
            calls[branch.call.stop, branch.call.key].append(pipe)
    missing = frozenset(f"pipe:{rank.id}:{pipe}" for rank in scheme.ranks for pipe in rank.missing)
    spaces = {end for gate in gates for end in (gate.origin, gate.target)}
    beside: dict[str, tuple[Space, Space]] = {}
    for one, other in _neighbours(scheme):
        if one in spaces and other in spaces:
            beside.setdefault(run_name(one, other), (one, other))
    return Net(tuple(gates), tuple(beside.values()), {k: tuple(v) for k, v in calls.items()}, missing)


def _gates_of_branch(scheme: Scheme, branch: Branch, valve: bool, several: bool) -> Iterator[Gate]:
    stop, key, rank, pipe = branch.call
    stop_name = f"stop {stop}" if stop in scheme.keyboard else stop
    words = {"keyboard": branch.keyboard, "stop": stop, "key": key, "rank": rank, "pipe": pipe}
    opened: dict[str, frozenset[Touch]] = {
        "key": frozenset({(branch.keyboard, key)}),
        "stop": frozenset({stop}),
    }
    for step in CHEST_KINDS[branch.kind]:
        origin, target = step.origin.format(**words), step.target.format(**words)
        part = None if step.part is None else step.part.format(stop_name=stop_name, **words)
        live = f"line:{rank}:{pipe}" if step.opened_by == "line" else None
        opened_by = opened.get(step.opened_by, frozenset())
        if not target.startswith("pipe:") or branch.kind == "unit":
            yield Gate(origin, target, part, opened_by, step.one_way, live, step.electric)
        elif valve:
            # The valve lies behind the cone (or is the last step): a boring joins them.
            groove = f"groove:{stop}:{key}"
            if part is not None:
                yield Gate(origin, groove, part, opened_by)
            yield Gate(groove, target, f"valve:{stop}:{key}", one_way=True)
        else:
            # A valve for each pipe behind the branch holds wind back and is no flap to suspect.
            one_way = branch.isolates == "branch" or (several and part is None)
            yield Gate(origin, target, part, opened_by, one_way)


def _neighbours(scheme: Scheme) -> Iterator[tuple[Space, Space]]:
    """Pairs of spaces side by side on each chest whose order is known."""
    for chest in scheme.chests:
        stops = [s for s in scheme.stops if s.id in (chest.stops or ())] or [
            scheme.stop[one] for one in dict.fromkeys(s.stop for s in scheme.segments if s.chest == chest.id)
        ]
        in_order = chest.stops or ()
        if chest.kind == "stop channel":
            for one, other in zip(in_order, in_order[1:], strict=False):
                yield f"stopchannel:{one}", f"stopchannel:{other}"
        if chest.kind not in ("slider", "spring"):
            continue
        channels: tuple[Key, ...] = chest.channels or ()
        if not channels and chest.layout in LAYOUTS:
            played = {stop.keyboard for stop in stops}
            channels = order_channels(chest.layout or "", [k for k in scheme.keyboards if k.id in played])
        for (keyboard, key), (next_keyboard, next_key) in zip(channels, channels[1:], strict=False):
            yield f"channel:{keyboard}:{key}", f"channel:{next_keyboard}:{next_key}"
            for stop in stops:
                if stop.keyboard == keyboard == next_keyboard:
                    yield f"groove:{stop.id}:{key}", f"groove:{stop.id}:{next_key}"
        for one, other in zip(in_order, in_order[1:], strict=False):
            if scheme.stop[one].keyboard == scheme.stop[other].keyboard:
                for key in range(1, scheme.keyboard_of(one).channels + 1):
                    yield f"groove:{one}:{key}", f"groove:{other}:{key}"
