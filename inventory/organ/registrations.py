"""How often calls coincide when real music is played on one keyboard: registrations.

A simultaneity played with some stops drawn makes calls; calls that meet at one pipe
coincide:

    coincidence rate = sum(weight x (calls - pipes)) / sum(weight x calls)

Sets of notes and sets of pipes are bits of 64-bit words, so that *which pipes speak* is a
shift, a mask and an OR for all simultaneities at once, and *how many* is a count of bits.
A rank takes as many words as it has pipes called (two up to 128 pipes). Coincidences split
exactly by rank, so all registrations of a family come from one table of subsets a rank.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.organ.calls import called_pipes
from inventory.organ.errors import SchemeError
from inventory.organ.repertoire import Numbers, Repertoire, Words
from inventory.organ.schemes import Scheme
from inventory.organ.sentences import say

MOST_STOPS_FOR_ALL = 12
"""Stops of a family whose 2^n registrations are worked out together, at most."""
_CELLS_AT_ONCE = 1 << 19  # words of a table of subsets in hand at once: about 4 MB, inside the cache


@dataclass(frozen=True)
class Played:
    """A repertoire on one keyboard: what every stop of it calls. Made by `play`."""

    keyboard: str
    stops: tuple[str, ...]
    weights: Numbers
    dropped_share: float | None
    """Share (0..1) of the weighted notes outside the compass, which are dropped; None without notes."""
    masks: Mapping[str, Mapping[str, Words]]
    """Rank -> stop -> pipes called, shape (words, n); pipe p is bit p - 1."""
    calls: Mapping[str, float]
    """Stop -> sum of weight x calls."""
    alone: Mapping[tuple[str, str], float]
    """(rank, stop) -> sum of weight x pipes when only this stop is drawn."""
    asks: Mapping[tuple[str, int], tuple[tuple[str, int, int | None], ...]]
    """(rank, pipe) -> (stop, note of the key, note asked of a polyphone pipe), lowest key first."""
    pressed: Mapping[int, NDArray[np.bool_]]
    """Note -> whether it is held, for each simultaneity; only notes on the keyboard."""


@dataclass(frozen=True)
class Coincidence:
    """Weighted sums for one registration; weights are in the repertoire's own unit."""

    calls: float
    coincide: float

    @property
    def rate(self) -> float | None:
        """Share (0..1) of calls that coincide; None when nothing is called."""
        return self.coincide / self.calls if self.calls else None


@dataclass(frozen=True)
class Registrations:
    """All registrations of some stops: entry r draws `stops[i]` where bit i of r is set."""

    stops: tuple[str, ...]
    calls: Numbers
    coincide: Numbers

    @property
    def rates(self) -> Numbers:
        """Shares (0..1) of calls that coincide, shape (2^n,); NaN where nothing is called."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(self.calls > 0, self.coincide / self.calls, np.nan)


@dataclass(frozen=True)
class Places:
    """Where coincidences fall; both tables add up to the registration's `coincide`."""

    intervals: Mapping[int, float]
    """Semitones between neighbouring calls of a pipe -> weight; 0 = the same key."""
    pipes: Mapping[tuple[str, int], float]
    """(rank, pipe) -> weight."""
    cannot_sound_together: float
    """Weight of the notes asked of polyphone pipes beyond the one that each can give at a time."""


