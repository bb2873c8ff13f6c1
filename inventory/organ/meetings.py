"""Which calls meet at one pipe while a repertoire is played, as a table small enough for a page.

A *meeting* is the list of calls that a pipe gets at once: stops, and how far each key lies
above the lowest. Equal meetings of all pipes and simultaneities are added. Whatever stops are
then drawn, the calls of a meeting that belong to them make one pipe: all but one coincide.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass

import numpy as np

from inventory.organ.calls import CalledPipes, Pipe
from inventory.organ.errors import SchemeError
from inventory.organ.registrations import Coincidence, Played
from inventory.organ.repertoire import Repertoire

Meeting = tuple[tuple[int, int], ...]
"""(semitones above the lowest key of the meeting, place of the stop), lowest first."""
_MOST_NOTES = 12
"""Different notes of one pipe; more of them would make a table of 2^n entries too large."""


@dataclass(frozen=True)
class Meetings:
    """What some stops of a keyboard call, and where their calls meet."""

    stops: tuple[str, ...]
    calls: tuple[float, ...]
    """Weighted calls of each stop."""
    weights: Mapping[Meeting, float]
    """Meetings of two calls or more; every other call has its pipe to itself."""

    def coincide(self, drawn: Collection[str]) -> dict[int, float]:
        """Weight of the calls that coincide when these stops are drawn, by interval to the next call above.

        >>> Meetings(("a", "b"), (2.0, 2.0), {((0, 1), (12, 0)): 1.0}).coincide(["a", "b"])
        {12: 1.0}
        """
        places = {place for place, stop in enumerate(self.stops) if stop in drawn}
        found: dict[int, float] = defaultdict(float)
        for meeting, weight in self.weights.items():
            here = [above for above, place in meeting if place in places]
            for low, high in zip(here, here[1:], strict=False):
                found[high - low] += weight
        return dict(sorted(found.items()))


def meetings_of(played: Played, stops: Collection[str]) -> Meetings:
    """Gather the meetings of some stops of a keyboard over the repertoire it was played with.

    Raises SchemeError for a stop that is not on the keyboard, or a pipe asked for more than
    twelve different notes. The sums are those of `registrations.places_of` for every
    registration of these stops.

    >>> from inventory.organ.registrations import play
    >>> from inventory.organ.repertoire import gather
    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 13, low=36),),
    ...     (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...     (Segment("a", (2, 2), "r", interval=0), Segment("b", (1, 1), "r", interval=12)))
    >>> meetings_of(play(scheme, "I", gather([((36, 48), 2.0)])), ("a", "b")).weights
    {((0, 1), (12, 0)): 2.0}
    """
    order = tuple(stops)
    for stop in order:
        if stop not in played.calls:
            known = ", ".join(played.stops) or "none"
            raise SchemeError(f"stop {stop!r} is not on keyboard {played.keyboard!r}; its stops are: {known}")
    place = {stop: number for number, stop in enumerate(order)}
    weights: dict[Meeting, float] = defaultdict(float)
    for pipe, asks in played.asks.items():
        here: dict[int, list[int]] = defaultdict(list)
        for stop, note, _tone in asks:
            if stop in place:
                here[note].append(place[stop])
        if sum(map(len, here.values())) < 2:
            continue
        notes = sorted(here)
        if len(notes) > _MOST_NOTES:
            raise SchemeError(
                f"pipe {pipe[1]} of rank {pipe[0]!r} is asked for {len(notes)} notes; "
                f"meetings are gathered for at most {_MOST_NOTES}"
            )
        held = np.zeros(played.weights.size, np.int64)
        for bit, note in enumerate(notes):
            held |= played.pressed[note].astype(np.int64) << bit
        for pressed, weight in enumerate(np.bincount(held, weights=played.weights).tolist()):
            if weight:
                _add(weights, notes, here, pressed, weight)
    return Meetings(order, tuple(played.calls[stop] for stop in order), dict(sorted(weights.items())))


def _add(
    weights: dict[Meeting, float],
    notes: list[int],
    here: Mapping[int, list[int]],
    pressed: int,
    weight: float,
) -> None:
    sounding = [note for bit, note in enumerate(notes) if pressed >> bit & 1]
    meeting = tuple((note - sounding[0], stop) for note in sounding for stop in sorted(here[note]))
    if len(meeting) > 1:
        weights[meeting] += weight


def coincidence_of(
    called: CalledPipes, keyboard: str, stops: Collection[str], repertoire: Repertoire
) -> Coincidence:
    """Weighted calls and coincidences of some stops of a keyboard drawn together; the sums of `rate_of`, sooner.

    A pipe is as long in use as any of the notes that call it is held, and that is the same for
    every pipe called by the same notes. Exact where weights are whole numbers below 2^53 in sum.

    >>> from inventory.organ.repertoire import gather
    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 13, low=36),),
    ...     (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...     (Segment("a", (2, 2), "r", interval=0), Segment("b", (1, 1), "r", interval=12)))
    >>> coincidence_of(CalledPipes(scheme), "I", ("a", "b"), gather([((36, 48), 2.0)]))
    Coincidence(calls=4.0, coincide=2.0)
    """
    board = called.scheme.keyboard[keyboard]
    at_pipe: dict[Pipe, int] = defaultdict(int)
    calls = 0.0
    for stop in stops:
        for ask in called.by_stop[stop]:
            # Of two keys that sound one note the lower is played, as in `play`.
            if 0 <= ask.note <= 127 and board.key_at_note[ask.note] == ask.key:
                assert ask.pipe is not None
                at_pipe[ask.rank, ask.pipe] |= 1 << ask.note
                calls += repertoire.weight_of_any(1 << ask.note)
    return Coincidence(calls, calls - sum(map(repertoire.weight_of_any, at_pipe.values())))
