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
from inventory.organ.schemes import Scheme
from inventory.organ.sounding import Channel, sound
from inventory.organ.trials import touches_of
from inventory.organ.valves_needed import net_of


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
