"""When one explanation is left: a trial it must pass, so that one broad failure does not hide two small ones.

The fewest failures that explain what was heard need not be the true ones: a stop valve
that closes badly explains two murmurs, and so do two leaking flaps. A broad failure predicts
more than was heard yet. Builders hear a fault three times before they believe it; so here a
failure that would show at three pipes or more is asked for until it has shown at three.
"""

from __future__ import annotations

from collections.abc import Sequence

from inventory.organ.explanations import Diagnosis
from inventory.organ.listening import calls_by_pipe, silent_note
from inventory.organ.nets import NONE, Key
from inventory.organ.next_trial import NextTrial, count_knobs
from inventory.organ.schemes import Scheme
from inventory.organ.trials import Trial, touches_of
from inventory.organ.valves_needed import net_of

TIMES = 3
"""Pipes at which a broad failure should have shown (common practice: reproduce three times)."""
MOST_KNOBS = 3


def confirming_trial(scheme: Scheme, trials: Sequence[Trial], diagnosis: Diagnosis) -> NextTrial | None:
    """An untried trial in which the explanation left would show at a pipe where it has not shown yet.

    None where every failure of the likeliest explanations has shown at three pipes, or at all it
    would. `splits` is 2: as predicted, or not.

    >>> from inventory.organ.explanations import explain
    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.trials import Heard
    >>> scheme = Scheme((Keyboard("I", (36, 37, 38)),), (Rank("R", 3),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 3), "R", shift=0),))
    >>> heard = [Trial(frozenset("A"), frozenset({("I", k)}), (Heard("A", k, "silent"),)) for k in (1, 2)]
    >>> confirming_trial(scheme, heard, explain(scheme, heard)).keys
    (('I', 3),)
    """
    net = net_of(scheme)
    calls = calls_by_pipe(net)
    known = diagnosis.behaviours
    sound = known.of(())
    tried = {touches_of(scheme, trial.drawn, trial.keys) for trial in trials}
    best: tuple[tuple[int, int, list[str], list[Key]], NextTrial] | None = None
    for group in diagnosis.groups:
        whole = group.explanations[0].failures | diagnosis.likeliest_besides(group)
        together = known.of(whole)
        for failure in sorted(group.explanations[0].failures):
            alone = known.of([failure])
            pipes = {pipe for pipe, _level, _sets in alone}
            shown = {
                pipe
                for pipe in pipes
                for played in tried
                if known.level(alone, pipe, played) != known.level(sound, pipe, played)
            }
            if len(shown) >= min(TIMES, len(pipes)):
                continue
            for played in known.telling_trials([alone, sound]) - tried:
                stops = tuple(sorted(touch for touch in played if isinstance(touch, str)))
                keys = tuple(sorted(touch for touch in played if not isinstance(touch, str)))
                if count_knobs(scheme, stops) > MOST_KNOBS or any(
                    key > scheme.keyboard[board].keys for board, key in keys
                ):
                    continue
                rank = (count_knobs(scheme, stops), len(keys), list(stops), list(keys))
                if best is not None and rank >= best[0]:
                    continue
                asked = {p for stop in stops for _board, key in keys for p in net.calls.get((stop, key), ())}
                new = [
                    pipe
                    for pipe in sorted(pipes - shown)
                    if (now := known.level(together, pipe, played)) != known.level(sound, pipe, played)
                    and (now == NONE or pipe not in asked)
                    and (pipe in asked or silent_note(net, calls, pipe, asked) is not None)
                ]
                if new:
                    best = rank, NextTrial(stops, keys, 2, tuple(new[:1]))
    return best[1] if best else None
