"""How a stop stands on a rank, as runs of keys, so that pairs of stops are compared run by run.

A run holds the calls of one stop to shared pipes of one rank in which the note of the key
rises with the pipe and the pipe with the key: its pipes are the bits of one whole number,
and what two runs have in common is one AND. Stops that stand alike (the same *shape*) are
compared once, so 1,000 stops on one row cost what their few shapes cost, not 500,000 pairs
of 61 keys.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping
from typing import NamedTuple

from inventory.organ.calls import Ask, CalledPipes, Pipe


class Run(NamedTuple):
    """Calls of one stop to pipes of one rank, alike but for their height."""

    lift: int
    """Note of the key − number of the pipe."""
    shift: int
    """Number of the pipe − number of the key."""
    tone: int | None
    """Note asked of a polyphone pipe; None for every other pipe."""
    folded: bool
    """Whether the stop has fallen by octaves here; False where nobody asked."""
    device: str | None
    """Code of the device; None where it is not known, or nobody asked."""
    pipes: int
    """Bit n is set when pipe n is called."""

    def keys_at(self, pipes: int) -> int:
        """The keys of this run at some of its pipes, as bits."""
        return pipes >> self.shift if self.shift >= 0 else pipes << -self.shift


Shape = tuple[Run, ...]


def shapes_on_ranks(
    called: CalledPipes, tell_apart: Callable[[Ask, Pipe], tuple[bool, str | None]] | None = None
) -> Mapping[str, Mapping[str, Shape]]:
    """By rank with shared pipes: each stop that calls one of them -> its runs on shared pipes.

    `tell_apart` may tell calls apart further: (folded?, device) of a call. Ranks and stops
    come in the order of the scheme.

    >>> from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 48)),), (Rank("r", 3, (36, 48, 60)),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 2), "r", interval=0), Segment("b", (1, 1), "r", interval=12)))
    >>> shapes_on_ranks(CalledPipes(scheme))["r"]["b"]
    (Run(lift=34, shift=1, tone=None, folded=False, device=None, pipes=4),)
    """
    order = {stop.id: place for place, stop in enumerate(called.scheme.stops)}
    ranks = {rank.id: place for place, rank in enumerate(called.scheme.ranks)}
    found: dict[tuple[str, str], dict[tuple[int, int, int | None, bool, str | None], int]] = defaultdict(dict)
    for rank, number in called.shared:
        for ask in called.answered[rank, number]:
            folded, device = tell_apart(ask, (rank, number)) if tell_apart else (False, None)
            alike = ask.note - number, number - ask.key, ask.tone, folded, device
            runs = found[rank, ask.stop]
            runs[alike] = runs.get(alike, 0) | 1 << number
    by_rank: dict[str, dict[str, Shape]] = defaultdict(dict)
    for rank, stop in sorted(found, key=lambda place: (ranks[place[0]], order[place[1]])):
        runs = found[rank, stop]
        by_rank[rank][stop] = tuple(sorted((Run(*alike, pipes) for alike, pipes in runs.items()), key=repr))
    return by_rank


def common_pipes(one: Shape, other: Shape) -> Iterator[tuple[Run, Run, int]]:
    """Yield every pair of runs that have pipes in common, with those pipes as bits.

    >>> low, high = Run(35, 0, None, False, None, 0b110), Run(35, 0, None, False, None, 0b100)
    >>> [pipes for _one, _other, pipes in common_pipes((low,), (high,))]
    [4]
    """
    for run in one:
        for second in other:
            pipes = run.pipes & second.pipes
            if pipes:
                yield run, second, pipes
