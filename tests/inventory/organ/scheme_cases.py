"""Schemes for tests: small builders by hand, and a hypothesis generator of ugly ones.

The generator's shares (foldback, gaps, short octaves, pipes outside the rank: at least a
tenth of the cases each) are checked in test_sums.py with `features_of`.
"""

from __future__ import annotations

import random

from hypothesis import strategies as st

from inventory.organ.footages import interval_of, read_footage
from inventory.organ.schemes import (
    Chest,
    Control,
    Coupler,
    Keyboard,
    Rank,
    Scheme,
    Segment,
    Stop,
    asked_pipes,
)

SHORT_OCTAVE = (36, 41, 38, 43, 40, 45, 46, 47)
"""Keys E F F# G G# A Bb B of a C/E short octave sound C F D G E A Bb B (values.md §2, SEEN)."""


def full_keyboard(
    name: str = "I", keys: int = 61, low: int = 36, kind: str = "manual", reach: int = 0
) -> Keyboard:
    """A keyboard without gaps."""
    return Keyboard(name, tuple(range(low, low + keys)), kind, reach)


def short_keyboard(name: str = "I", top: int = 84) -> Keyboard:
    """A C/E keyboard up to a top note: 45 keys to c3."""
    return Keyboard(name, SHORT_OCTAVE + tuple(range(48, top + 1)))


def full_rank(name: str = "R", pipes: int = 61, low: int = 36) -> Rank:
    """A rank without gaps whose pitch is known."""
    return Rank(name, pipes, tuple(range(low, low + pipes)))


def unit(keys: int, footages: list[str], pipes: int | None = None, **more: object) -> Scheme:
    """One rank drawn at several footages on one full keyboard, by interval.

    Without `pipes`, as many as the extension rule asks: keys + highest − lowest offset.
    """
    offsets = [interval_of(read_footage(f)) for f in footages]
    count = keys + max(offsets) - min(offsets) if pipes is None else pipes
    return Scheme(
        (full_keyboard(keys=keys),),
        (full_rank("R", count, 36 + min(offsets)),),
        tuple(Stop(f"s{n}", "I", f"Flute {f}", f) for n, f in enumerate(footages)),
        tuple(Segment(f"s{n}", (1, keys), "R", interval=o) for n, o in enumerate(offsets)),
        **more,  # type: ignore[arg-type]
    )


def features_of(scheme: Scheme) -> set[str]:
    """What makes a scheme ugly: foldback, gaps, mixtures, short octave, outside the rank."""
    found: set[str] = set()
    for keyboard in scheme.keyboards:
        if any(b < a for a, b in zip(keyboard.notes, keyboard.notes[1:], strict=False)):
            found.add("short octave")
        elif keyboard.has_gaps:
            found.add("gaps")
    if any(rank.has_gaps for rank in scheme.ranks):
        found.add("gaps")
    asked_by: dict[tuple[str, str, int], int] = {}
    on_key: dict[tuple[str, int], set[tuple[str, int]]] = {}
    for segment in scheme.segments:
        for key, pipe in asked_pipes(scheme, segment):
            if pipe is None or not scheme.rank[segment.rank].exists(pipe):
                found.add("outside rank")
                continue
            on_key.setdefault((segment.stop, key), set()).add((segment.rank, pipe))
            if len(on_key[segment.stop, key]) > 1:
                found.add("mixture")
            if asked_by.setdefault((segment.stop, segment.rank, pipe), key) != key:
                found.add("foldback")
    return found


@st.composite
def schemes(draw: st.DrawFn) -> Scheme:
    """Small schemes of every kind, with two keyboards of different lowest note among them."""
    seed = draw(st.integers(0, 2**32 - 1))
    return random_scheme(random.Random(seed))


