"""Signatures: what two schemes must share to be called the same, in three tiers.

*idea*: keyboard kinds, footages, patterns, how each treble is completed · *execution*:
also the devices · *size*: also compasses and numbers of pipes. Each tier holds the one
before it. Equal text means equal scheme at that tier; ids, names of stops, the order of
every list and the way a segment is written (shift, interval, list, in parts) are nothing.

The family is a graph: stops, joined by patterns, standing on keyboards. The text lists
the stops and the patterns between them by description. Where two stops have the same
description the list alone may not tell who is joined to whom, so the graph is refined
(each node described by its neighbours, again and again) and a short digest of the outcome
is added as ``form``. SHA-256 of plain text, never hash(): the same in every process.
"""

from __future__ import annotations

import hashlib
from collections import Counter
from dataclasses import dataclass, replace
from typing import NamedTuple

from inventory.organ.calls import CalledPipes
from inventory.organ.footages import interval_of, read_footage, write_footage
from inventory.organ.patterns import (
    FOLDBACK_ON_OWN_PIPES,
    FOLDBACK_WITH_PIPES_OF_ITS_OWN,
    POLYPHONE,
    RESULTANT,
    Pattern,
)

_WITHIN = {
    FOLDBACK_ON_OWN_PIPES: "folds back on its own pipes",
    FOLDBACK_WITH_PIPES_OF_ITS_OWN: "folds back with pipes of its own",
    RESULTANT: "resultant",
    POLYPHONE: "polyphone",
}


@dataclass(frozen=True)
class Signature:
    """Three readable texts; equal text, equal scheme at that tier."""

    idea: str
    execution: str
    size: str


@dataclass(frozen=True)
class _Node:
    """A stop as a node of the graph."""

    name: str
    keyboard: str
    order: tuple[str, int]
    """Kind of keyboard and interval above 8′: for a list from low to high."""
    label: str
    """Its description at the tier of the idea."""
    more: str = ""
    """What later tiers add."""

    @property
    def text(self) -> str:
        return self.label + self.more

    @property
    def place(self) -> tuple[tuple[str, int], str, str]:
        return self.order, self.label, self.more


_Head = tuple[tuple[str, int], str]


class _Edge(NamedTuple):
    """A pattern between two stops, read from `one` to `other`."""

    one: str
    other: str
    there: str
    """What the pattern is, seen from `one`."""
    back: str
    """The same seen from `other`."""


def sign_family(called: CalledPipes, stops: tuple[str, ...], patterns: tuple[Pattern, ...]) -> Signature:
    """Sign one family of stops, given all patterns of its pairs and of its stops.

    >>> from inventory.organ.patterns import SchemePatterns
    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 3, (36, 48, 60)),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 2), "r", interval=0), Segment("b", (1, 2), "r", interval=12)))
    >>> called = CalledPipes(scheme)
    >>> sign_family(called, ("a", "b"), tuple(SchemePatterns(called).of_pairs)).idea
    'manual 8′; manual 4′ | manual 8′ → manual 4′: octave extension -12'
    """
    scheme = called.scheme
    boards = {name: scheme.keyboard[name].kind for name in {scheme.stop[stop].keyboard for stop in stops}}
    within = tuple(p for p in patterns if len(p.stops) == 1)
    nodes = [_node(called, stop, within) for stop in stops]
    between = [p for p in patterns if len(p.stops) == 2]
    idea = _write(nodes, _edges(between, sized=False), boards)

    nodes = [replace(node, more=f" by {_devices(called, node.name)}") for node in nodes]
    execution = _write(nodes, _edges(between, sized=False), boards)

    nodes = [replace(node, more=f"{node.more}, {_compass(called, node.name)}") for node in nodes]
    boards = {keyboard: f"{kind} {_keys(called, keyboard)}" for keyboard, kind in boards.items()}
    size = _write(nodes, _edges(between, sized=True), boards)
    sizes = sorted(
        _rank_size(called, rank) for rank in {ask.rank for stop in stops for ask in called.by_stop[stop]}
    )
    return Signature(idea, execution, f"{size} | {'; '.join(sizes)}")


def _node(called: CalledPipes, stop: str, patterns: tuple[Pattern, ...]) -> _Node:
    footage = called.scheme.stop[stop].footage
    interval = 999 if footage is None else interval_of(read_footage(footage))
    kind = called.scheme.keyboard_of(stop).kind
    keyboard = called.scheme.stop[stop].keyboard
    return _Node(stop, keyboard, (kind, interval), _describe(called, stop, patterns))


def _describe(called: CalledPipes, stop: str, patterns: tuple[Pattern, ...]) -> str:
    scheme = called.scheme
    footage = scheme.stop[stop].footage
    pitch = "no footage" if footage is None else f"{write_footage(read_footage(footage))}′"
    within = sorted({_WITHIN[p.pattern] for p in patterns if p.stops == (stop,)})
    first, last = scheme.compass_of(stop)
    if not any("folds back" in words for words in within):
        if last < scheme.keyboard_of(stop).keys:
            within.append("ends early")
        elif last >= first and last not in called.keys_by_stop[stop]:
            within.append("top silent")
    return " ".join([scheme.keyboard_of(stop).kind, pitch, *(f"({words})" for words in within)])


