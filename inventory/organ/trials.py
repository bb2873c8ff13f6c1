"""Trials: what was drawn and held, and what was heard; read from the exchange format of DESIGN §8.

What an observation says, exactly (levels as in `flows`; *asked* pipes are those that the
drawn stops ask at the keys that open, couplers included):

- a note that *speaks*: every pipe of it is loud (pipes known to be missing aside);
- a note that is *silent*: every pipe of it is at level none. Who names a note has listened
  for it, so a faint sound there contradicts;
- a *weak* note clears nothing and condemns nothing, and its pipes count as named;
- an `extra` sound: the pipe is loud or faint as its strength says, either if none is said;
- `extra` given, even empty: no other pipe is *loud*. A faint sound elsewhere may go unheard
  beside what plays, so silence acquits no slight leak, run or back-leak: a predicted
  faint sound contradicts only where its note is named as silent;
- without `extra`, and for whatever is not listed: nothing was observed.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, NamedTuple

from inventory.organ.errors import SchemeError
from inventory.organ.json_text import (
    optional,
    read_choice,
    read_id,
    read_json,
    read_list,
    read_number,
    read_object,
    required,
    shown,
)
from inventory.organ.nets import FAINT, LOUD, NONE, Key, Net, Space, Touch
from inventory.organ.schemes import Scheme
from inventory.organ.sentences import say
from inventory.organ.sounding import press_keys, refuse_excluded

MOST_TRIALS = 20_000
MOST_HEARD = 4_000


class Heard(NamedTuple):
    """A note listened for: the stop, the key of its keyboard, ``speaks``, ``weak`` or ``silent``."""

    stop: str
    key: int
    manner: str


class Extra(NamedTuple):
    """A pipe that sounded though nobody asked it; strength ``loud``, ``faint`` or None when not said."""

    rank: str
    pipe: int
    strength: str | None = None


@dataclass(frozen=True)
class Trial:
    """One trial at the keys."""

    drawn: frozenset[str] = frozenset()
    """Stops and couplers."""
    keys: frozenset[Key] = frozenset()
    """Keys held; none is a trial too."""
    heard: tuple[Heard, ...] = ()
    extra: tuple[Extra, ...] | None = None
    """None when nobody listened for anything else; empty when nothing else sounded."""


def read_trials(content: bytes | str | list[Any], scheme: Scheme) -> tuple[tuple[Trial, ...], list[str]]:
    """Read trials of a scheme, from JSON or from a document already parsed.

    Returns the trials, and notes about fields nobody knows. Raises SchemeError, on one
    line with place and remedy, for unknown ids, keys outside the keyboard, wrong types.

    >>> from inventory.organ.schemes import Keyboard, Stop
    >>> scheme = Scheme((Keyboard("I", (36,)),), (), (Stop("A", "I", "Flute"),), ())
    >>> text = '[{"stops": ["A"], "keys": [], "heard": [], "extra": []}]'
    >>> read_trials(text, scheme)[0]
    (Trial(drawn=frozenset({'A'}), keys=frozenset(), heard=(), extra=()),)
    """
    notes: list[str] = []
    document = read_json(content) if isinstance(content, bytes | str) else content
    members = read_list(document, "the file", MOST_TRIALS)
    return tuple(_read_trial(value, f"trials[{n}]", scheme, notes) for n, value in enumerate(members)), notes


def _read_trial(value: Any, place: str, scheme: Scheme, notes: list[str]) -> Trial:
    fields = read_object(value, place, ("stops", "keys", "heard", "extra"), notes)
    stops = read_list(required(fields, "stops", place), f"{place}.stops", 2000)
    keys = read_list(required(fields, "keys", place), f"{place}.keys", 1000)
    heard = read_list(required(fields, "heard", place), f"{place}.heard", MOST_HEARD)
    extra = fields.get("extra")
    drawable = {stop.id for stop in scheme.stops} | {coupler.id for coupler in scheme.couplers}
    drawn = frozenset(
        _known(s, f"{place}.stops[{n}]", drawable, "stop or coupler") for n, s in enumerate(stops)
    )
    try:
        refuse_excluded(scheme, drawn)
    except SchemeError as error:
        raise SchemeError(str(error).removeprefix("stops: "), f"{place}.stops") from None
    return Trial(
        drawn,
        frozenset(_read_key(k, f"{place}.keys[{n}]", scheme, notes) for n, k in enumerate(keys)),
        tuple(_read_heard(h, f"{place}.heard[{n}]", scheme, notes) for n, h in enumerate(heard)),
        None
        if extra is None
        else tuple(
            _read_extra(e, f"{place}.extra[{n}]", scheme, notes)
            for n, e in enumerate(read_list(extra, f"{place}.extra", MOST_HEARD))
        ),
    )


def _known(value: Any, place: str, known: set[str] | Mapping[str, Any], what: str) -> str:
    one = read_id(value, place)
    if one not in known:
        raise SchemeError(
            say("the scheme has no %(what)s %(one)s: correct the id", what=what, one=shown(one)), place
        )
    return one


def _read_key(value: Any, place: str, scheme: Scheme, notes: list[str]) -> Key:
    fields = read_object(value, place, ("keyboard", "key"), notes)
    name = _known(required(fields, "keyboard", place), f"{place}.keyboard", scheme.keyboard, "keyboard")
    most = scheme.keyboard[name].keys
    return name, read_number(required(fields, "key", place), f"{place}.key", 1, most)


def _read_heard(value: Any, place: str, scheme: Scheme, notes: list[str]) -> Heard:
    fields = read_object(value, place, ("stop", "key", "as"), notes)
    stop = _known(required(fields, "stop", place), f"{place}.stop", scheme.stop, "stop")
    most = scheme.keyboard_of(stop).channels
    key = read_number(required(fields, "key", place), f"{place}.key", 1, most)
    manner = read_choice(required(fields, "as", place), f"{place}.as", ("speaks", "weak", "silent"))
    return Heard(stop, key, manner)


def _read_extra(value: Any, place: str, scheme: Scheme, notes: list[str]) -> Extra:
    fields = read_object(value, place, ("rank", "pipe", "strength"), notes)
    rank = _known(required(fields, "rank", place), f"{place}.rank", scheme.rank, "rank")
    recorded = scheme.rank[rank].pipes
    pipe = read_number(
        required(fields, "pipe", place), f"{place}.pipe", 1, 1000 if recorded is None else recorded
    )
    return Extra(
        rank, pipe, optional(fields, "strength", place, lambda v, p: read_choice(v, p, ("loud", "faint")))
    )


@dataclass(frozen=True)
class Bounds:
    """What one trial says of the levels of pipes."""

    touches: frozenset[Touch]
    least: Mapping[Space, int]
    most: Mapping[Space, int]
    quiet: bool
    """Whether no pipe outside `named` was loud."""
    named: frozenset[Space] = frozenset()
    """Pipes asked, listened for or reported."""
    asked: frozenset[Space] = frozenset()
    """Pipes the player asked."""

    @property
    def contradicts_itself(self) -> bool:
        """Whether one pipe is said to be both louder and softer than it is."""
        return any(least > self.most.get(pipe, LOUD) for pipe, least in self.least.items())


def touches_of(scheme: Scheme, drawn: frozenset[str], keys: frozenset[Key]) -> frozenset[Touch]:
    """Everything a player's hands open: stops drawn, and channels opened directly or by couplers.

    >>> from inventory.organ.schemes import Keyboard
    >>> sorted(touches_of(Scheme((Keyboard("I", (36,)),), (), (), ()), frozenset(), frozenset({("I", 1)})))
    [('I', 1)]
    """
    stops = frozenset(stop for stop in drawn if stop in scheme.stop)
    return frozenset[Touch](stops) | press_keys(scheme, drawn - stops, keys)


def bounds_of(scheme: Scheme, net: Net, trial: Trial) -> Bounds:
    """What a trial says, by the rules at the head of this module.

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> from inventory.organ.valves_needed import net_of
    >>> scheme = Scheme((Keyboard("I", (36,)),), (Rank("R", 1),), (Stop("A", "I", "Flute"),),
    ...                 (Segment("A", (1, 1), "R", shift=0),))
    >>> trial = Trial(frozenset({"A"}), frozenset({("I", 1)}), (Heard("A", 1, "silent"),))
    >>> bounds_of(scheme, net_of(scheme), trial).most
    {'pipe:R:1': 0}
    """
    touches = touches_of(scheme, trial.drawn, trial.keys)
    least: dict[Space, int] = {}
    most: dict[Space, int] = {}
    named: set[Space] = set()
    for stop, key, manner in trial.heard:
        pipes = net.calls.get((stop, key), ())
        named.update(pipes)
        if manner == "speaks":
            standing = [pipe for pipe in pipes if pipe not in net.missing]
            # A note that speaks though no pipe stands for it contradicts the scheme.
            for pipe in standing or pipes or (f"pipe of {stop} at key {key}",):
                least[pipe] = LOUD
        elif manner == "silent":
            most.update(dict.fromkeys(pipes, NONE))
    for rank, number, strength in trial.extra or ():
        pipe = f"pipe:{rank}:{number}"
        named.add(pipe)
        least[pipe] = max(least.get(pipe, NONE), LOUD if strength == "loud" else FAINT)
        if strength == "faint":
            most[pipe] = min(most.get(pipe, LOUD), FAINT)
    asked = frozenset(pipe for call in _calls_made(scheme, touches) for pipe in net.calls.get(call, ()))
    return Bounds(touches, least, most, trial.extra is not None, asked | named, asked)


def _calls_made(scheme: Scheme, touches: frozenset[Touch]) -> list[tuple[str, int]]:
    stops = [touch for touch in touches if isinstance(touch, str)]
    keys = [touch for touch in touches if not isinstance(touch, str)]
    return [(stop, key) for stop in stops for name, key in keys if scheme.stop[stop].keyboard == name]
