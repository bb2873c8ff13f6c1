"""The trial to make next: untried, of the fewest knobs, that splits what is left best.

Candidates are not guessed: `behaviours` lists every smallest trial in which the remaining
explanations differ. Single stops come first, then two, then three or more: a leaking
flap sounds only with its twin stop drawn and a third to murmur through, so no
single-stop trial can ever find it. Keys are pressed directly; couplers are not drawn.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Sequence
from dataclasses import dataclass

from inventory.organ.behaviours import Behaviour, Played
from inventory.organ.explanations import Diagnosis
from inventory.organ.nets import Key, Space
from inventory.organ.schemes import Scheme
from inventory.organ.sounding import press_keys
from inventory.organ.trials import Trial, touches_of


@dataclass(frozen=True)
class NextTrial:
    """What to draw and hold, and what it would tell."""

    stops: tuple[str, ...]
    keys: tuple[Key, ...]
    splits: int
    """Into how many different outcomes the remaining explanations fall."""
    listen_for: tuple[Space, ...]
    """Pipes whose sound tells: name each of them when writing down what was heard."""


def next_trial(scheme: Scheme, trials: Sequence[Trial], diagnosis: Diagnosis) -> NextTrial | None:
    """The next trial for the group it helps most, or None when no untried trial splits any.

    Fewest knobs first; among those the smallest largest remainder, then most outcomes,
    then fewest keys.

    >>> from inventory.organ.explanations import explain
    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.trials import Heard
    >>> scheme = Scheme((Keyboard("I", (36, 37)),), (Rank("R", 2), Rank("S", 2)),
    ...                 (Stop("A", "I", "Flute"), Stop("B", "I", "String")),
    ...                 (Segment("A", (1, 2), "R", shift=0), Segment("B", (1, 2), "S", shift=0)))
    >>> tried = [Trial(frozenset({"A"}), frozenset({("I", 1)}), (Heard("A", 1, "silent"),))]
    >>> next_trial(scheme, tried, explain(scheme, tried)).stops
    ('A',)
    """
    tried = {touches_of(scheme, trial.drawn, trial.keys) for trial in trials}
    best: tuple[tuple[int, int, int, int, list[str], list[Key]], NextTrial] | None = None
    for group in diagnosis.groups:
        if group.count < 2:
            continue
        besides = diagnosis.likeliest_besides(group)
        left = [diagnosis.behaviours.of(one.failures | besides) for one in group.explanations]
        for played in diagnosis.behaviours.telling_trials(left):
            if played in tried:
                continue
            outcomes = [_outcome(diagnosis, behaviour, played) for behaviour in left]
            counts = Counter(outcomes)
            keys = _keys_to_hold(scheme, played)
            if len(counts) < 2 or keys is None:
                continue
            stops = tuple(sorted(touch for touch in played if isinstance(touch, str)))
            telling = {p for one in outcomes for p in one ^ outcomes[0]}
            rank = (
                count_knobs(scheme, stops),
                max(counts.values()),
                -len(counts),
                len(keys),
                list(stops),
                list(keys),
            )
            if best is None or rank < best[0]:
                listen = tuple(sorted({pipe for pipe, _ in telling}))
                best = rank, NextTrial(stops, keys, len(counts), listen)
    return best[1] if best else None


def _outcome(diagnosis: Diagnosis, changed: Behaviour, played: Played) -> frozenset[tuple[Space, int]]:
    """Levels of the pipes that an explanation changes, in one trial, where they differ from a sound net."""
    known = diagnosis.behaviours
    levels: dict[Space, int] = {}
    for pipe in {pipe for pipe, _, _ in changed}:
        now, sound = known.level(changed, pipe, played), known.level(frozenset(), pipe, played)
        if now != sound:
            levels[pipe] = now
    return frozenset(levels.items())


def _keys_to_hold(scheme: Scheme, played: Played) -> tuple[Key, ...] | None:
    """Fewest keys that open these channels; None where only a drawn coupler could."""
    channels = {touch for touch in played if not isinstance(touch, str)}
    keys = {key for key in channels if key[1] <= scheme.keyboard[key[0]].keys}
    for key in sorted(keys, reverse=True):
        if press_keys(scheme, (), keys - {key}) == channels:
            keys -= {key}
    return tuple(sorted(keys)) if press_keys(scheme, (), keys) == channels else None


def count_knobs(scheme: Scheme, stops: Collection[str]) -> int:
    """Knobs to move for these stops: a control whose position draws several counts once.

    >>> from inventory.organ.schemes import Control
    >>> count_knobs(Scheme((), (), (), (), controls=(Control("k", (("a", "b"),)),)), ["a", "b", "c"])
    2
    """
    left, knobs = set(stops), 0
    for control in scheme.controls:
        most = max((left & set(position) for position in control.positions), key=len, default=set[str]())
        if most:
            left -= most
            knobs += 1
    return knobs + len(left)
