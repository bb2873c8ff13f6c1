"""Does a stop sound the pitch its label says? Compared with its rank, or with its rank's other stops.

Where the rank's pitch is known, each key's interval is held against the stop's footage.
Octave breaks (foldback, a bass that speaks an octave higher) are no contradiction while
other keys keep to the label, nor is a resultant. Where it is not known, each stop's
label gives the note pipe 1 would have; stops of one rank must agree on it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction

from inventory.organ.calls import Ask, CalledPipes
from inventory.organ.footages import SHORTEST_FEET, interval_of, read_footage, write_footage
from inventory.organ.notes import interval_name, note_name, spans_of
from inventory.organ.sentences import join_sentences, say


@dataclass(frozen=True)
class Contradiction:
    """One label that does not agree with its pipes."""

    stops: tuple[str, ...]
    rank: str
    segments: tuple[int, ...]
    keys: list[int]
    words: str


def _labels(called: CalledPipes) -> dict[str, int]:
    return {
        stop.id: interval_of(read_footage(stop.footage))
        for stop in called.scheme.stops
        if stop.footage is not None
    }


def find_contradictions(called: CalledPipes) -> Iterator[Contradiction]:
    """Every label that its pipes contradict, stop by stop, then rank by rank.

    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("r", 14, tuple(range(36, 50))),),
    ...                 (Stop("s", "I", "Flute", "8"),), (Segment("s", (1, 2), "r", shift=12),))
    >>> [found.words for found in find_contradictions(CalledPipes(scheme))]
    ['the label says 8′ (0), but keys 1–2 ask pipes at +12, which is 4′']
    """
    labels = _labels(called)
    for stop, label in labels.items():
        yield from _against_rank(called, stop, label)
    for rank in called.scheme.ranks:
        if rank.notes is None and rank.low is None:
            yield from _against_each_other(called, rank.id, labels)


def _interval(called: CalledPipes, ask: Ask) -> int | None:
    assert ask.pipe is not None
    note = ask.tone if ask.tone is not None else called.scheme.rank[ask.rank].note_of(ask.pipe)
    return None if note is None else note - ask.note


def _against_rank(called: CalledPipes, stop: str, label: int) -> Iterator[Contradiction]:
    by_key: dict[int, list[tuple[int, Ask]]] = defaultdict(list)
    for ask in called.by_stop[stop]:
        interval = _interval(called, ask)
        if interval is not None:
            by_key[ask.key].append((interval, ask))
    keeps = any(interval == label for asks in by_key.values() for interval, _ in asks)
    wrong: dict[tuple[str, int], list[Ask]] = defaultdict(list)
    for asks in by_key.values():
        here = {interval for interval, _ in asks}
        resultant = {label + 12, label + 19} <= here
        broken = keeps and any((interval - label) % 12 == 0 for interval in here)
        if label in here or resultant or broken:
            continue
        for interval, ask in asks:
            wrong[ask.rank, interval].append(ask)
    for (rank, interval), asks_at in sorted(wrong.items()):
        keys = sorted({ask.key for ask in asks_at})
        says = called.scheme.stop[stop].footage or ""
        yield Contradiction(
            (stop,),
            rank,
            tuple(sorted({ask.segment for ask in asks_at})),
            keys,
            _label_and_keys(write_footage(read_footage(says)), label, spans_of(keys), interval),
        )


def _label_and_keys(says: str, label: int, keys: str, interval: int) -> str:
    feet = _as_footage(interval)
    if not feet:
        return say(
            "the label says %(says)s′ (%(label)s), but keys %(keys)s ask pipes at %(interval)s",
            says=says,
            label=interval_name(label),
            keys=keys,
            interval=interval_name(interval),
        )
    return say(
        "the label says %(says)s′ (%(label)s), but keys %(keys)s ask pipes at %(interval)s, which is %(feet)s′",
        says=says,
        label=interval_name(label),
        keys=keys,
        interval=interval_name(interval),
        feet=feet,
    )


def _as_footage(interval: int) -> str:
    """The plain footage of an interval, where it is one an organ label would carry."""
    harmonics = [Fraction(n, 32) for n in (1, 2, 4, 8, 12, 16, 20, 24)] + [
        Fraction(n, 4) for n in range(4, 65)
    ]
    for harmonic in harmonics:
        feet = 8 / harmonic
        if feet >= SHORTEST_FEET and feet.denominator <= 9 and interval_of(feet) == interval:
            return write_footage(feet)
    return ""


def _against_each_other(called: CalledPipes, rank: str, labels: dict[str, int]) -> Iterator[Contradiction]:
    promised: dict[str, int] = {}
    segments: dict[str, set[int]] = defaultdict(set)
    keys: dict[str, set[int]] = defaultdict(set)
    for stop, label in labels.items():
        lows: Counter[int] = Counter()
        for ask in called.by_stop[stop]:
            if ask.rank == rank and ask.pipe is not None:
                lows[ask.note + label - ask.pipe + 1] += 1
                segments[stop].add(ask.segment)
                keys[stop].add(ask.key)
        if lows:
            # The commonest answer of a stop's keys: foldback is outvoted.
            promised[stop] = min(lows, key=lambda low: (-lows[low], low))
    if len(set(promised.values())) < 2:
        return
    votes = Counter(promised.values())
    best, most = votes.most_common(1)[0]
    clear = most > 1 and list(votes.values()).count(most) == 1
    accused = [stop for stop, low in promised.items() if not clear or low != best]
    told = [
        say("by %(stop)s pipe 1 would be %(note)s", stop=stop, note=_name(promised[stop])) for stop in accused
    ]
    if clear:
        told.append(say("the other stops say %(note)s", note=_name(best)))
    yield Contradiction(
        tuple(accused),
        rank,
        tuple(sorted(set().union(*(segments[stop] for stop in accused)))),
        sorted(set().union(*(keys[stop] for stop in accused))),
        say("labels of one rank disagree: %(told)s", told=join_sentences(told)),
    )


def _name(note: int) -> str:
    return note_name(note) if note >= -24 else say("note %(number)s", number=note)