def play(scheme: Scheme, keyboard: str, repertoire: Repertoire) -> Played:
    """Work out what each stop of a keyboard calls at every simultaneity of a repertoire.

    A note presses the lowest key that sounds it; notes that no key sounds are dropped.
    Couplers are not drawn. Raises SchemeError for an unknown keyboard. Source: DESIGN §4.

    >>> from inventory.organ.repertoire import gather
    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", tuple(range(36, 97))),), (Rank("r", 73, low=36),),
    ...     (Stop("a", "I", "Principal", "8"), Stop("b", "I", "Octave", "4")),
    ...     (Segment("a", (1, 61), "r", shift=0), Segment("b", (1, 61), "r", shift=12)))
    >>> rate_of(play(scheme, "I", gather([((36, 48), 1.0), ((20, 60), 1.0)])), ("a", "b"))
    Coincidence(calls=6.0, coincide=1.0)
    """
    if keyboard not in scheme.keyboard:
        known = ", ".join(scheme.keyboard) or "none"
        raise SchemeError(
            say(
                "no keyboard %(keyboard)s; its keyboards are: %(known)s",
                keyboard=f"{keyboard!r}",
                known=known,
            )
        )
    board = scheme.keyboard[keyboard]
    key_of = {note: key for key, note in reversed(list(enumerate(board.notes, start=1)))}
    note_at = {key: note for note, key in key_of.items() if 0 <= note <= 127}
    stops = tuple(s.id for s in scheme.stops if s.keyboard == keyboard)
    # (rank, stop) -> pipe - note -> notes: every offset is one shift of all simultaneities.
    offsets: dict[tuple[str, str], dict[int, int]] = defaultdict(lambda: defaultdict(int))
    asks: dict[tuple[str, int], tuple[tuple[str, int, int | None], ...]] = {}
    length: dict[str, int] = defaultdict(int)
    for (rank, pipe), answered in sorted(called_pipes(scheme).answered.items()):
        here = [a for a in answered if scheme.stop[a.stop].keyboard == keyboard and a.key in note_at]
        if here:
            asks[rank, pipe] = tuple((a.stop, a.note, a.tone) for a in sorted(here, key=lambda a: a.note))
            length[rank] = pipe  # pipes come in order
        for ask in here:
            offsets[rank, ask.stop][pipe - ask.note] |= 1 << ask.note
    weights = repertoire.weights
    masks: dict[str, dict[str, Words]] = defaultdict(dict)
    calls: dict[str, float] = dict.fromkeys(stops, 0.0)
    alone: dict[tuple[str, str], float] = {}
    for (rank, stop), shifts in offsets.items():
        mask = np.zeros((-(-length[rank] // 64), repertoire.simultaneities), np.uint64)
        for offset, notes in shifts.items():
            chosen = repertoire.words & _words_of(notes)
            calls[stop] += _weigh(chosen, weights)
            _add_shifted(mask, chosen, offset - 1)
        masks[rank][stop] = mask
        alone[rank, stop] = _weigh(mask, weights)
    inside = _words_of(sum(1 << note for note in note_at.values()))
    held, every = _weigh(repertoire.words & inside, weights), _weigh(repertoire.words, weights)
    return Played(
        keyboard=keyboard,
        stops=stops,
        weights=weights,
        dropped_share=1 - held / every if every else None,
        masks=masks,
        calls=calls,
        alone=alone,
        asks=asks,
        pressed={note: _bit(repertoire.words, note) for note in note_at.values()},
    )


def rate_of(played: Played, stops: Collection[str]) -> Coincidence:
    """Weighted calls and coincidences of one registration (stops of the keyboard, drawn together).

    Exact where weights are whole numbers below 2^53 in sum. Raises SchemeError for a stop
    that is not on the keyboard. Example: see `play`.

    >>> from inventory.organ.repertoire import chorales
    >>> rate_of(play(Scheme((), (), (), ()), "I", chorales()), ())
    Traceback (most recent call last):
    inventory.organ.errors.SchemeError: no keyboard 'I'; its keyboards are: none
    """
    drawn = set(_known(played, stops))
    calls = sum(played.calls[stop] for stop in drawn)
    pipes, counts = 0.0, None
    for rank, masks in played.masks.items():
        here = [stop for stop in masks if stop in drawn]
        if len(here) == 1:  # one stop alone on a rank was weighed once for all
            pipes += played.alone[rank, here[0]]
        elif here:
            spoken = masks[here[0]] | masks[here[1]]
            for stop in here[2:]:
                spoken |= masks[stop]
            found = _counts(spoken)
            counts = found if counts is None else counts + found
    if counts is not None:
        pipes += float(played.weights @ counts)
    return Coincidence(calls, calls - pipes)


def rates_of_all(played: Played, stops: Sequence[str]) -> Registrations:
    """Weighted calls and coincidences of all 2^n registrations of up to 12 stops of the keyboard.

    Entry r of each array draws `stops[i]` where bit i of r is set; shape (2^n,). Raises
    SchemeError for unknown or repeated stops, or more than 12.

    >>> from inventory.organ.repertoire import gather
    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 2, low=36),),
    ...     (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "8")),
    ...     (Segment("a", (1, 2), "r", shift=0), Segment("b", (1, 2), "r", shift=0)))
    >>> rates_of_all(play(scheme, "I", gather([((36,), 3.0)])), ("a", "b")).coincide.tolist()
    [0.0, 0.0, 0.0, 3.0]
    """
    order = _known(played, stops)
    if len(order) > MOST_STOPS_FOR_ALL:
        raise SchemeError(
            say(
                "%(order)s stops are too many at once; give at most %(most_stops_for_all)s",
                order=len(order),
                most_stops_for_all=MOST_STOPS_FOR_ALL,
            )
        )
    drawn = np.arange(1 << len(order))
    bits = [(drawn >> place) & 1 for place in range(len(order))]
    calls, pipes = np.zeros(drawn.size), np.zeros(drawn.size)
    for stop, bit in zip(order, bits, strict=True):
        calls += played.calls[stop] * bit
    for masks in played.masks.values():
        here = [place for place, stop in enumerate(order) if stop in masks]
        table = _subset_table([masks[order[place]] for place in here], played.weights)
        entry = np.zeros(drawn.size, np.intp)
        for position, place in enumerate(here):
            entry |= bits[place] << position
        pipes += table[entry]
    return Registrations(order, calls, calls - pipes)


def places_of(played: Played, stops: Collection[str]) -> Places:
    """Say where the coincidences of a registration fall: at which intervals, at which pipes.

    The calls of a pipe are put in order of note; each coincidence is counted at the
    interval (semitones) between a call and the next above it, so that the table adds up to
    `coincide`. Raises SchemeError for a stop not on the keyboard.

    >>> from inventory.organ.repertoire import gather
    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 13, low=36),),
    ...     (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...     (Segment("a", (2, 2), "r", interval=0), Segment("b", (1, 1), "r", interval=12)))
    >>> places_of(play(scheme, "I", gather([((36, 48), 2.0)])), ("a", "b"))
    Places(intervals={12: 2.0}, pipes={('r', 13): 2.0}, cannot_sound_together=0.0)
    """
    drawn = set(_known(played, stops))
    intervals: dict[int, float] = defaultdict(float)
    pipes: dict[tuple[str, int], float] = {}
    clash = 0.0
    for pipe, asks in played.asks.items():
        calls: dict[int, int] = defaultdict(int)
        tones: dict[int, NDArray[np.bool_]] = {}
        for stop, note, tone in asks:
            if stop in drawn:
                calls[note] += 1
                if tone is not None:
                    tones[tone] = tones.get(tone, np.False_) | played.pressed[note]
        here = 0.0
        notes = list(calls)
        for place, note in enumerate(notes):
            met = {0: float(played.weights @ played.pressed[note]) * (calls[note] - 1)}
            free = played.pressed[note]  # this note held, and none of the pipe's notes since
            for higher in notes[place + 1 :]:
                met[higher - note] = float(played.weights @ (free & played.pressed[higher]))
                free = free & ~played.pressed[higher]
            for interval, weight in met.items():
                intervals[interval] += weight
                here += weight
        if here:
            pipes[pipe] = here
        if len(tones) > 1:
            asked = np.sum(list(tones.values()), axis=0)
            clash += float(played.weights @ np.maximum(asked - 1, 0))
    return Places({i: w for i, w in sorted(intervals.items()) if w}, pipes, clash)


def _known(played: Played, stops: Collection[str]) -> tuple[str, ...]:
    """The stops as a tuple, after checking that each is on the keyboard and given once."""
    for stop in stops:
        if stop not in played.calls:
            known = ", ".join(played.stops) or "none"
            raise SchemeError(
                say(
                    "stop %(stop)s is not on keyboard %(keyboard)s; its stops are: %(known)s",
                    stop=f"{stop!r}",
                    keyboard=f"{played.keyboard!r}",
                    known=known,
                )
            )
    if len(set(stops)) != len(stops):
        raise SchemeError(
            say("a stop is given twice in %(stops)s; name each stop once", stops=", ".join(stops))
        )
    return tuple(stops)


def _words_of(bits: int) -> Words:
    """128 bits as a column of two words."""
    return np.array([[bits & (1 << 64) - 1], [bits >> 64]], dtype=np.uint64)


def _bit(words: Words, note: int) -> NDArray[np.bool_]:
    held: NDArray[np.bool_] = (words[note // 64] >> np.uint64(note % 64) & np.uint64(1)).astype(np.bool_)
    return held


def _add_shifted(into: Words, words: Words, places: int) -> None:
    """OR the bits of `words` into another row of words, moved up by `places` (may be negative)."""
    whole, part = divmod(places, 64)
    for index, word in enumerate(words, start=whole):
        if 0 <= index < len(into):
            into[index] |= word << np.uint64(part)
        if part and 0 <= index + 1 < len(into):
            into[index + 1] |= word >> np.uint64(64 - part)


def _counts(words: Words) -> NDArray[np.uint16]:
    """Bits set over the words (axis -2) of each simultaneity."""
    found: NDArray[np.uint16] = np.bitwise_count(words).sum(axis=-2, dtype=np.uint16)
    return found


def _weigh(words: Words, weights: Numbers) -> float:
    return float(weights @ _counts(words))


def _subset_table(masks: Sequence[Words], weights: Numbers) -> Numbers:
    """Sum of weight x pipes for every subset of some stops of one rank, shape (2^m,)."""
    subsets = 1 << len(masks)
    table = np.zeros(subsets)
    if not masks:
        return table
    width = len(masks[0])
    step = max(16, _CELLS_AT_ONCE // (subsets * width))
    for start in range(0, weights.size, step):
        end = min(start + step, weights.size)
        spoken = np.zeros((subsets, width, end - start), np.uint64)
        for place, mask in enumerate(masks):  # each subset is a smaller one and one stop more
            np.bitwise_or(spoken[: 1 << place], mask[:, start:end], out=spoken[1 << place : 2 << place])
        table += _counts(spoken) @ weights[start:end]
    return table
