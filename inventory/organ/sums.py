"""The sums of a scheme: calls, pipes called, shared, own, repeated, uncalled, and of each stop.

A *call* is (stop, key, pipe); a call to a pipe that is not there is no call. All sets are
exact. A polyphone pipe speaks several notes: its notes are told apart where stops are
joined (partners, repeated pipes), for one pipe with two notes is never sharing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from inventory.organ.footages import interval_of, read_footage
from inventory.organ.schemes import Call, Rank, Scheme, Segment, asked_pipes

Pipe = tuple[str, int]
"""Rank id and number of the pipe, from 1."""


class Ask(NamedTuple):
    """One question of a segment: this key asks this pipe (None: its note falls into a gap)."""

    segment: int
    """Place in Scheme.segments."""
    stop: str
    key: int
    note: int
    """Note of the key."""
    rank: str
    pipe: int | None
    tone: int | None
    """Note asked of a polyphone pipe; None for every other pipe."""
    answered: bool
    """Whether the pipe is in the rank (missing pipes included)."""
    beyond: bool
    """Whether the key is a channel beyond the last key, which only couplers play."""


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


def tone_asked(scheme: Scheme, segment: Segment, rank: Rank, key_note: int, pipe: int | None) -> int | None:
    """Which note of a polyphone pipe a key asks; None where the pipe has one note only.

    By the segment's interval, else by the stop's footage; where neither gives a note of
    the pipe, the key's own note stands for it, so that two keys stay two notes.

    >>> from inventory.organ.schemes import Keyboard, Stop
    >>> rank = Rank("r", 1, (36,), tones={1: (36, 37)})
    >>> segment = Segment("s", (1, 2), "r", interval=0)
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (rank,), (Stop("s", "I", "Bass", "8"),), (segment,))
    >>> tone_asked(scheme, segment, rank, 37, 1)
    37
    """
    if pipe is None or len(rank.tones.get(pipe, ())) < 2:
        return None
    footage = scheme.stop[segment.stop].footage
    offsets = [segment.interval] if segment.interval is not None else []
    offsets += [interval_of(read_footage(footage))] if footage else []
    for offset in offsets:
        if key_note + offset in rank.tones[pipe]:
            return key_note + offset
    return key_note


def list_asks(scheme: Scheme) -> list[Ask]:
    """Everything every segment asks, answered or not, in the order of the segments.

    Stops that are only prepared ask nothing. Raises PitchError for a footage that
    read_footage refuses.

    >>> from inventory.organ.schemes import Keyboard, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 1, (36,)),), (Stop("s", "I", "Flute", "8"),),
    ...                 (Segment("s", (1, 2), "r", shift=0),))
    >>> [(ask.key, ask.pipe, ask.answered) for ask in list_asks(scheme)]
    [(1, 1, True), (2, 2, False)]
    """
    asks: list[Ask] = []
    for place, segment in enumerate(scheme.segments):
        if scheme.stop[segment.stop].state == "prepared":
            continue
        keyboard, rank = scheme.keyboard_of(segment.stop), scheme.rank[segment.rank]
        notes, keys = keyboard.channel_notes, keyboard.keys
        polyphone = any(len(tones) > 1 for tones in rank.tones.values())
        for key, pipe in asked_pipes(scheme, segment):
            note = notes[key - 1]
            tone = tone_asked(scheme, segment, rank, note, pipe) if polyphone else None
            answered = pipe is not None and rank.exists(pipe)
            asks.append(Ask(place, segment.stop, key, note, rank.id, pipe, tone, answered, key > keys))
    return asks


class CalledPipes:
    """A scheme with its asks sorted by pipe: made once, read by sums, patterns and findings."""

    def __init__(self, scheme: Scheme) -> None:
        self.scheme = scheme
        self.asks = list_asks(scheme)

    @cached_property
    def answered(self) -> Mapping[Pipe, tuple[Ask, ...]]:
        """Answered asks of keys, by pipe; two segments asking the same count once."""
        found: dict[Pipe, dict[tuple[str, int], Ask]] = defaultdict(dict)
        for ask in self.asks:
            if ask.answered and not ask.beyond:
                assert ask.pipe is not None
                found[ask.rank, ask.pipe].setdefault((ask.stop, ask.key), ask)
        return {pipe: tuple(asks.values()) for pipe, asks in found.items()}

    @cached_property
    def calls(self) -> frozenset[Call]:
        """The call set."""
        return frozenset(Call(a.stop, a.key, *pipe) for pipe, asks in self.answered.items() for a in asks)

    @cached_property
    def shared(self) -> frozenset[Pipe]:
        """Pipes called by two stops or more."""
        return frozenset(p for p, asks in self.answered.items() if len({a.stop for a in asks}) > 1)

    @cached_property
    def asks_of_segment(self) -> Mapping[int, list[Ask]]:
        """All asks, by place of the segment."""
        found: dict[int, list[Ask]] = defaultdict(list)
        for ask in self.asks:
            found[ask.segment].append(ask)
        return found

    @cached_property
    def by_stop(self) -> Mapping[str, tuple[Ask, ...]]:
        """Answered asks of keys, by stop."""
        found: dict[str, list[Ask]] = {stop.id: [] for stop in self.scheme.stops}
        for asks in self.answered.values():
            for ask in asks:
                found[ask.stop].append(ask)
        return {stop: tuple(asks) for stop, asks in found.items()}

    @cached_property
    def repeated(self) -> frozenset[Pipe]:
        """Pipes one stop has at two keys or more for the same note."""
        found: set[Pipe] = set()
        for pipe, asks in self.answered.items():
            seen = {(a.stop, a.tone) for a in asks}
            if len(seen) < len(asks):
                found.add(pipe)
        return frozenset(found)

    @cached_property
    def uncalled(self) -> Mapping[str, list[int]]:
        """By counted rank: pipes that no key and no channel beyond the keys asks."""
        asked = {(a.rank, a.pipe) for a in self.asks if a.answered}
        found = {
            rank.id: [n for n in range(1, rank.pipes + 1) if (rank.id, n) not in asked]
            for rank in self.scheme.ranks
            if rank.pipes is not None
        }
        return {rank: pipes for rank, pipes in found.items() if pipes}

    @cached_property
    def keys_by_stop(self) -> Mapping[str, Mapping[int, tuple[Pipe, ...]]]:
        """By stop, by key: the pipes that answer."""
        found: dict[str, dict[int, list[Pipe]]] = {stop.id: defaultdict(list) for stop in self.scheme.stops}
        for pipe, asks in self.answered.items():
            for ask in asks:
                found[ask.stop][ask.key].append(pipe)
        return {stop: {key: tuple(pipes) for key, pipes in keys.items()} for stop, keys in found.items()}

    @cached_property
    def partners(self) -> Mapping[str, Mapping[tuple[str, int], set[int]]]:
        """By stop: (partner, interval) -> keys of this stop; interval = partner's key note − this key's."""
        found: dict[str, dict[tuple[str, int], set[int]]] = {
            s.id: defaultdict(set) for s in self.scheme.stops
        }
        for pipe in self.shared:
            asks = self.answered[pipe]
            for one in asks:
                for other in asks:
                    if one.stop != other.stop and one.tone == other.tone:
                        found[one.stop][other.stop, other.note - one.note].add(one.key)
        return found


def sum_stop(called: CalledPipes, stop: str) -> StopSums:
    """The sums of one stop, over the keys of its own compass (see StopSums).

    >>> from inventory.organ.schemes import Keyboard, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 1),), (Stop("s", "I", "Bass", "8"),),
    ...                 (Segment("s", (1, 2), "r", shift=0),))
    >>> sums = sum_stop(CalledPipes(scheme), "s")
    >>> sums.keys, sums.own, sums.shared, sums.silent
    (2, 1, 0, 1)
    """
    first, last = called.scheme.compass_of(stop)
    answered = called.keys_by_stop[stop]
    keys = range(first, last + 1)
    silent = sum(1 for key in keys if key not in answered)
    shared = sum(1 for key in keys if any(pipe in called.shared for pipe in answered.get(key, ())))
    partners = sorted(
        Partner(partner, interval, len(at)) for (partner, interval), at in called.partners[stop].items()
    )
    return StopSums(stop, len(keys), len(keys) - silent - shared, shared, silent, tuple(partners))


def sum_scheme(scheme: Scheme, called: CalledPipes | None = None) -> SchemeSums:
    """The sums of DESIGN §4, over the whole scheme and of each stop.

    61 keys at 8′ and 4′ on one rank of 73 (DESIGN §4; the 73 after Miller 1913):

    >>> from inventory.organ.schemes import Keyboard, Stop
    >>> scheme = Scheme((Keyboard("I", tuple(range(36, 97))),), (Rank("r", 73, tuple(range(36, 109))),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 61), "r", shift=0), Segment("b", (1, 61), "r", shift=12)))
    >>> sums = sum_scheme(scheme)
    >>> sums.calls, sums.pipes_called, sums.pipes_shared, sums.pipes_own, sums.stops[0].partners
    (122, 73, 49, 24, (Partner(stop='b', interval=-12, keys=49),))
    """
    called = called or CalledPipes(scheme)
    calls = sum(len(asks) for asks in called.answered.values())
    pipes_called = len(called.answered)
    counts = [rank.pipes for rank in scheme.ranks]
    return SchemeSums(
        calls=calls,
        pipes_recorded=None if None in counts else sum(count or 0 for count in counts),
        pipes_called=pipes_called,
        pipes_shared=len(called.shared),
        pipes_own=pipes_called - len(called.shared),
        pipes_repeated=len(called.repeated),
        pipes_uncalled=sum(len(pipes) for pipes in called.uncalled.values()),
        depth=max((len({a.stop for a in asks}) for asks in called.answered.values()), default=0),
        economy=1 - pipes_called / calls if calls else None,
        stops=tuple(sum_stop(called, stop.id) for stop in scheme.stops),
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

    >>> from inventory.organ.schemes import Keyboard, Stop
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
