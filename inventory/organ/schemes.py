"""What a scheme of shared pipes is: keyboards, ranks, stops, and the segments that join them.

Everything here is a frozen value, complete when made. A *segment* says: these keys of
this stop ask these pipes of that rank. Key k asks the pipe whose note is the key's note
plus the interval; ``shift`` (pipe = k + shift) is shorthand for lists without gaps.
Keys and pipes are numbered from 1, notes are MIDI numbers (36 = C of the 8' octave).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import NamedTuple

from inventory.organ.remembering import AT_ONCE, remember_recent


class Call(NamedTuple):
    """One element of the call set: this stop, at this key, asks this pipe of this rank."""

    stop: str
    key: int
    rank: str
    pipe: int


@dataclass(frozen=True)
class Keyboard:
    """A row of keys."""

    id: str
    notes: tuple[int, ...]
    """Sounding note of each key, key 1 first. Not always rising: short octaves."""
    kind: str = "manual"
    """``manual`` or ``pedal``."""
    reach: int = 0
    """Channels beyond the last key, which only couplers play; their notes go on by semitones."""

    @property
    def keys(self) -> int:
        """Number of keys a player can press."""
        return len(self.notes)

    @property
    def channels(self) -> int:
        """Number of keys and channels beyond them."""
        return len(self.notes) + self.reach

    @cached_property
    def channel_notes(self) -> tuple[int, ...]:
        """Sounding note of every channel, those beyond the last key included."""
        top = max(self.notes, default=35)
        return self.notes + tuple(range(top + 1, top + 1 + self.reach))

    @cached_property
    def key_at_note(self) -> Mapping[int, int]:
        """Channel number by note; where two keys sound one note, the lower key."""
        found: dict[int, int] = {}
        for channel, note in enumerate(self.channel_notes, start=1):
            found.setdefault(note, channel)
        return found

    @cached_property
    def has_gaps(self) -> bool:
        """Whether the notes are anything but consecutive semitones."""
        return any(b - a != 1 for a, b in zip(self.notes, self.notes[1:], strict=False))


@dataclass(frozen=True)
class Rank:
    """A row of pipes of one voice."""

    id: str
    pipes: int | None
    """Pipes recorded; None when nobody counted them."""
    notes: tuple[int, ...] | None = None
    """Nominal note of each pipe, pipe 1 first; None when the rank's pitch is not known."""
    low: int | None = None
    """Note of pipe 1, where it is known though the pipes were not counted."""
    counted: str = ""
    """How the pipes were counted, in words."""
    missing: frozenset[int] = frozenset()
    """Pipes that were there once and are gone."""
    tones: Mapping[int, tuple[int, ...]] = field(default_factory=dict)
    """Notes a pipe can speak, for polyphone pipes: pipe number -> notes."""
    makes: str = "pipes"
    """``pipes``, ``bars`` or ``bells``."""

    @cached_property
    def has_gaps(self) -> bool:
        """Whether the notes are anything but consecutive semitones."""
        notes = self.notes or ()
        return any(b - a != 1 for a, b in zip(notes, notes[1:], strict=False))

    @cached_property
    def pipe_at_note(self) -> Mapping[int, int]:
        """Pipe number by note it can speak (polyphone pipes under each of their notes)."""
        found: dict[int, int] = {}
        for pipe, note in enumerate(self.notes or (), start=1):
            found.setdefault(note, pipe)
        for pipe, tones in sorted(self.tones.items()):
            for note in tones:
                found.setdefault(note, pipe)
        return found

    def note_of(self, pipe: int) -> int | None:
        """Nominal note of a pipe, or None when it is not known or does not exist."""
        if self.notes is not None:
            return self.notes[pipe - 1] if 1 <= pipe <= len(self.notes) else None
        return None if self.low is None else self.low + pipe - 1

    def pipe_for(self, note: int) -> int | None:
        """Number of the pipe that stands for a note, existing or not; None in a gap.

        Outside the rank the number goes on by semitones (0 and below, or above the
        last), so that a finding can say which pipe was asked.
        """
        if self.notes is None:
            return None if self.low is None else note - self.low + 1
        if note in self.pipe_at_note:
            return self.pipe_at_note[note]
        if not self.notes:
            return None
        lowest, highest = min(self.notes), max(self.notes)
        if note < lowest:
            return note - lowest + 1
        if note > highest:
            return len(self.notes) + note - highest
        return None

    def exists(self, pipe: int) -> bool:
        """Whether the pipe is in the rank (a rank never counted has no upper end)."""
        if pipe < 1:
            return False
        return self.pipes is None or pipe <= self.pipes


@dataclass(frozen=True)
class Stop:
    """A right of access to pipes, drawn by name at the console."""

    id: str
    keyboard: str
    name: str
    footage: str | None = None
    """As text: ``8``, ``2 2/3``; None for mixtures and noises."""
    keys: tuple[int, int] | None = None
    """First and last key of the stop's own compass; None means every key."""
    state: str = "present"
    """``present``, ``prepared``, ``missing`` or ``silenced``."""


@dataclass(frozen=True)
class Segment:
    """These keys of this stop ask these pipes of that rank; exactly one of shift, interval, pipes."""

    stop: str
    keys: tuple[int, int]
    rank: str
    shift: int | None = None
    """pipe = key + shift."""
    interval: int | None = None
    """Semitones from the key's note to the pipe's note."""
    pipes: tuple[int, ...] | None = None
    """Pipe numbers, one for each key from the first."""
    device: str | None = None
    """Code of the device that does it, or None when not known."""
    chest: str | None = None
    evidence: str | None = None
    """``seen``, ``sounded``, ``source`` or ``inferred``; None when not said."""


