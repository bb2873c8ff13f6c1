"""The calls of a scheme: what every segment asks, and which pipes answer.

A *call* is (stop, key, pipe); a call to a pipe that is not there is no call. A polyphone
pipe speaks several notes: its notes are told apart, for one pipe with two notes is never
sharing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from functools import cached_property
from typing import NamedTuple

from inventory.organ.footages import interval_of, read_footage
from inventory.organ.remembering import AT_ONCE, remember_recent
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
        found: dict[Pipe, list[Ask]] = {}
        for ask in self.asks:
            if ask.answered and not ask.beyond:
                assert ask.pipe is not None
                pipe = ask.rank, ask.pipe
                if pipe in found:
                    found[pipe].append(ask)
                else:
                    found[pipe] = [ask]
        return {pipe: tuple(asks) if len(asks) == 1 else _each_once(asks) for pipe, asks in found.items()}

    @cached_property
    def depths(self) -> Mapping[Pipe, int]:
        """Number of stops that call each pipe that is called."""
        return {p: 1 if len(asks) == 1 else len({a.stop for a in asks}) for p, asks in self.answered.items()}

    @cached_property
    def calls(self) -> frozenset[Call]:
        """The call set."""
        return frozenset(Call(a.stop, a.key, *pipe) for pipe, asks in self.answered.items() for a in asks)

    @cached_property
    def shared(self) -> frozenset[Pipe]:
        """Pipes called by two stops or more."""
        return frozenset(pipe for pipe, depth in self.depths.items() if depth > 1)

    @cached_property
    def sharing(self) -> frozenset[str]:
        """Stops that call a shared pipe."""
        return frozenset(a.stop for pipe in self.shared for a in self.answered[pipe])

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
            if len(asks) > 1 and len({(a.stop, a.tone) for a in asks}) < len(asks):
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


@remember_recent(AT_ONCE)
def called_pipes(scheme: Scheme) -> CalledPipes:
    """The called pipes of a scheme, sorted once while the same schemes are asked about.

    >>> called_pipes(Scheme((), (), (), ())).asks
    []
    """
    return CalledPipes(scheme)


def _each_once(asks: list[Ask]) -> tuple[Ask, ...]:
    """Of asks of one pipe by the same stop and key the first."""
    first: dict[tuple[str, int], Ask] = {}
    for ask in asks:
        first.setdefault((ask.stop, ask.key), ask)
    return tuple(first.values())
