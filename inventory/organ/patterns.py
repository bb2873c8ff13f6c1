"""Patterns: what is shared, computed from the calls; never how it is done (that is the device).

Between two stops on one rank, by keyboard and interval (DESIGN §4):

===========================  ==============================================================
common bass                  same keyboard, interval 0, from the lowest key only
partial borrowing            same keyboard, interval 0, otherwise
octave extension             same keyboard, interval of whole octaves
derived mutation             same keyboard, any other interval
duplex                       two manuals (or two pedals), interval 0
transmission                 manual and pedal, interval 0
transmission with extension  another keyboard and another interval
===========================  ==============================================================

Within a stop: resultant, foldback on own pipes or with pipes of its own, polyphone. Keys
on which a stop folds back say nothing about its kinship with others and are left out of
the pair's pattern, unless the pair shares nothing else.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from itertools import combinations

from inventory.organ.calls import Ask, CalledPipes, Pipe
from inventory.organ.footages import interval_of, read_footage
from inventory.organ.schemes import Call
from inventory.organ.shapes import Shape, common_pipes, shapes_on_ranks

COMMON_BASS = "common bass"
PARTIAL_BORROWING = "partial borrowing"
OCTAVE_EXTENSION = "octave extension"
DERIVED_MUTATION = "derived mutation"
DUPLEX = "duplex"
TRANSMISSION = "transmission"
TRANSMISSION_WITH_EXTENSION = "transmission with extension"
RESULTANT = "resultant"
FOLDBACK_ON_OWN_PIPES = "foldback on own pipes"
FOLDBACK_WITH_PIPES_OF_ITS_OWN = "foldback with pipes of its own"
POLYPHONE = "polyphone"

PAIR_PATTERNS = (
    COMMON_BASS,
    PARTIAL_BORROWING,
    OCTAVE_EXTENSION,
    DERIVED_MUTATION,
    DUPLEX,
    TRANSMISSION,
    TRANSMISSION_WITH_EXTENSION,
)
STOP_PATTERNS = (RESULTANT, FOLDBACK_ON_OWN_PIPES, FOLDBACK_WITH_PIPES_OF_ITS_OWN, POLYPHONE)
UNIFIED = frozenset({OCTAVE_EXTENSION, DERIVED_MUTATION, DUPLEX, TRANSMISSION, TRANSMISSION_WITH_EXTENSION})
"""What counts as unified; a common bass is counted apart, and so is the host it borrows from."""

Height = tuple[str, int]
"""Semitones from a key's note to its pipe's: ("", interval), or (rank, relative) of unknown pitch."""


@dataclass(frozen=True)
class Pattern:
    """One pattern of a pair of stops, or of one stop."""

    pattern: str
    stops: tuple[str, ...]
    """Two stops in the order of the scheme, or one."""
    rank: str
    interval: int | None
    """Note of the second stop's key − note of the first's for the same pipe; None within a stop."""
    keys: int
    """Keys of the first stop it holds for; where one pipe speaks two notes, of the stop that has more such keys."""
    devices: tuple[str, ...]
    """Codes of the devices recorded for it, sorted; empty when none is known."""


def height_of(called: CalledPipes, ask: Ask) -> Height:
    """How far the pipe asked lies above its key, in semitones, absolute where the pitch is known.

    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36,)),), (Rank("r", 1, (48,)),), (Stop("s", "I", "Octave", "4"),),
    ...                 (Segment("s", (1, 1), "r", shift=0),))
    >>> called = CalledPipes(scheme)
    >>> height_of(called, called.asks[0])
    ('', 12)
    """
    assert ask.pipe is not None
    note = ask.tone if ask.tone is not None else called.scheme.rank[ask.rank].note_of(ask.pipe)
    return (ask.rank, ask.pipe - ask.note) if note is None else ("", note - ask.note)


def folded_calls(called: CalledPipes, stop: str) -> Mapping[Call, bool]:
    """Calls of a stop at keys where its interval has fallen by whole octaves -> on its own pipes?

    Reading upwards from key to key: where one interval is left for another that is 12,
    24 … lower, the keys from there on fold back until they leave that interval again.

    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 1, (48,)),), (Stop("s", "I", "Octave", "4"),),
    ...                 (Segment("s", (1, 2), "r", pipes=(1, 1)),))
    >>> folded_calls(CalledPipes(scheme), "s")
    {Call(stop='s', key=2, rank='r', pipe=1): True}
    """
    by_key: dict[int, dict[Height, Call]] = defaultdict(dict)
    keys_of_pipe: dict[tuple[str, int], set[int]] = defaultdict(set)
    for ask in called.by_stop[stop]:
        assert ask.pipe is not None
        by_key[ask.key][height_of(called, ask)] = Call(stop, ask.key, ask.rank, ask.pipe)
        keys_of_pipe[ask.rank, ask.pipe].add(ask.key)
    folded: dict[Call, bool] = {}
    falling: set[Height] = set()
    before: set[Height] = set()
    for key in sorted(by_key):
        now = set(by_key[key])
        lost, gained = before - now, now - before
        falling &= now
        for base, low in gained:
            if any(b == base and high > low and (high - low) % 12 == 0 for b, high in lost):
                falling.add((base, low))
        for height in falling:
            call = by_key[key][height]
            folded[call] = len(keys_of_pipe[call.rank, call.pipe]) > 1
        before = now
    return folded


class SchemePatterns:
    """All patterns of a scheme, or of some of its stops (every one that shares among them), computed once."""

    def __init__(self, called: CalledPipes, only: Collection[str] | None = None) -> None:
        self.called = called
        stops = [stop.id for stop in called.scheme.stops if only is None or stop.id in only]
        self.folded = {stop: folded_calls(called, stop) for stop in stops}
        self.of_pairs = _find_pairs(called, self.folded)
        self.of_stops = [
            pattern for stop in stops for pattern in _find_within(called, stop, self.folded[stop])
        ]


@dataclass(frozen=True)
class _Meeting:
    """What two stops have in common on one rank at one interval."""

    keys: int
    """Keys of the first stop, key n as bit n."""
    devices: tuple[str, ...]


def _find_pairs(called: CalledPipes, folded: Mapping[str, Mapping[Call, bool]]) -> list[Pattern]:
    order = {stop.id: place for place, stop in enumerate(called.scheme.stops)}

    def tell_apart(ask: Ask, pipe: Pipe) -> tuple[bool, str | None]:
        return Call(ask.stop, ask.key, *pipe) in folded[ask.stop], called.scheme.segments[ask.segment].device

    compared: dict[tuple[Shape, Shape], dict[int | None, _Meeting]] = {}
    names: dict[tuple[object, ...], str] = {}
    patterns = []
    for rank, stops in shapes_on_ranks(called, tell_apart).items():
        for (one, shape), (other, second) in combinations(stops.items(), 2):
            if (shape, second) not in compared:
                compared[shape, second] = _compare(shape, second)
            if not compared[shape, second]:
                continue
            boards = called.scheme.stop[one].keyboard, called.scheme.stop[other].keyboard
            lowest = max(called.scheme.compass_of(one)[0], called.scheme.compass_of(other)[0])
            for interval, found in compared[shape, second].items():
                place = (boards, interval, lowest, found.keys)
                if place not in names:
                    names[place] = _name_pair(called, *boards, interval, lowest, found.keys)
                count = found.keys.bit_count()
                patterns.append(Pattern(names[place], (one, other), rank, interval, count, found.devices))
    return sorted(
        patterns,
        key=lambda p: (order[p.stops[0]], order[p.stops[1]], p.rank, p.interval or 0, p.interval is None),
    )


def _compare(one: Shape, other: Shape) -> dict[int | None, _Meeting]:
    """Meetings by interval (None: two notes of one pipe); those at folded keys only where there are no others."""
    straight: dict[int | None, tuple[int, set[str]]] = {}
    bent: dict[int | None, tuple[int, set[str]]] = {}
    there = 0
    for run, second, pipes in common_pipes(one, other):
        interval = second.lift - run.lift if run.tone == second.tone else None
        folds = interval is None or run.folded or second.folded
        kind = bent if folds else straight
        keys, devices = kind.get(interval, (0, set()))
        devices |= {device for device in (run.device, second.device) if device is not None}
        kind[interval] = keys | run.keys_at(pipes), devices
        if interval is None:
            there |= second.keys_at(pipes)
    if None in bent:
        # Two notes of one pipe may lie on more keys of one stop than of the other: the greater number
        # is told, whichever stop the record names first.
        keys, devices = bent[None]
        bent[None] = max(keys, there, key=int.bit_count), devices
    return {
        interval: _Meeting(keys, tuple(sorted(devices)))
        for interval, (keys, devices) in (straight or bent).items()
    }


def _name_pair(
    called: CalledPipes, first: str, second: str, interval: int | None, lowest: int, keys: int
) -> str:
    """The pattern of two stops of these keyboards; `lowest` is the first key both stops have."""
    one, other = called.scheme.keyboard[first], called.scheme.keyboard[second]
    if interval is None:
        return POLYPHONE
    if one.id == other.id and interval == 0:
        run = keys == ((1 << keys.bit_count()) - 1) << lowest
        return COMMON_BASS if run and keys.bit_length() - 1 < one.keys else PARTIAL_BORROWING
    if one.id == other.id:
        return OCTAVE_EXTENSION if interval % 12 == 0 else DERIVED_MUTATION
    if interval == 0:
        return DUPLEX if one.kind == other.kind else TRANSMISSION
    return TRANSMISSION_WITH_EXTENSION


def _find_within(called: CalledPipes, stop: str, folded: Mapping[Call, bool]) -> list[Pattern]:
    scheme = called.scheme
    asks = called.by_stop[stop]
    found: dict[tuple[str, str], set[int]] = defaultdict(set)
    devices: dict[str, set[str]] = defaultdict(set)
    heights: dict[int, dict[Height, str]] = defaultdict(dict)
    tones: dict[tuple[str, int], set[int | None]] = defaultdict(set)
    for ask in asks:
        assert ask.pipe is not None
        heights[ask.key][height_of(called, ask)] = ask.rank
        tones[ask.rank, ask.pipe].add(ask.tone)
        device = scheme.segments[ask.segment].device
        if device is not None:
            devices[ask.rank].add(device)
    for call, own in folded.items():
        found[FOLDBACK_ON_OWN_PIPES if own else FOLDBACK_WITH_PIPES_OF_ITS_OWN, call.rank].add(call.key)
    footage = scheme.stop[stop].footage
    label = None if footage is None else interval_of(read_footage(footage))
    for key, at in heights.items():
        # A knob that names one of the two pitches is a compound, not a resultant.
        if ("", label) in at:
            continue
        for (base, low), rank in at.items():
            if (base, low + 7) in at:
                found[RESULTANT, rank].add(key)
    for ask in asks:
        assert ask.pipe is not None
        if len(tones[ask.rank, ask.pipe]) > 1:
            found[POLYPHONE, ask.rank].add(ask.key)
    return [
        Pattern(name, (stop,), rank, None, len(keys), tuple(sorted(devices[rank])))
        for (name, rank), keys in sorted(found.items())
    ]


def sharing_roles(patterns: SchemePatterns) -> Mapping[str, frozenset[str]]:
    """What each stop is in the sharing of its scheme.

    ``unified`` (extension, duplex, transmission, derived mutation) · ``common bass`` (it
    borrows its bass) · ``host of a common bass`` · ``partial borrowing``; a stop may be
    several, an independent one is none. Of two stops with a common bass the host is the
    one that has more of the row; where both leave it equally, both borrow.

    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("wood", 2), Rank("metal", 1)),
    ...                 (Stop("a", "I", "Gedackt", "8"), Stop("b", "I", "Gamba", "8")),
    ...                 (Segment("a", (1, 2), "wood", shift=0), Segment("b", (1, 1), "wood", shift=0),
    ...                  Segment("b", (2, 2), "metal", shift=-1)))
    >>> roles = sharing_roles(SchemePatterns(CalledPipes(scheme)))
    >>> sorted(roles["a"]), sorted(roles["b"])
    (['host of a common bass'], ['common bass'])
    """
    called = patterns.called
    roles: dict[str, set[str]] = {stop.id: set() for stop in called.scheme.stops}
    on_rank: dict[tuple[str, str], set[int]] = defaultdict(set)
    for call in called.calls:
        on_rank[call.stop, call.rank].add(call.key)
    # A stop that has of a row only the bass it borrows is not unified with the host's other partners.
    only_bass = {
        (stop, pattern.rank)
        for pattern in patterns.of_pairs
        if pattern.pattern == COMMON_BASS
        for stop in pattern.stops
        if len(on_rank[stop, pattern.rank]) == pattern.keys
    }
    for pattern in patterns.of_pairs:
        first, second = pattern.stops
        if pattern.pattern in UNIFIED and not {(first, pattern.rank), (second, pattern.rank)} & only_bass:
            roles[first].add("unified")
            roles[second].add("unified")
        elif pattern.pattern == COMMON_BASS:
            one, other = len(on_rank[first, pattern.rank]), len(on_rank[second, pattern.rank])
            roles[first].add("host of a common bass" if one > other else "common bass")
            roles[second].add("host of a common bass" if other > one else "common bass")
        elif pattern.pattern == PARTIAL_BORROWING:
            roles[first].add(PARTIAL_BORROWING)
            roles[second].add(PARTIAL_BORROWING)
    return {stop: frozenset(found) for stop, found in roles.items()}