def _devices(called: CalledPipes, stop: str) -> str:
    """Devices of the segments by which a stop reaches shared pipes."""
    found = {
        called.scheme.segments[ask.segment].device
        for ask in called.by_stop[stop]
        if (ask.rank, ask.pipe) in called.shared
    }
    known = sorted(device for device in found if device is not None)
    return " + ".join(known) if known else "device not known"


def _keys(called: CalledPipes, keyboard: str) -> str:
    notes = called.scheme.keyboard[keyboard].notes
    gaps = "" if not called.scheme.keyboard[keyboard].has_gaps else " of " + ",".join(map(str, notes))
    return f"{len(notes)} keys from {min(notes)} to {max(notes)}{gaps}"


def _compass(called: CalledPipes, stop: str) -> str:
    first, last = called.scheme.compass_of(stop)
    answered = called.keys_by_stop[stop]
    return f"keys {first}–{last}, {len(answered)} speaking"


def _rank_size(called: CalledPipes, rank: str) -> str:
    found = called.scheme.rank[rank]
    count = "pipes not counted" if found.pipes is None else f"{found.pipes} {found.makes}"
    low = found.note_of(1)
    return count if low is None else f"{count} from {low}"


def _edges(patterns: list[Pattern], *, sized: bool) -> list[_Edge]:
    """One edge for each pair, pattern and interval; at the tier of size also for each number of keys."""
    words: dict[tuple[str, int | None, int], tuple[str, str]] = {}
    edges: dict[_Edge, None] = {}
    for pattern in patterns:
        kind = pattern.pattern, pattern.interval, pattern.keys if sized else 0
        if kind not in words:
            keys = f" on {pattern.keys} keys" if sized else ""
            interval = pattern.interval
            there, back = (
                ("", "") if interval in (0, None) else (f" {interval:+d}", f" {-(interval or 0):+d}")
            )
            words[kind] = f"{pattern.pattern}{there}{keys}", f"{pattern.pattern}{back}{keys}"
        one, other = pattern.stops
        edges[_Edge(one, other, *words[kind])] = None
    return list(edges)


def _digest(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()


def _write(nodes: list[_Node], edges: list[_Edge], boards: dict[str, str]) -> str:
    heads = {node.name: (node.order, node.label) for node in nodes}
    alike = Counter((heads[edge.one], heads[edge.other], edge.there, edge.back) for edge in edges)
    joins: Counter[tuple[_Head, _Head, str]] = Counter()
    for (one, other, there, back), number in alike.items():
        # Each pattern is read from its lower end; the number says where the partner's key lies.
        joins[min((one, other, there), (other, one, back))] += number
    texts: Counter[str] = Counter()
    for join in sorted(joins):
        texts[f"{join[0][1]} → {join[1][1]}: {join[2]}"] += joins[join]
    parts = [
        _count(Counter(node.text for node in sorted(nodes, key=lambda node: node.place))),
        _count(texts),
    ]
    plain = len({node.label for node in nodes}) == len(nodes) and len(set(boards.values())) == len(boards)
    if len(boards) > 1 or any(" keys from " in words for words in boards.values()):
        parts.insert(0, _count(Counter(sorted(boards.values()))))
    if not plain:
        parts.append(f"form {_form(nodes, edges, boards)}")
    return " | ".join(parts)


def _count(counted: Counter[str]) -> str:
    return "; ".join(f"{counted[text]} × {text}" if counted[text] > 1 else text for text in counted)


def _form(nodes: list[_Node], edges: list[_Edge], boards: dict[str, str]) -> str:
    """Digest of the graph by colour refinement: which stops are joined, and stand on one keyboard."""
    colour = {f"stop {node.name}": _digest(f"stop {node.text}") for node in nodes}
    colour |= {f"board {keyboard}": _digest(f"board {words}") for keyboard, words in boards.items()}
    places = {name: place for place, name in enumerate(colour)}
    near: list[list[tuple[str, int]]] = [[] for _ in places]
    for node in nodes:
        stop, board = places[f"stop {node.name}"], places[f"board {node.keyboard}"]
        near[stop].append(("stands on", board))
        near[board].append(("carries", stop))
    stops = {node.name: places[f"stop {node.name}"] for node in nodes}
    for edge in edges:
        one, other = stops[edge.one], stops[edge.other]
        near[one].append((edge.there, other))
        near[other].append((edge.back, one))
    colours = list(colour.values())
    kinds = 0
    while len(set(colours)) > kinds:
        kinds = len(set(colours))
        colours = [_mix(own, near_it, colours) for own, near_it in zip(colours, near, strict=True)]
    return _digest("|".join(sorted(colours)))[:8]


def _mix(own: str, near: list[tuple[str, int]], colours: list[str]) -> str:
    """A node's next colour: its own and its neighbours', equal ones written once for each."""
    beside = Counter((words, colours[other]) for words, other in near)
    texts = sorted((f"{words}>{colour}", number) for (words, colour), number in beside.items())
    return _digest("|".join([own, *(text for text, number in texts for _ in range(number))]))
