"""The shortest test plan of a scheme as a list for the loft: by registration, with the knobs to move."""

from __future__ import annotations

from collections import Counter, OrderedDict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import groupby
from pathlib import Path
from threading import Lock
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from inventory.management.fault_words import failure_words
from inventory.models import Instrument, Part
from inventory.organ.knob_orders import Knobs, knobs_of
from inventory.organ.layouts import LAYOUTS, order_channels
from inventory.organ.nets import Failure
from inventory.organ.plain_plans import plan_within
from inventory.organ.schemes import Scheme
from inventory.organ.trial_plans import PlannedTrial, TrialPlan
from inventory.organ.trial_writing import held_keys, key_name, note_of_pipe, stop_name

from .kept_plans import code_sign, read_plan, sign_of, write_plan

KEPT = "test-plans"
MOST_KEPT = 24
MOST_NAMED = 6
_kept: OrderedDict[str, TrialPlan] = OrderedDict()
_lock = Lock()


def plan_of(scheme: Scheme) -> TrialPlan:
    """The plan of a scheme, within a fixed amount of work: the last ones in memory, all of them on disk."""
    sign = sign_of(scheme, code_sign())
    with _lock:
        if sign in _kept:
            _kept.move_to_end(sign)
            return _kept[sign]
    folder = Path(settings.DATA_DIR) / KEPT
    made = read_plan(folder, sign)
    if made is None:
        made = plan_within(scheme)
        write_plan(folder, sign, made)
    with _lock:
        _kept[sign] = made
        while len(_kept) > MOST_KEPT:
            _kept.popitem(last=False)
    return made


@dataclass(frozen=True)
class LoftLine:
    """One line to tick: one trial, or a run of keys that are pressed one after the other."""

    first: int
    """Number of the first trial in the whole plan, from 1."""
    last: int
    keys: str
    speaks: str
    listen: str


@dataclass(frozen=True)
class LoftStep:
    """Everything done with one registration."""

    stops: str
    move: str
    """Knobs to move from the step before."""
    lines: tuple[LoftLine, ...]
    codes: tuple[str, ...] = ()


def steps_of(scheme: Scheme, plan: TrialPlan) -> list[LoftStep]:
    """The plan as steps, in the order of the fewest knob changes."""
    steps, number = [], 1
    before: Knobs = frozenset()
    for stops, group in groupby(plan.trials, key=lambda trial: trial.stops):
        trials = list(group)
        knobs = knobs_of(scheme, stops)
        steps.append(
            LoftStep(
                " + ".join(stop_name(scheme, stop) for stop in stops) or _("no stop"),
                _move_words(scheme, before, knobs),
                tuple(_lines(scheme, trials, number)),
                stops,
            )
        )
        before, number = knobs, number + len(trials)
    return steps


def _move_words(scheme: Scheme, before: Knobs, after: Knobs) -> str:
    def named(knobs: Iterable[tuple[str, int]]) -> str:
        controls = {control.id: control for control in scheme.controls}
        words = []
        for knob, position in sorted(knobs):
            if knob in controls:
                words.append(" + ".join(stop_name(scheme, one) for one in controls[knob].positions[position]))
            else:
                words.append(stop_name(scheme, knob))
        return ", ".join(words)

    told = []
    if before - after:
        told.append(_("push in %(knobs)s") % {"knobs": named(before - after)})
    if after - before:
        told.append(_("draw %(knobs)s") % {"knobs": named(after - before)})
    return "; ".join(told)


def _lines(scheme: Scheme, trials: Sequence[PlannedTrial], number: int) -> Iterable[LoftLine]:
    """Keys that ask the same thing in a row become one line."""
    run: list[tuple[int, PlannedTrial]] = []
    for place, trial in enumerate(trials, start=number):
        if run and not _follows(run[-1][1], trial):
            yield _line(scheme, run)
            run = []
        run.append((place, trial))
    if run:
        yield _line(scheme, run)


def _follows(one: PlannedTrial, other: PlannedTrial) -> bool:
    plain = not one.listen_for and not other.listen_for and len(one.keys) == len(other.keys) == 1
    if not plain or len(one.speaks) != 1 or len(other.speaks) != 1:
        return False
    (board, key), (next_board, next_key) = one.keys[0], other.keys[0]
    return board == next_board and next_key == key + 1


def _line(scheme: Scheme, run: Sequence[tuple[int, PlannedTrial]]) -> LoftLine:
    first, last = run[0], run[-1]
    trial = first[1]
    if len(run) > 1:
        board, low = trial.keys[0]
        high = last[1].keys[0][1]
        keyboard = scheme.keyboard[board]
        keys = _("%(board)s %(first)s to %(last)s, one after the other") % {
            "board": board,
            "first": key_name(keyboard, low),
            "last": key_name(keyboard, high),
        }
        return LoftLine(first[0], last[0], keys, _("each speaks"), "")
    keys = held_keys(scheme, trial.keys) if trial.keys else _("nothing held")
    speaks = ", ".join(
        f"{stop_name(scheme, stop)} {key_name(scheme.keyboard_of(stop), key)}" for stop, key in trial.speaks
    )
    return LoftLine(first[0], first[0], keys, speaks, listen_words(scheme, trial.listen_for))


def listen_words(scheme: Scheme, pipes: Sequence[str]) -> str:
    """Pipes to listen for as notes of stops; many of one stop are counted."""
    if len(pipes) <= MOST_NAMED:
        return ", ".join(_pipe_words(scheme, pipe) for pipe in pipes)
    ranks = Counter(pipe.split(":")[1] for pipe in pipes)
    return ", ".join(
        _("every pipe of %(rank)s (%(n)d)") % {"rank": rank, "n": number}
        for rank, number in sorted(ranks.items())
    )


def _pipe_words(scheme: Scheme, pipe: str) -> str:
    _kind, rank, number = pipe.split(":")
    return note_of_pipe(scheme, rank, int(number))


def left_words(scheme: Scheme, failures: Sequence[Failure]) -> list[str]:
    """What a plan does not tell, a few by name and the rest by number."""
    words = [failure_words(scheme, failure) for failure in failures[:MOST_NAMED]]
    if len(failures) > MOST_NAMED:
        words.append(_("and %(n)d more") % {"n": len(failures) - MOST_NAMED})
    return words


def names_of_parts(root: Instrument) -> list[str]:
    """The parts to be looked at, by name."""
    return [part.name for part in Part.objects.filter(instrument=root)]


def chest_orders(scheme: Scheme) -> list[dict[str, Any]]:
    """The order of each chest's channels as it is known, for whoever stands before it."""
    found = []
    for chest in scheme.chests:
        played = {scheme.stop[one].keyboard for one in chest.stops or () if one in scheme.stop}
        channels = chest.channels or ()
        if not channels and chest.layout in LAYOUTS:
            channels = order_channels(chest.layout or "", [k for k in scheme.keyboards if k.id in played])
        found.append(
            {
                "id": chest.id,
                "kind": chest.kind,
                "layout": chest.layout or "",
                "stops": [stop_name(scheme, one) for one in chest.stops or ()],
                "channels": [
                    key_name(scheme.keyboard[board], key)
                    if len(played) < 2
                    else f"{board} {key_name(scheme.keyboard[board], key)}"
                    for board, key in channels
                    if key <= scheme.keyboard[board].keys
                ],
            }
        )
    return found
