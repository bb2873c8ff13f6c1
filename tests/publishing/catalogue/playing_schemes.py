"""Hand-made schemes for the table of cases: one for every way the rules can bend."""

from __future__ import annotations

from typing import Any

from inventory.organ.schemes import Chest, Control, Coupler, Keyboard, Rank, Scheme, Segment, Stop

SHORT = (36, 41, 38, 43, 40, 45, 46, 47)
"""A short octave C/E: keys E F F# G G# A Bb B sound C F D G E A Bb B."""


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
        Segment("a", (1, 25), "r", interval=0),
        Segment("b", (1, 37), "r", interval=0),
        Segment("c", (1, 13), "low", interval=-12),
        Segment("c", (1, 13), "r", interval=0),
    )
    rows = (_row("r", 37, 36), _row("low", 13, 24))
    polyphone = Rank("r", 3, (36, 38, 40), tones={1: (36, 37), 2: (38, 39), 3: (40, 41)})
    chain = (Coupler("I-II", "I", "II", 0), Coupler("P-I", "P", "I", 12), Coupler("II-I", "II", "I", -12))
    return {
        "octave extension": Scheme(one, (_row("r", 37, 36),), two_pitches, flapped),
        "no flaps recorded": Scheme(one, (_row("r", 37, 36),), two_pitches, octave),
        "row too short": Scheme(one, (_row("r", 30, 36, missing=frozenset({5, 17})),), two_pitches, octave),
        "keys move": Scheme(pair, rows, spread, across, couplers=chain),
        "channels move": Scheme(
            pair,
            rows,
            spread,
            across,
            couplers=(
                Coupler("I-II", "I", "II", 0, "channel"),
                Coupler("P-I", "P", "I", 12, "key", True),
                Coupler("II-II", "II", "II", 12, "channel"),
                Coupler("II-II-16", "II", "II", -12),
            ),
        ),
        "reach": Scheme(
            pair, rows, spread, across, couplers=(Coupler("up", "I", "II", 12), Coupler("II-I", "II", "I", 0))
        ),
        "controls": Scheme(
            one,
            (_row("r", 37, 36),),
            (*two_pitches, Stop("c", "I", "Flute", "8"), Stop("d", "I", "Gone", "8", state="missing")),
            (*flapped, Segment("c", (13, 25), "r", shift=0), Segment("d", (1, 25), "r", shift=0)),
            controls=(Control("k", (("a",), ("b", "c"), ())), Control("d", (("d",),))),
        ),
        "polyphone": Scheme(
            (_board("P", 6, kind="pedal"),),
            (polyphone,),
            (Stop("a", "P", "Bass", "8"), Stop("b", "P", "Bass", "8")),
            (Segment("a", (1, 6), "r", interval=0), Segment("b", (1, 4), "r", interval=0)),
        ),
        "short octave": Scheme(
            (Keyboard("I", SHORT + tuple(range(48, 61))),),
            (Rank("r", 33, SHORT[:1] + tuple(range(37, 69))),),
            two_pitches,
            (Segment("a", (1, 21), "r", interval=0), Segment("b", (1, 21), "r", interval=12)),
        ),
        "pitch unknown": Scheme(
            one,
            (Rank("r", None),),
            two_pitches,
            (Segment("a", (1, 25), "r", shift=0), Segment("b", (1, 25), "r", shift=12)),
        ),
        "mixture of listed pipes": Scheme(
            one,
            (_row("r", 60, 36),),
            two_pitches,
            (
                Segment("a", (1, 12), "r", pipes=tuple(range(1, 24, 2))),
                Segment("a", (1, 12), "r", pipes=tuple(range(2, 25, 2))),
                Segment("a", (13, 25), "r", shift=12),
                Segment("b", (1, 25), "r", shift=0),
            ),
        ),
        "cones": Scheme(
            one, (_row("r", 37, 36),), two_pitches, octave, chests=(Chest("c", "stop channel", ("a", "b")),)
        ),
        "cones with second cones": Scheme(
            one,
            (_row("r", 37, 36),),
            two_pitches,
            tuple(Segment(s.stop, s.keys, s.rank, interval=s.interval, device="second-cone") for s in octave),
            chests=(Chest("c", "stop channel", ("a", "b")),),
        ),
        "unit": Scheme(
            (*one, _board("P", 13, kind="pedal")),
            (_row("r", 49, 24),),
            (*two_pitches, Stop("c", "P", "Bass", "16")),
            (*octave, Segment("c", (1, 13), "r", interval=-12)),
            chests=(Chest("c", "unit", ("a", "b", "c")),),
            couplers=(Coupler("I-P", "P", "I", 0),),
        ),
        "spring": Scheme(
            one, (_row("r", 37, 36),), two_pitches, octave, chests=(Chest("c", "spring", ("a", "b")),)
        ),
        "double pallet": Scheme(
            pair[:2],
            (_row("r", 25, 36),),
            spread[:2],
            (
                Segment("a", (1, 25), "r", interval=0, device="double-pallet"),
                Segment("b", (1, 25), "r", interval=0, device="double-pallet"),
            ),
        ),
    }
