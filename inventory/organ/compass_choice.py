"""Choosing among the compasses a typed line can mean: what is stated, what is usual, or a question."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.organ.sentences import join_sentences, say
from inventory.organ.short_octaves import Compass, make_compass

# The compasses keyboards of a size usually have (values.md §2), offered when only a count is given.
_USUAL_TOPS = {61: 96, 58: 93, 56: 91, 54: 89, 51: 87, 49: 84, 32: 67, 30: 65, 29: 64, 27: 62, 25: 60}


@dataclass(frozen=True)
class CompassReading:
    """What a typed compass means, or what it may mean."""

    compass: Compass | None
    """The compass when exactly one reading fits; it may hold only a number of keys."""
    candidates: tuple[Compass, ...] = ()
    """What it may mean when it must be asked."""
    why: str = ""
    """Why it must be asked; empty when nothing is to be asked."""
    reason: str = ""
    """Why this reading was taken."""


@dataclass(frozen=True)
class CompassPair:
    """One reading of both ends, with the keys between."""

    notes: tuple[int, ...]
    notation: str
    doubtful: bool
    extra: str = ""
    octave_left_out: bool = False


def _plausible(notes: tuple[int, ...], kind: str | None) -> bool:
    """Whether keyboards of this size and place are built. Source: values.md §2 (27-32, 49-61 keys)."""
    low, high, keys = min(notes), max(notes), len(notes)
    manual = (29 <= low <= 43 and 37 <= keys <= 61 or 43 < low <= 60 and 25 <= keys <= 54) and high <= 96
    pedal = 29 <= low <= 48 and 8 <= keys <= 37 and high <= 72
    return manual if kind == "manual" else pedal if kind == "pedal" else manual or pedal


def choose_compass(
    found: list[tuple[CompassPair, Compass]], stated: int | None, octaves: float | None, kind: str | None
) -> CompassReading:
    """Take the one reading that fits what is stated and plausible, or ask.

    >>> pair = CompassPair(tuple(range(36, 90)), "helmholtz", doubtful=False)
    >>> found = [(pair, make_compass(pair.notes))]
    >>> choose_compass(found, 54, None, None).reason
    'read as helmholtz; 54 keys stated and found'
    >>> choose_compass(found, 56, None, None).why
    '56 keys are stated; the notes give 54'
    """
    if not found:
        return CompassReading(None, (), "no compass can be made of these notes; write it as C–f³")
    fits = [(p, c) for p, c in found if stated is None or len(p.notes) == stated]
    if octaves is not None:
        near = [(p, c) for p, c in fits if abs(len(p.notes) - 12 * octaves) <= 3]
        if not near:
            shown = _unique([(p, c) for p, c in found if not p.doubtful] or found)
            return CompassReading(
                None, shown, f"{octaves:g} octaves are stated, but that is not this compass"
            )
        fits = near
    if not fits:
        shown = _unique([(p, c) for p, c in found if not p.doubtful] or found)
        return CompassReading(None, shown, f"{stated} keys are stated; the notes give {_sizes(shown)}")
    sure = [(p, c) for p, c in fits if not p.doubtful]
    usual_sure = _unique([(p, c) for p, c in sure if _plausible(p.notes, kind)])
    usual = _unique([(p, c) for p, c in fits if _plausible(p.notes, kind)])
    # A number of keys confirms even a far-fetched notation, and an unusual size.
    groups = [usual_sure] if stated is None else [usual_sure, usual, _unique(sure), _unique(fits)]
    for group in groups:
        if len(group) == 1:
            return CompassReading(group[0], (), "", _reason(group[0], found, stated, kind))
        if len(group) > 1:
            return CompassReading(None, _usual_first(group), "these notes fit more than one compass")
    shown = _usual_first(usual or _unique(sure) or _unique(fits))
    if any(compass.keys == 88 for compass in shown):
        why = say("88 keys are a piano's compass, no organ's; which keys are meant?")
    elif any(p.octave_left_out for p, _ in fits):
        why = say("the octave of a note is not written")
    else:
        why = say("no %(value)s of this size is usual; confirm it", value=kind or "keyboard")
    return CompassReading(None, shown[:6], why)


def _usual_first(compasses: tuple[Compass, ...]) -> tuple[Compass, ...]:
    return tuple(sorted(compasses, key=lambda compass: compass.keys not in _USUAL_TOPS))


def _reason(
    taken: Compass, found: list[tuple[CompassPair, Compass]], stated: int | None, kind: str | None
) -> str:
    notation = next(p.notation for p, c in found if c == taken)
    others = len({p.notes for p, _ in found}) - 1
    told = [say("read as %(notation)s", notation=notation) if notation else say("read as written")]
    if stated is not None:
        told.append(say("%(stated)s keys stated and found", stated=stated))
    elif others > 0:
        told.append(
            say("the only reading that makes a usual %(kind)s of several", kind=say(kind or "keyboard"))
        )
    return join_sentences(told)


def _unique(found: list[tuple[CompassPair, Compass]]) -> tuple[Compass, ...]:
    return tuple(dict.fromkeys(compass for _, compass in found))


def _sizes(compasses: tuple[Compass, ...]) -> str:
    return " or ".join(str(size) for size in sorted({c.keys or 0 for c in compasses}))


def compass_of_count(stated: int | None, octaves: float | None, text: str) -> CompassReading:
    """A number of keys without notes: the count is kept, the notes are asked.

    >>> compass_of_count(54, None, "54 keys").candidates[0].text
    '54 keys, C to f³'
    """
    if stated is None or not 1 <= stated <= 128:
        why = (
            say("%(octaves)s octaves, but no notes: which?", octaves=f"{octaves:g}")
            if octaves
            else say("no compass is written here")
        )
        return CompassReading(None, (), why)
    known = Compass(None, None, stated, (), (), f"{stated} keys")
    top = _USUAL_TOPS.get(stated)
    offered = (make_compass(range(36, top + 1)),) if top and top - 35 == stated else ()
    return CompassReading(known, offered, f"{stated} keys, but not from which note to which")
