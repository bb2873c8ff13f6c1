"""The sums of a scheme: calls, pipes called, shared, own, repeated, uncalled, and of each stop.

All sets are exact (`organ/calls.py`). Stops are joined by the notes of polyphone pipes
(partners, repeated pipes), for one pipe with two notes is never sharing.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import combinations
from typing import NamedTuple

from inventory.organ.calls import CalledPipes, called_pipes
from inventory.organ.schemes import Scheme
from inventory.organ.shapes import Shape, common_pipes, shapes_on_ranks


class Partner(NamedTuple):
    """Another stop on the same pipes: at `keys` keys it has them under a key `interval` semitones away."""

    stop: str
    interval: int
    keys: int


@dataclass(frozen=True)
class StopSums:
    """The sums of one stop, in keys of its own compass: own + shared + silent = keys."""

    stop: str
    keys: int
    own: int
    shared: int
    silent: int
    partners: tuple[Partner, ...]

    @property
    def sharing(self) -> str:
        """``independent``, ``part`` or ``whole``: of the keys that speak, how many share."""
        if self.shared == 0:
            return "independent"
        return "part" if self.own else "whole"


@dataclass(frozen=True)
class SchemeSums:
    """The sums of a whole scheme; counts of calls and pipes."""

    calls: int
    pipes_recorded: int | None
    """None where one rank or more was never counted."""
    pipes_called: int
    pipes_shared: int
    pipes_own: int
    pipes_repeated: int
    """Pipes which one stop has at two keys or more (other stops may have them too)."""
    pipes_uncalled: int
    """Pipes of the counted ranks that nothing asks, neither a key nor a channel of `reach`."""
    depth: int
    """Most stops on one pipe."""
    economy: float | None
    """1 − pipes called / calls; None without calls."""
    stops: tuple[StopSums, ...]


Partners = Mapping[str, Mapping[tuple[str, int], int]]
"""By stop: (partner, interval) -> keys of this stop, key n as bit n."""


def find_partners(called: CalledPipes) -> Partners:
    """Who shares whose pipes: by stop, (partner, interval) -> keys of this stop, key n as bit n.

    The interval is the note of the partner's key − the note of this stop's key for the same
    pipe, in semitones. Notes of one polyphone pipe that differ do not make partners.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 3, (36, 48, 60)),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 2), "r", interval=0), Segment("b", (1, 2), "r", interval=12)))
    >>> find_partners(CalledPipes(scheme))["a"]
    {('b', -12): 4}
    """
    found: dict[str, dict[tuple[str, int], int]] = {stop.id: {} for stop in called.scheme.stops}
    compared: dict[tuple[Shape, Shape], list[tuple[int, int, int]]] = {}
    for stops in shapes_on_ranks(called).values():
        for (one, shape), (other, second) in combinations(stops.items(), 2):
            if (shape, second) not in compared:
                compared[shape, second] = _compare(shape, second)
            for interval, keys, keys_there in compared[shape, second]:
                there, back = (other, interval), (one, -interval)
                found[one][there] = found[one].get(there, 0) | keys
                found[other][back] = found[other].get(back, 0) | keys_there
    return found


def _compare(one: Shape, other: Shape) -> list[tuple[int, int, int]]:
    """(interval, keys of one, keys of the other) of two stops on one rank."""
    found: dict[int, tuple[int, int]] = {}
    for run, second, pipes in common_pipes(one, other):
        if run.tone == second.tone:
            here, there = found.get(second.lift - run.lift, (0, 0))
            found[second.lift - run.lift] = here | run.keys_at(pipes), there | second.keys_at(pipes)
    return [(interval, here, there) for interval, (here, there) in found.items()]


def sum_stop(called: CalledPipes, stop: str, partners: Partners | None = None) -> StopSums:
    """The sums of one stop, over the keys of its own compass (see StopSums).

    Whoever sums many stops passes what `find_partners` found.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 1),), (Stop("s", "I", "Bass", "8"),),
    ...                 (Segment("s", (1, 2), "r", shift=0),))
    >>> sums = sum_stop(CalledPipes(scheme), "s")
    >>> sums.keys, sums.own, sums.shared, sums.silent
    (2, 1, 0, 1)
    """
    first, last = called.scheme.compass_of(stop)
    asks, keys = called.by_stop[stop], set(range(first, last + 1))
    silent = len(keys - {ask.key for ask in asks})
    sharing = asks if stop in called.sharing else ()
    shared = len(keys & {ask.key for ask in sharing if (ask.rank, ask.pipe) in called.shared})
    partners = find_partners(called) if partners is None else partners
    joined = sorted(
        Partner(partner, interval, at.bit_count()) for (partner, interval), at in partners[stop].items()
    )
    return StopSums(stop, len(keys), len(keys) - silent - shared, shared, silent, tuple(joined))


def sum_scheme(scheme: Scheme, called: CalledPipes | None = None) -> SchemeSums:
    """The sums of DESIGN §4, over the whole scheme and of each stop.

    61 keys at 8′ and 4′ on one rank of 73 (DESIGN §4; the 73 after Miller 1913):

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", tuple(range(36, 97))),), (Rank("r", 73, tuple(range(36, 109))),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 61), "r", shift=0), Segment("b", (1, 61), "r", shift=12)))
    >>> sums = sum_scheme(scheme)
    >>> sums.calls, sums.pipes_called, sums.pipes_shared, sums.pipes_own, sums.stops[0].partners
    (122, 73, 49, 24, (Partner(stop='b', interval=-12, keys=49),))
    """
    called = called or called_pipes(scheme)
    calls = sum(len(asks) for asks in called.answered.values())
    pipes_called = len(called.answered)
    counts = [rank.pipes for rank in scheme.ranks]
    partners = find_partners(called)
    return SchemeSums(
        calls=calls,
        pipes_recorded=None if None in counts else sum(count or 0 for count in counts),
        pipes_called=pipes_called,
        pipes_shared=len(called.shared),
        pipes_own=pipes_called - len(called.shared),
        pipes_repeated=len(called.repeated),
        pipes_uncalled=sum(len(pipes) for pipes in called.uncalled.values()),
        depth=max(called.depths.values(), default=0),
        economy=1 - pipes_called / calls if calls else None,
        stops=tuple(sum_stop(called, stop.id, partners) for stop in scheme.stops),
    )


@dataclass(frozen=True)
class NeededPipes:
    """How many pipes a rank needs for everything its stops ask, and where the record falls short."""

    rank: str
    recorded: int | None
    needed: int
    """Highest − lowest note asked + 1, less the notes between them that nobody asks."""
    below: int
    """Pipes to add below the first."""
    above: int
    """Pipes to add above the last: what completes the treble."""
    between: int
    """Notes asked that fall into gaps of the rank."""


def needed_pipes(called: CalledPipes, rank: str) -> NeededPipes:
    """Count the pipes a rank needs, those asked through `reach` included.

    Source of the rule: values.md §1, keys + highest − lowest offset for whole compasses
    without gaps; counting the distinct pipes asked is the same less the gaps.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 2, (36, 37)),), (Stop("s", "I", "Octave", "4"),),
    ...                 (Segment("s", (1, 2), "r", interval=1),))
    >>> needed_pipes(CalledPipes(scheme), "r")
    NeededPipes(rank='r', recorded=2, needed=2, below=0, above=1, between=0)
    """
    recorded = called.scheme.rank[rank].pipes
    numbers: set[int] = set()
    gaps: set[int] = set()
    for ask in called.asks:
        if ask.rank != rank:
            continue
        if ask.pipe is not None:
            numbers.add(ask.pipe)
        else:
            interval = called.scheme.segments[ask.segment].interval
            if interval is not None:
                gaps.add(ask.note + interval)
    below = sum(1 for n in numbers if n < 1)
    above = 0 if recorded is None else sum(1 for n in numbers if n > recorded)
    return NeededPipes(rank, recorded, len(numbers) + len(gaps), below, above, len(gaps))
