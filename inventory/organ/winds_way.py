"""The way wind takes to a pipe in one trial, step by step, with what has failed on it."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass

from inventory.organ.flows import Changes, Flows
from inventory.organ.nets import LOUD, NONE, SUPPLY, WIND, Failure, Key, Space
from inventory.organ.schemes import Scheme
from inventory.organ.trials import touches_of

MOST_WAYS = 4


@dataclass(frozen=True)
class Step:
    """One step of the way: a space that holds wind or not, or a gate that lets it through."""

    part: str
    """Name of the exchange format; ``wind``, ``supply`` and ``wire:…`` are no parts."""
    is_gate: bool
    level: int
    """What comes this far: 0 none, 1 faint, 2 loud."""
    fails: str = ""
    """How it fails, if it is the part that failed."""


@dataclass(frozen=True)
class Way:
    """The steps from wind to one pipe, and how loud it is beside a sound chest."""

    pipe: Space
    steps: tuple[Step, ...]
    level: int
    sound_level: int


def ways_of_wind(
    scheme: Scheme,
    flows: Flows,
    failures: Collection[Failure],
    drawn: Collection[str],
    keys: Collection[Key],
    *,
    most: int = MOST_WAYS,
) -> tuple[Way, ...]:
    """The ways to pipes that failures change in a trial: louder ones as wind comes, softer ones as it should.

    At most `most` ways, those that differ most first; none where the trial does not show the failures.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.valves_needed import net_of
    >>> scheme = Scheme((Keyboard("I", (36,)),), (Rank("R", 1),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 1), "R", shift=0),))
    >>> way = ways_of_wind(scheme, Flows(net_of(scheme)), [Failure("slider:A", "shut")], ["A"], [("I", 1)])[0]
    >>> [(step.part, step.level, step.fails) for step in way.steps][-3:]
    [('slider:A', 0, 'shut'), ('groove:A:1', 0, ''), ('pipe:R:1', 0, '')]
    """
    touches = touches_of(scheme, frozenset(drawn), frozenset(keys))
    broken, sound = flows.changes(failures), flows.changes(())
    levels, came = flows.spread(touches, broken)
    sound_levels, sound_came = flows.spread(touches, sound)
    changed = [
        pipe
        for pipe in sorted(flows.net.pipes - flows.net.missing)
        if levels.get(pipe, NONE) != sound_levels.get(pipe, NONE)
    ]
    changed.sort(key=lambda pipe: -abs(levels.get(pipe, NONE) - sound_levels.get(pipe, NONE)))
    ways = []
    for pipe in changed[:most]:
        louder = levels.get(pipe, NONE) > sound_levels.get(pipe, NONE)
        spaces = list(_back(pipe, came if louder else sound_came))[::-1]
        steps = tuple(_steps(flows, spaces, levels, broken, failures))
        ways.append(Way(pipe, steps, levels.get(pipe, NONE), sound_levels.get(pipe, NONE)))
    return tuple(ways)


def _back(space: Space, came: dict[Space, tuple[Space, int]]) -> Iterator[tuple[Space, int]]:
    """(space, gate it was entered by; -2 for the source) from the pipe back to the wind."""
    while space in came:
        before, gate = came[space]
        yield space, gate
        space = before
    yield space, -2


def _steps(
    flows: Flows,
    spaces: list[tuple[Space, int]],
    levels: dict[Space, int],
    broken: Changes,
    failures: Collection[Failure],
) -> Iterator[Step]:
    fails = {failure.part: failure.fails for failure in failures}
    before = WIND
    for space, gate in spaces:
        level = levels.get(space, NONE)
        if gate >= 0:
            part = flows.net.gates[gate].part
            if part is not None:
                yield Step(part, True, min(level, levels.get(before, NONE)), fails.get(part, ""))
        elif gate == -1:
            for opening in broken.opened.get(before, ()):
                if opening.target == space:
                    part = opening.failure.part
                    yield Step(part, True, min(level, opening.level), opening.failure.fails)
                    break
        yield Step(space, False, LOUD if space in (WIND, SUPPLY) else level, fails.get(space, ""))
        before = space
