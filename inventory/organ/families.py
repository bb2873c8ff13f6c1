"""Families: stops joined by shared pipes, each with its patterns and its signature."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.organ.calls import CalledPipes
from inventory.organ.patterns import Pattern, SchemePatterns
from inventory.organ.signatures import Signature, sign_family


@dataclass(frozen=True)
class Family:
    """Two or more stops connected by shared pipes, and every rank they use."""

    stops: tuple[str, ...]
    """In the order of the scheme."""
    ranks: tuple[str, ...]
    """In the order of the scheme; ranks used by one of them alone included."""
    patterns: tuple[Pattern, ...]
    signature: Signature


def find_families(called: CalledPipes, patterns: SchemePatterns | None = None) -> tuple[Family, ...]:
    """Find the connected components of two or more stops, in the order of the scheme.

    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 3, (36, 48, 60)),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 2), "r", interval=0), Segment("b", (1, 2), "r", interval=12)))
    >>> [(family.stops, family.patterns[0].pattern) for family in find_families(CalledPipes(scheme))]
    [(('a', 'b'), 'octave extension')]
    """
    scheme = called.scheme
    patterns = patterns or SchemePatterns(called, only=called.sharing)
    head = {stop.id: stop.id for stop in scheme.stops}

    def find(stop: str) -> str:
        while head[stop] != stop:
            head[stop] = head[head[stop]]
            stop = head[stop]
        return stop

    for pipe in called.shared:
        callers = {ask.stop for ask in called.answered[pipe]}
        first = find(min(callers))
        for caller in callers:
            head[find(caller)] = first
    members: dict[str, list[str]] = {}
    for stop in scheme.stops:
        members.setdefault(find(stop.id), []).append(stop.id)
    patterns_of: dict[str, list[Pattern]] = {}
    for pattern in (*patterns.of_pairs, *patterns.of_stops):
        patterns_of.setdefault(find(pattern.stops[0]), []).append(pattern)
    families = []
    for stops_of in members.values():
        if len(stops_of) < 2:
            continue
        used = {ask.rank for stop in stops_of for ask in called.by_stop[stop]}
        own = patterns_of.get(find(stops_of[0]), [])
        families.append(
            Family(
                tuple(stops_of),
                tuple(rank.id for rank in scheme.ranks if rank.id in used),
                tuple(own),
                sign_family(called, tuple(stops_of), tuple(own)),
            )
        )
    return tuple(families)
