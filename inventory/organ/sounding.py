"""What sounds: stops and couplers drawn, keys held, and the pipes that answer.

Couplers (DESIGN §4): each takes a key of its `origin` to the key with its note + shift on
its `target`. One that moves the *key* is followed by the couplers of the target; one that
moves the *channel* is not. None acts twice in a chain; a key pressed two ways is pressed
once. A channel beyond the last key (`reach`) answers, but no key lies there, so no coupler
goes on from it. Permanent couplers (`always`) act undrawn.

Stops that are missing, silenced or only prepared do not sound, nor do missing pipes: the
scheme still calls them, and `evaluate_scheme` counts them.
"""

from __future__ import annotations

from collections import defaultdict, deque
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass

from inventory.organ.calls import Pipe, tone_asked
from inventory.organ.errors import SchemeError
from inventory.organ.json_text import shown
from inventory.organ.schemes import Call, Coupler, Scheme, asked_pipes
from inventory.organ.sentences import say

Channel = tuple[str, int]
"""Keyboard id and number of the key or channel, from 1."""

MOST_CHAINS = 5_000
"""Far above what real couplers make, low enough to be refused in a blink."""


@dataclass(frozen=True)
class Sound:
    """What speaks for one registration and one handful of keys."""

    pipes: Mapping[Pipe, tuple[Call, ...]]
    """Every pipe that sounds, with its calls; ranks in the order of the scheme, pipes rising."""
    coincide: int
    """Calls − (pipe, note) pairs: calls that find their pipe already speaking the same note."""
    cannot_sound_together: int
    """Pairs of different notes asked of one polyphone pipe."""
    channels: frozenset[Channel]
    """Every key and channel that is pressed, by hand or by coupler."""

    @property
    def calls(self) -> int:
        """Number of calls."""
        return sum(len(calls) for calls in self.pipes.values())


def refuse_excluded(scheme: Scheme, drawn: Collection[str]) -> None:
    """Refuse stops that no single position of their control draws together.

    >>> from inventory.organ.schemes import Control
    >>> knob = Control("turn", (("a",), ("b",)))
    >>> refuse_excluded(Scheme((), (), (), (), (knob,)), ["a"])
    """
    for control in scheme.controls:
        of_control = {stop for position in control.positions for stop in position}
        wanted = of_control.intersection(drawn)
        if wanted and not any(wanted <= set(position) for position in control.positions):
            names = ", ".join(sorted(wanted))
            raise SchemeError(
                say(
                    "%(names)s are different positions of the control %(control)s and exclude each other: draw those "
                    "of one position",
                    names=names,
                    control=shown(control.id),
                ),
                "stops",
            )