def random_scheme(rng: random.Random) -> Scheme:
    """One small scheme; the same generator state gives the same scheme."""
    keyboards = [_random_keyboard(rng, "I", "manual")]
    if rng.random() < 0.5:
        keyboards.append(_random_keyboard(rng, "II", "manual"))
    if rng.random() < 0.5:
        keyboards.append(_random_keyboard(rng, "P", "pedal"))
    ranks = [_random_rank(rng, f"R{n}") for n in range(rng.randint(1, 3))]
    stops: list[Stop] = []
    segments: list[Segment] = []
    for n in range(rng.randint(1, 6)):
        keyboard = rng.choice(keyboards)
        footage = rng.choice(["32", "16", "10 2/3", "8", "8", "4", "4", "2 2/3", "2", "1 3/5", None])
        limited = rng.random() < 0.2
        limits = _random_span(rng, keyboard.keys) if limited else None
        state = rng.choices(["present", "prepared", "missing", "silenced"], [20, 1, 1, 1])[0]
        stops.append(Stop(f"s{n}", keyboard.id, f"Stop {n}", footage, limits, state))
        interval = 0 if footage is None else interval_of(read_footage(footage))
        segments += _random_segments(rng, f"s{n}", keyboard, rng.choice(ranks), interval, limits)
        if footage is None or rng.random() < 0.05:  # a mixture: a second row, or the same one higher up
            segments += _random_segments(rng, f"s{n}", keyboard, rng.choice(ranks), interval + 7, limits)
    controls = ()
    if len(stops) > 2 and rng.random() < 0.3:
        controls = (Control("knob", ((stops[0].id,), (stops[1].id,))),)
    couplers = tuple(
        Coupler(
            f"c{n}",
            rng.choice(keyboards).id,
            rng.choice(keyboards).id,
            rng.choice([-12, 0, 0, 12]),
            rng.choice(["key", "channel"]),
            rng.random() < 0.2,
        )
        for n in range(rng.randint(0, 3))
    )
    chests = ()
    if rng.random() < 0.4:
        kind = rng.choice(["slider", "spring", "stop channel", "unit"])
        chests = (Chest("chest", kind, tuple(s.id for s in stops)),)
    return Scheme(tuple(keyboards), tuple(ranks), tuple(stops), tuple(segments), controls, chests, couplers)


def _random_span(rng: random.Random, keys: int) -> tuple[int, int]:
    first = rng.randint(1, keys)
    return first, rng.randint(first, keys)


def _random_keyboard(rng: random.Random, name: str, kind: str) -> Keyboard:
    reach = rng.choice([0, 0, 5])
    form = rng.random()
    if form < 0.2:
        return Keyboard(name, SHORT_OCTAVE + tuple(range(48, 48 + rng.randint(1, 16))), kind, reach)
    notes = list(range(low := rng.choice([24, 36, 36, 41]), low + rng.randint(5, 25)))
    if form < 0.4:
        del notes[rng.randrange(1, len(notes) - 1)]
    return Keyboard(name, tuple(notes), kind, reach)


def _random_rank(rng: random.Random, name: str) -> Rank:
    pipes = rng.randint(5, 40)
    low = rng.choice([24, 36, 36, 48])
    form = rng.random()
    if form < 0.1:
        return Rank(name, None, low=rng.choice([None, low]))
    if form < 0.2:
        return Rank(name, pipes)
    notes = list(range(low, low + pipes))
    if form < 0.4:
        del notes[rng.randrange(1, pipes - 1)]
    tones = {1: (notes[0], notes[0] + 1)} if form > 0.9 else {}
    missing = frozenset({rng.randint(1, len(notes))}) if rng.random() < 0.1 else frozenset()
    return Rank(name, len(notes), tuple(notes), missing=missing, tones=tones)


def _random_segments(
    rng: random.Random,
    stop: str,
    keyboard: Keyboard,
    rank: Rank,
    interval: int,
    limits: tuple[int, int] | None,
) -> list[Segment]:
    first, last = limits or (1, keyboard.keys)
    device = rng.choice([None, None, "flap-valves", "grooved-upperboard", "stop-relay"])
    pitched = rank.notes is not None or rank.low is not None

    def segment(first: int, last: int, fall: int) -> Segment:
        if rng.random() < 0.15:
            pipes = tuple(rng.randint(1, 30) for _ in range(first, last + 1))
            return Segment(stop, (first, last), rank.id, pipes=pipes, device=device)
        if pitched and rng.random() < 0.7:
            return Segment(stop, (first, last), rank.id, interval=interval - fall, device=device)
        return Segment(stop, (first, last), rank.id, shift=interval % 24 - fall, device=device)

    if last - first > 2 and rng.random() < 0.4:
        turn = rng.randint(first + 1, last)
        return [segment(first, turn - 1, 0), segment(turn, last, 12)]
    if limits is None and keyboard.reach and rng.random() < 0.5:
        last += keyboard.reach
    return [segment(first, last, 0)]
