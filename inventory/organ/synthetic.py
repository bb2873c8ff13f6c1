"""Made-up organs from a seed: one scheme, many instruments with names, or a collection as columns.

Nothing here is real, and nothing is a statistic of real organs: the shares below are
chosen so that every way of sharing, and every irregularity, turns up often enough to be
tested and measured. The same seed gives the same organs.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from inventory.organ.errors import SchemeError
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop

Choice = TypeVar("Choice")

UNIFIED_SHARE = 0.2
"""Share of made-up instruments whose stops share pipes by design."""
_COMPASSES = (49, 51, 54, 56, 58, 61)
_SHORT_OCTAVE = (36, 41, 38, 43, 40, 45)  # C/E: the keys E F F# G G# A sound C F D G E A
_VOICES = (
    ("Principal", "8"), ("Gedackt", "8"), ("Viol", "8"), ("Flute", "8"), ("Bourdon", "16"), ("Octave", "4"),
    ("Flute", "4"), ("Twelfth", "2 2/3"), ("Fifteenth", "2"), ("Tierce", "1 3/5"), ("Trumpet", "8"),
    ("Salicional", "8"), ("Celeste", "8"), ("Quint", "1 1/3"), ("Bassoon", "16"),
)  # fmt: skip
_INTERVALS = {"16": -12, "8": 0, "4": 12, "2 2/3": 19, "2": 24, "1 3/5": 28, "1 1/3": 31}
_DEVICES = (None, "grooved-upperboard", "flap-valves", "double-pallet", "stop-relay")
_EVIDENCE = ("seen", "sounded", "source", "inferred", None)
_BEGINNINGS = (
    "Bra",
    "Cul",
    "Dov",
    "Ess",
    "Fal",
    "Gren",
    "Hul",
    "Ist",
    "Jor",
    "Kel",
    "Lum",
    "Mor",
    "Nev",
    "Orr",
)
_MIDDLES = ("a", "e", "i", "o", "u", "ava", "ero", "ilo", "onu", "ude")
_ENDINGS = (
    "bry",
    "dan",
    "fen",
    "gar",
    "hult",
    "lun",
    "mere",
    "nik",
    "rost",
    "sund",
    "tov",
    "vik",
    "wen",
    "zel",
)


@dataclass(frozen=True)
class SyntheticInstrument:
    """A made-up instrument with enough around its scheme to be stored as a record."""

    reference: str
    place: str
    building: str
    maker: str
    year: int
    date_text: str
    """The year as written on the record: sometimes uncertain, in EDTF (``1893~``, ``189X``)."""
    scheme: Scheme


def make_scheme(seed: int, unified: bool | None = None) -> Scheme:
    """Make up a scheme of about 20 stops; `unified` is left to chance (1 in 5) unless said.

    It may hold short octaves, gaps, foldbacks, mixtures, lists of pipes, half-stops, ranks
    too short or never counted, missing pipes, a polyphone bass, prepared stops, reach.

    >>> make_scheme(7) == make_scheme(7), make_scheme(7) == make_scheme(8)
    (True, False)
    """
    if seed < 0:
        raise SchemeError(f"seed {seed} is below 0; give a whole number from 0")
    draft = _Draft(np.random.default_rng(seed))
    _add_keyboards(draft)
    shares = draft.happens(UNIFIED_SHARE) if unified is None else unified
    for keyboard in tuple(draft.keyboards):
        for _ in range(draft.number(4, 7) if keyboard.kind == "pedal" else draft.number(6, 11)):
            if shares and draft.ranks and draft.happens(0.45):
                _add_borrower(draft, keyboard)
            elif draft.happens(0.12):
                _add_mixture(draft, keyboard)
            else:
                _add_own_stop(draft, keyboard)
    return Scheme(tuple(draft.keyboards), tuple(draft.ranks), tuple(draft.stops), tuple(draft.segments))


def make_instruments(number: int, seed: int) -> Iterator[SyntheticInstrument]:
    """Make up instruments with names, makers, dates and schemes, one after the other.

    Instrument n of a seed is the same however many are asked for.

    >>> [i.reference for i in make_instruments(2, seed=1)]
    ['SYN-000001', 'SYN-000002']
    """
    makers = [_name(np.random.default_rng([seed, 1, m])) for m in range(40)]
    for place in range(number):
        random = np.random.default_rng([seed, 2, place])
        year = int(random.integers(1690, 1940))
        written = (str(year), f"{year}~", f"{year // 10}X", f"{year}?")[int(random.integers(4))]
        yield SyntheticInstrument(
            reference=f"SYN-{place + 1:06d}",
            place=_name(random),
            building=("Old Chapel", "Hill Church", "Harbour Church", "Concert Room")[int(random.integers(4))],
            maker=f"{makers[int(random.integers(len(makers)))]} & {('Sons', 'Daughter', 'Pupils')[place % 3]}",
            year=year,
            date_text=written,
            scheme=make_scheme(int(random.integers(1 << 32))),
        )


def _name(random: np.random.Generator) -> str:
    """A name from syllables."""
    return "".join(part[int(random.integers(len(part)))] for part in (_BEGINNINGS, _MIDDLES, _ENDINGS))


class _Draft:
    """A scheme on its way, with the dice."""

    def __init__(self, random: np.random.Generator) -> None:
        self.random = random
        self.keyboards: list[Keyboard] = []
        self.ranks: list[Rank] = []
        self.stops: list[Stop] = []
        self.segments: list[Segment] = []

    def happens(self, share: float) -> bool:
        """Whether something that happens in this share (0..1) of cases happens now."""
        return bool(self.random.random() < share)

    def number(self, least: int, most: int) -> int:
        """A whole number from least to most."""
        return int(self.random.integers(least, most + 1))

    def one_of(self, values: Sequence[Choice]) -> Choice:
        """One value, each as likely as the others."""
        return values[int(self.random.integers(len(values)))]

    def add_stop(
        self, keyboard: Keyboard, name: str, footage: str | None, share_of_keys: bool = True
    ) -> Stop:
        """A stop with the next free id; sometimes a half-stop or only prepared."""
        compass = None
        if share_of_keys and self.happens(0.06):
            half = keyboard.keys // 2
            compass = self.one_of([(1, half), (half + 1, keyboard.keys)])
        state = self.one_of(("prepared", "missing", "silenced")) if self.happens(0.03) else "present"
        stop = Stop(f"s{len(self.stops) + 1}", keyboard.id, name, footage, compass, state)
        self.stops.append(stop)
        return stop

    def add_rank(self, keyboard: Keyboard, interval: int, more: int = 0) -> Rank:
        """A rank for every note of a keyboard at an interval, with more pipes (or fewer) at the top."""
        notes = sorted(note + interval for note in set(keyboard.notes))
        top = notes[-1]
        notes = [*notes, *range(top + 1, top + 1 + more)] if more >= 0 else notes[:more]
        missing = frozenset({self.number(1, len(notes))}) if self.happens(0.05) else frozenset()
        if self.happens(0.04):  # nobody counted, nobody knows the top
            rank = Rank(f"r{len(self.ranks) + 1}", None, low=notes[0], missing=missing)
        else:
            rank = Rank(f"r{len(self.ranks) + 1}", len(notes), tuple(notes), missing=missing)
        self.ranks.append(rank)
        return rank

    def add_segment(self, stop: Stop, keys: tuple[int, int], rank: Rank, interval: int) -> None:
        """A segment at an interval, sometimes written as a list of pipes or as a shift."""
        keyboard = next(k for k in self.keyboards if k.id == stop.keyboard)
        first, last = keys
        device, evidence = self.one_of(_DEVICES), self.one_of(_EVIDENCE)
        if not keyboard.has_gaps and not rank.has_gaps and self.happens(0.3):
            base = rank.notes[0] if rank.notes else rank.low or 0
            shift = keyboard.notes[0] + interval - base
            self.segments.append(
                Segment(stop.id, keys, rank.id, shift=shift, device=device, evidence=evidence)
            )
            return
        pipes = [rank.pipe_for(note + interval) for note in keyboard.channel_notes[first - 1 : last]]
        if self.happens(0.1) and all(pipe is not None and pipe > 0 for pipe in pipes):
            listed = tuple(pipe for pipe in pipes if pipe is not None)
            self.segments.append(
                Segment(stop.id, keys, rank.id, pipes=listed, device=device, evidence=evidence)
            )
            return
        self.segments.append(
            Segment(stop.id, keys, rank.id, interval=interval, device=device, evidence=evidence)
        )


def _add_keyboards(draft: _Draft) -> None:
    """One to three manuals of one compass and mostly a pedal; some short octaves and missing notes."""
    keys = draft.one_of(_COMPASSES)
    top = 36 + keys
    if draft.happens(0.15):
        notes = (*_SHORT_OCTAVE, *range(46, top))
    elif draft.happens(0.15):
        notes = (36, *range(38, top))
    else:
        notes = tuple(range(36, top))
    reach = 12 if draft.happens(0.1) else 0
    for name in ("I", "II", "III")[: draft.number(1, 3)]:
        draft.keyboards.append(Keyboard(name, notes, reach=reach))
    if draft.happens(0.8):
        draft.keyboards.append(Keyboard("P", tuple(range(36, 36 + draft.one_of((25, 27, 30, 32)))), "pedal"))


def _add_own_stop(draft: _Draft, keyboard: Keyboard) -> None:
    """A stop on a rank of its own; sometimes the top octave repeats, or pipes are wanting."""
    name, footage = draft.one_of(_VOICES)
    stop = draft.add_stop(keyboard, name, footage)
    first, last = stop.keys or (1, keyboard.keys)
    interval = _INTERVALS[footage]
    if last == keyboard.keys and last - first > 24 and draft.happens(0.1):
        rank = draft.add_rank(keyboard, interval, more=-12)  # foldback on own pipes
        draft.add_segment(stop, (first, last - 12), rank, interval)
        draft.add_segment(stop, (last - 11, last), rank, interval - 12)
        return
    rank = draft.add_rank(keyboard, interval, more=-draft.number(1, 5) if draft.happens(0.06) else 0)
    if keyboard.kind == "pedal" and rank.notes and draft.happens(0.1):
        # One pipe for two neighbouring notes at the bottom.
        tones = {1: (rank.notes[0], rank.notes[0] + 1)}
        kept = (rank.notes[0], *rank.notes[2:])
        rank = Rank(rank.id, len(kept), kept, tones=tones)
        draft.ranks[-1] = rank
    # Keys wired beyond the keyboard are a mistake of the record that the sums must survive.
    draft.add_segment(stop, (first, last + (2 if draft.happens(0.03) else 0)), rank, interval)


def _add_mixture(draft: _Draft, keyboard: Keyboard) -> None:
    """A stop of two to four ranks, each falling back once."""
    stop = draft.add_stop(keyboard, "Mixture", None, share_of_keys=False)
    brk = keyboard.keys // 2
    for interval in draft.one_of(((19, 24), (19, 24, 31), (24, 31, 36, 43))):
        rank = draft.add_rank(keyboard, interval, more=-12 if draft.happens(0.5) else 0)
        draft.add_segment(stop, (1, brk), rank, interval)
        draft.add_segment(stop, (brk + 1, keyboard.keys), rank, interval - 12)


def _add_borrower(draft: _Draft, keyboard: Keyboard) -> None:
    """A stop on pipes that another has: wholly, from a key up, as a bass, or several pipes a key."""
    name, footage = draft.one_of(_VOICES)
    host = draft.one_of(draft.ranks)
    stop = draft.add_stop(keyboard, name, footage)
    first, last = stop.keys or (1, keyboard.keys)
    base = host.notes[0] if host.notes else host.low or 36
    interval = draft.one_of((0, 0, 12, 12, 12, 19, 24, -12)) + base - 36
    way = draft.one_of(("whole", "whole", "whole", "bass", "foldback", "two pipes"))
    if way == "bass":
        edge = min(first + 11, last)
        draft.add_segment(stop, (first, edge), host, interval)
        if edge < last:
            draft.add_segment(
                stop, (edge + 1, last), draft.add_rank(keyboard, _INTERVALS[footage]), _INTERVALS[footage]
            )
    elif way == "foldback" and last - first > 24:
        draft.add_segment(stop, (first, last - 12), host, interval)
        draft.add_segment(stop, (last - 11, last), host, interval - 12)
    else:
        draft.add_segment(stop, (first, last), host, interval)
        if way == "two pipes":
            draft.add_segment(stop, (first, last), host, interval + 12)