def press_keys(scheme: Scheme, drawn: Collection[str], held: Iterable[Channel]) -> frozenset[Channel]:
    """Every key and channel pressed when keys are held with couplers drawn.

    Raises SchemeError for a keyboard or key that is not there, and for couplers so many
    that their chains cannot be followed.

    >>> from inventory.organ.schemes import Keyboard
    >>> scheme = Scheme((Keyboard("I", (36, 37)), Keyboard("II", (36, 37))), (), (), (),
    ...                 couplers=(Coupler("II-I", "I", "II", 0),))
    >>> sorted(press_keys(scheme, ["II-I"], [("I", 2)]))
    [('I', 2), ('II', 2)]
    """
    by_origin: dict[str, list[Coupler]] = defaultdict(list)
    for coupler in scheme.couplers:
        if coupler.always or coupler.id in drawn:
            by_origin[coupler.origin].append(coupler)
    pressed: set[Channel] = set()
    # A key reached by a chain matters again only if some coupler is still free that was spent before.
    spent: dict[Channel, list[frozenset[str]]] = defaultdict(list)
    waiting: deque[tuple[Channel, frozenset[str]]] = deque()
    for keyboard, key in held:
        if keyboard not in scheme.keyboard:
            raise SchemeError(
                say("no keyboard has the id %(keyboard)s: correct it", keyboard=shown(keyboard)), "keys"
            )
        if not 1 <= key <= scheme.keyboard[keyboard].keys:
            most = scheme.keyboard[keyboard].keys
            raise SchemeError(
                say(
                    "key %(key)s is outside 1 to %(most)s of keyboard %(keyboard)s: correct it",
                    key=key,
                    most=most,
                    keyboard=keyboard,
                ),
                "keys",
            )
        waiting.append(((keyboard, key), frozenset()))
    steps = 0
    while waiting:
        (keyboard, key), used = waiting.popleft()
        if any(before <= used for before in spent[keyboard, key]):
            continue
        steps += 1
        if steps > MOST_CHAINS:
            raise SchemeError(
                say(
                    "couplers chain more than %(most_chains)s times: draw fewer of them",
                    most_chains=MOST_CHAINS,
                ),
                "couplers",
            )
        spent[keyboard, key].append(used)
        pressed.add((keyboard, key))
        note = scheme.keyboard[keyboard].notes[key - 1]
        for coupler in by_origin[keyboard]:
            target = scheme.keyboard[coupler.target]
            reached = target.key_at_note.get(note + coupler.shift)
            if coupler.id in used or reached is None:
                continue
            if coupler.moves == "channel" or reached > target.keys:
                pressed.add((target.id, reached))
            else:
                waiting.append(((target.id, reached), used | {coupler.id}))
    return frozenset(pressed)


def sound(scheme: Scheme, drawn: Collection[str], held: Iterable[Channel]) -> Sound:
    """What sounds when `drawn` (ids of stops and couplers) is drawn and `held` keys are down.

    Raises SchemeError for ids and keys that are not there, and for stops that exclude
    each other. c¹ and c² on 8′ + 4′ of one rank (Grove, "Extension organ": three pipes, not four):

    >>> from inventory.organ.schemes import Keyboard, Rank, Segment, Stop
    >>> scheme = Scheme((Keyboard("I", tuple(range(36, 97))),), (Rank("r", 73, tuple(range(36, 109))),),
    ...                 (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4")),
    ...                 (Segment("a", (1, 61), "r", interval=0), Segment("b", (1, 61), "r", interval=12)))
    >>> heard = sound(scheme, ["a", "b"], [("I", 25), ("I", 37)])
    >>> heard.calls, len(heard.pipes), heard.coincide
    (4, 3, 1)
    """
    known = set(scheme.stop) | {coupler.id for coupler in scheme.couplers}
    for one in drawn:
        if one not in known:
            raise SchemeError(
                say("no stop or coupler has the id %(one)s: correct it", one=shown(one)), "stops"
            )
    refuse_excluded(scheme, drawn)
    channels = press_keys(scheme, drawn, held)
    asked: dict[Pipe, dict[Call, int | None]] = {}
    for segment in scheme.segments:
        stop = scheme.stop[segment.stop]
        if stop.id not in drawn or stop.state != "present":
            continue
        rank, keyboard = scheme.rank[segment.rank], scheme.keyboard[stop.keyboard]
        for key, pipe in asked_pipes(scheme, segment):
            if (keyboard.id, key) not in channels or pipe is None:
                continue
            if rank.exists(pipe) and pipe not in rank.missing:
                tone = tone_asked(scheme, segment, rank, keyboard.channel_notes[key - 1], pipe)
                asked.setdefault((rank.id, pipe), {})[Call(stop.id, key, rank.id, pipe)] = tone
    place = {rank.id: n for n, rank in enumerate(scheme.ranks)}
    pipes = {pipe: tuple(sorted(asked[pipe])) for pipe in sorted(asked, key=lambda p: (place[p[0]], p[1]))}
    notes_asked = [len(set(tones.values())) for tones in asked.values()]
    calls = sum(len(found) for found in pipes.values())
    together = sum(n * (n - 1) // 2 for n in notes_asked)
    return Sound(pipes, calls - sum(notes_asked), together, channels)