@dataclass(frozen=True)
class Control:
    """A knob whose positions exclude each other; each position lists the stops it draws."""

    id: str
    positions: tuple[tuple[str, ...], ...]


@dataclass(frozen=True)
class Chest:
    """A chest and what is known of its order."""

    id: str
    kind: str
    """``slider``, ``spring``, ``stop channel`` or ``unit``."""
    stops: tuple[str, ...] | None = None
    """Stops from front to back."""
    channels: tuple[tuple[str, int], ...] | None = None
    """(keyboard, key) from left to right, seen from above."""
    layout: str | None = None


@dataclass(frozen=True)
class Coupler:
    """Takes a key of `origin` to the key with its note + shift on `target`."""

    id: str
    origin: str
    target: str
    shift: int
    moves: str = "key"
    """``key`` (couplers of the target follow) or ``channel`` (they do not)."""
    always: bool = False
    """Permanent, such as a pull-down pedal."""


@dataclass(frozen=True)
class Scheme:
    """Everything needed to say which pipe speaks for which stop and key."""

    keyboards: tuple[Keyboard, ...]
    ranks: tuple[Rank, ...]
    stops: tuple[Stop, ...]
    segments: tuple[Segment, ...]
    controls: tuple[Control, ...] = ()
    chests: tuple[Chest, ...] = ()
    couplers: tuple[Coupler, ...] = ()

    @cached_property
    def keyboard(self) -> Mapping[str, Keyboard]:
        """Keyboards by id."""
        return {k.id: k for k in self.keyboards}

    @cached_property
    def rank(self) -> Mapping[str, Rank]:
        """Ranks by id."""
        return {r.id: r for r in self.ranks}

    @cached_property
    def stop(self) -> Mapping[str, Stop]:
        """Stops by id."""
        return {s.id: s for s in self.stops}

    def keyboard_of(self, stop: str) -> Keyboard:
        """The keyboard a stop is played from."""
        return self.keyboard[self.stop[stop].keyboard]

    def compass_of(self, stop: str) -> tuple[int, int]:
        """First and last key of a stop's own compass, inside its keyboard."""
        keyboard = self.keyboard_of(stop)
        first, last = self.stop[stop].keys or (1, keyboard.keys)
        return max(1, first), min(last, keyboard.keys)


def asked_pipes(scheme: Scheme, segment: Segment) -> Iterator[tuple[int, int | None]]:
    """Yield (channel, pipe) for every key of a segment, whether or not that pipe exists.

    Channels beyond the last key are included; keys outside keyboard and reach are not
    (they are a finding, not a question). The pipe is None where the key's note falls
    into a gap of the rank.

    >>> kb = Keyboard("I", tuple(range(36, 41)))
    >>> scheme = Scheme((kb,), (Rank("r", 6, tuple(range(36, 42))),), (Stop("s", "I", "Flute", "4"),),
    ...                 (Segment("s", (1, 3), "r", interval=1),))
    >>> list(asked_pipes(scheme, scheme.segments[0]))
    [(1, 2), (2, 3), (3, 4)]
    """
    keyboard, rank = scheme.keyboard_of(segment.stop), scheme.rank[segment.rank]
    first, last = segment.keys
    for key in range(max(1, first), min(last, keyboard.channels) + 1):
        if segment.pipes is not None:
            place = key - first
            yield key, segment.pipes[place] if place < len(segment.pipes) else None
        elif segment.interval is not None:
            yield key, rank.pipe_for(keyboard.channel_notes[key - 1] + segment.interval)
        else:
            yield key, key + (segment.shift or 0)


def answered_calls(scheme: Scheme, *, beyond_keys: bool = False) -> frozenset[Call]:
    """Every call that a pipe of the record answers; a call to no pipe is no call.

    Missing pipes are still called: the right of access outlives the pipe. Stops that
    are only prepared call nothing. With `beyond_keys` the channels that only couplers
    play are included.

    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 1, (36,)),), (Stop("s", "I", "Flute", "8"),),
    ...                 (Segment("s", (1, 2), "r", interval=0),))
    >>> answered_calls(scheme)
    frozenset({Call(stop='s', key=1, rank='r', pipe=1)})
    """
    return _calls_of_channels(scheme) if beyond_keys else _calls_of_keys(scheme)


@remember_recent(AT_ONCE)
def _calls_of_keys(scheme: Scheme) -> frozenset[Call]:
    return frozenset(_calls(scheme, beyond_keys=False))


@remember_recent(AT_ONCE)
def _calls_of_channels(scheme: Scheme) -> frozenset[Call]:
    return frozenset(_calls(scheme, beyond_keys=True))


@remember_recent(AT_ONCE)
def calls_by_rank(scheme: Scheme) -> Mapping[str, tuple[Call, ...]]:
    """The answered calls of keys by rank, in order; every rank has an entry.

    >>> calls_by_rank(Scheme((), (Rank("r", 1, (36,)),), (), ()))
    {'r': ()}
    """
    found: dict[str, list[Call]] = {rank.id: [] for rank in scheme.ranks}
    for call in sorted(answered_calls(scheme)):
        found[call.rank].append(call)
    return {rank: tuple(calls) for rank, calls in found.items()}


def _calls(scheme: Scheme, *, beyond_keys: bool) -> Iterator[Call]:
    for segment in scheme.segments:
        if scheme.stop[segment.stop].state == "prepared":
            continue
        keyboard, rank = scheme.keyboard_of(segment.stop), scheme.rank[segment.rank]
        for key, pipe in asked_pipes(scheme, segment):
            if key > keyboard.keys and not beyond_keys:
                continue
            if pipe is not None and rank.exists(pipe):
                yield Call(segment.stop, key, segment.rank, pipe)
