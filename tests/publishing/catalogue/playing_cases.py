"""The one table of cases for the player: schemes, what is drawn and held, what is held open, what sounds.

Every expectation is computed by the pure core (`sounding`, `flows`), which has tests of its own
against published values; the browser test holds the page's functions to them, pipe by pipe.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any

from inventory.organ.flows import Flows
from inventory.organ.nets import Failure, Net, possible_failures
from inventory.organ.schemes import (
    Chest,
    Control,
    Coupler,
    Keyboard,
    Rank,
    Scheme,
    Segment,
    Stop,
)
from inventory.organ.sounding import Channel, sound
from inventory.organ.trials import touches_of
from inventory.organ.valves_needed import net_of

SHORT = (36, 41, 38, 43, 40, 45, 46, 47)
"""A short octave C/E: keys E F F# G G# A Bb B sound C F D G E A Bb B."""


@dataclass(frozen=True)
class Case:
    """One thing to play, and what must come of it."""

    scheme: str
    drawn: tuple[str, ...]
    held: tuple[Channel, ...]
    failures: tuple[Failure, ...] = ()
    expected: dict[str, Any] = field(default_factory=dict)

    def as_document(self) -> dict[str, Any]:
        """The case as the page takes it."""
        return {
            "scheme": self.scheme,
            "drawn": list(self.drawn),
            "held": [f"{keyboard}:{key}" for keyboard, key in self.held],
            "failures": [{"part": one.part, "fails": one.fails} for one in self.failures],
        }


def _board(name: str, keys: int, low: int = 36, kind: str = "manual", reach: int = 0) -> Keyboard:
    return Keyboard(name, tuple(range(low, low + keys)), kind, reach)


def _row(name: str, pipes: int, low: int, **more: Any) -> Rank:
    return Rank(name, pipes, tuple(range(low, low + pipes)), low=low, **more)


def hand_made_schemes() -> dict[str, Scheme]:
    """One scheme for every way the rules can bend."""
    one = (_board("I", 25),)
    two_pitches = (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4"))
    octave = (Segment("a", (1, 25), "r", interval=0), Segment("b", (1, 25), "r", interval=12))
    flapped = tuple(
        Segment(s.stop, s.keys, s.rank, interval=s.interval, device="flap-valves") for s in octave
    )
    pair = (_board("I", 25), _board("II", 25, reach=12), _board("P", 13, kind="pedal"))
    spread = (Stop("a", "I", "Flute", "8"), Stop("b", "II", "Flute", "8"), Stop("c", "P", "Bass", "16"))
    across = (
        Segment("a", (1, 25), "r", interval=0), Segment("b", (1, 37), "r", interval=0),
        Segment("c", (1, 13), "low", interval=-12), Segment("c", (1, 13), "r", interval=0),
    )  # fmt: skip
    rows = (_row("r", 37, 36), _row("low", 13, 24))
    polyphone = Rank("r", 3, (36, 38, 40), tones={1: (36, 37), 2: (38, 39), 3: (40, 41)})
    chain = (Coupler("I-II", "I", "II", 0), Coupler("P-I", "P", "I", 12), Coupler("II-I", "II", "I", -12))
    return {
        "octave extension": Scheme(one, (_row("r", 37, 36),), two_pitches, flapped),
        "no flaps recorded": Scheme(one, (_row("r", 37, 36),), two_pitches, octave),
        "row too short": Scheme(one, (_row("r", 30, 36, missing=frozenset({5, 17})),), two_pitches, octave),
        "keys move": Scheme(pair, rows, spread, across, couplers=chain),
        "channels move": Scheme(
            pair, rows, spread, across,
            couplers=(
                Coupler("I-II", "I", "II", 0, "channel"), Coupler("P-I", "P", "I", 12, "key", True),
                Coupler("II-II", "II", "II", 12, "channel"), Coupler("II-II-16", "II", "II", -12),
            ),
        ),
        "reach": Scheme(
            pair, rows, spread, across, couplers=(Coupler("up", "I", "II", 12), Coupler("II-I", "II", "I", 0))
        ),
        "controls": Scheme(
            one, (_row("r", 37, 36),), (*two_pitches, Stop("c", "I", "Flute", "8"), Stop("d", "I", "Gone", "8", state="missing")),
            (*flapped, Segment("c", (13, 25), "r", shift=0), Segment("d", (1, 25), "r", shift=0)),
            controls=(Control("k", (("a",), ("b", "c"), ())), Control("d", (("d",),))),
        ),
        "polyphone": Scheme((_board("P", 6, kind="pedal"),), (polyphone,), (Stop("a", "P", "Bass", "8"), Stop("b", "P", "Bass", "8")),
            (Segment("a", (1, 6), "r", interval=0), Segment("b", (1, 4), "r", interval=0))),
        "short octave": Scheme((Keyboard("I", SHORT + tuple(range(48, 61))),), (Rank("r", 33, SHORT[:1] + tuple(range(37, 69))),), two_pitches,
            (Segment("a", (1, 21), "r", interval=0), Segment("b", (1, 21), "r", interval=12))),
        "pitch unknown": Scheme(one, (Rank("r", None),), two_pitches, (Segment("a", (1, 25), "r", shift=0), Segment("b", (1, 25), "r", shift=12))),
        "mixture of listed pipes": Scheme(one, (_row("r", 60, 36),), two_pitches, (
            Segment("a", (1, 12), "r", pipes=tuple(range(1, 24, 2))), Segment("a", (1, 12), "r", pipes=tuple(range(2, 25, 2))),
            Segment("a", (13, 25), "r", shift=12), Segment("b", (1, 25), "r", shift=0))),
        "cones": Scheme(one, (_row("r", 37, 36),), two_pitches, octave, chests=(Chest("c", "stop channel", ("a", "b")),)),
        "cones with second cones": Scheme(one, (_row("r", 37, 36),), two_pitches,
            tuple(Segment(s.stop, s.keys, s.rank, interval=s.interval, device="second-cone") for s in octave),
            chests=(Chest("c", "stop channel", ("a", "b")),)),
        "unit": Scheme((*one, _board("P", 13, kind="pedal")), (_row("r", 49, 24),), (*two_pitches, Stop("c", "P", "Bass", "16")),
            (*octave, Segment("c", (1, 13), "r", interval=-12)), chests=(Chest("c", "unit", ("a", "b", "c")),),
            couplers=(Coupler("I-P", "P", "I", 0),)),
        "spring": Scheme(one, (_row("r", 37, 36),), two_pitches, octave, chests=(Chest("c", "spring", ("a", "b")),)),
        "double pallet": Scheme(pair[:2], (_row("r", 25, 36),), spread[:2],
            (Segment("a", (1, 25), "r", interval=0, device="double-pallet"), Segment("b", (1, 25), "r", interval=0, device="double-pallet"))),
    }  # fmt: skip


def playable_draws(scheme: Scheme, chance: random.Random) -> tuple[str, ...]:
    """A handful of stops and couplers that no control forbids together."""
    wanted = [s.id for s in scheme.stops] + [c.id for c in scheme.couplers]
    drawn: list[str] = []
    for one in chance.sample(wanted, min(len(wanted), chance.randint(1, 5))):
        for control in scheme.controls:
            of_control = {stop for position in control.positions for stop in position}
            together = of_control.intersection([*drawn, one])
            if together and not any(together <= set(position) for position in control.positions):
                break
        else:
            drawn.append(one)
    return tuple(drawn)


def make_cases(schemes: dict[str, Scheme], each: int = 8, faults: int = 5, seed: int = 5) -> Iterator[Case]:
    """For every scheme some registrations with keys, and some with one or two things that fail."""
    for name, scheme in schemes.items():
        chance = random.Random(f"{seed} {name}")
        net = net_of(scheme)
        flows = Flows(net)
        keys = [(board.id, key) for board in scheme.keyboards for key in range(1, board.keys + 1)]
        flaps = [
            one for one in possible_failures(net) if one.part.startswith("valve:") and one.fails == "open"
        ]
        others = list(possible_failures(net))
        for number in range(each + faults):
            drawn = playable_draws(scheme, chance)
            held = tuple(chance.sample(keys, min(len(keys), chance.randint(0 if number else 2, 5))))
            failures: tuple[Failure, ...] = ()
            if number >= each and others:
                # Flaps first, since the page shows them; the other faults keep the propagation honest.
                failures = (chance.choice(flaps if flaps and number % 2 else others),)
                if number % 3 == 0:
                    failures = (*failures, chance.choice([o for o in others if o.part != failures[0].part]))
                if failures[0].part.startswith("valve:"):
                    drawn, held = _about_the_flap(scheme, net, failures[0], drawn, chance)
            yield expect(scheme, flows, Case(name, drawn, held, failures))


def _about_the_flap(
    scheme: Scheme, net: Net, failure: Failure, drawn: tuple[str, ...], chance: random.Random
) -> tuple[tuple[str, ...], tuple[Channel, ...]]:
    """Draws and keys near a flap, so that most of these cases do murmur."""
    _valve, stop, key = failure.part.split(":")
    pipes = set(net.calls[stop, int(key)])
    callers = [at for at, asked in net.calls.items() if pipes & set(asked) and at != (stop, int(key))]
    other, other_key = chance.choice(callers) if callers else (stop, int(key))
    stops = list(dict.fromkeys([stop, other, *[one for one in drawn if one in scheme.stop][:1]]))
    for control in scheme.controls:
        of_control = {s for position in control.positions for s in position}
        if not any(of_control.intersection(stops) <= set(position) for position in control.positions):
            stops = [other]
    board = scheme.stop[other].keyboard
    if other_key > scheme.keyboard[board].keys:
        return tuple(stops), ()
    return tuple(stops), ((board, other_key),)


def expect(scheme: Scheme, flows: Flows, case: Case) -> Case:
    """The case with what the pure core says of it."""
    heard = sound(scheme, case.drawn, case.held)
    touches = touches_of(scheme, frozenset(case.drawn), frozenset(case.held))
    levels, _came = flows.spread(touches, flows.changes(case.failures))
    expected = {
        "calls": heard.calls,
        "coincide": heard.coincide,
        "apart": heard.cannot_sound_together,
        "channels": sorted(f"{keyboard}:{key}" for keyboard, key in heard.channels),
        "pipes": [
            [f"{rank}:{pipe}", [[call.stop, call.key] for call in calls]]
            for (rank, pipe), calls in heard.pipes.items()
        ],
        "levels": sorted(
            [space.removeprefix("pipe:"), level]
            for space, level in levels.items()
            if space.startswith("pipe:") and space not in flows.net.missing
        ),
    }
    return Case(case.scheme, case.drawn, case.held, case.failures, expected)


__all__ = ["Case", "expect", "hand_made_schemes", "make_cases", "playable_draws"]
