"""Writing a stoplist as text that reads back to the same.

A list that was read is written as it was typed, line by line: nobody's words are improved.
A list that was made or changed (its `lines` emptied) is written in one plain form that
`read_stoplist` understands without a question.
"""

from __future__ import annotations

from inventory.organ.notes import note_name
from inventory.organ.stoplists.values import (
    Composition,
    CouplerProposal,
    DivisionProposal,
    Stoplist,
    StopProposal,
)

_STATES = {"prepared": "prepared", "missing": "missing", "derived": "derived", None: "vacant"}


def write_stoplist(document: Stoplist) -> str:
    """A stoplist as text; reading it again gives the same stoplist.

    With `lines`, those lines unchanged. Without, one plain form: headings with their
    compass, a line for each stop, couplers and accessories at the end. Remarks and reasons
    are not written in that form. Never fails for what `read_stoplist` returns.

    >>> from dataclasses import replace
    >>> from inventory.organ.stoplists.reading import read_stoplist
    >>> write_stoplist(replace(read_stoplist("Réc.\\nViole 8 (dès c)"), lines=()))
    "Réc:\\nViole 8' (from c)"
    """
    if document.lines:
        return "\n".join(document.lines)
    written: list[str] = []
    for division in document.divisions:
        if division.name is not None or division.compass is not None:
            written.append(_heading(division))
        written.extend(_stop(stop) for stop in division.stops)
    written.extend(_coupler(coupler) for coupler in document.couplers)
    written.extend(accessory.text for accessory in document.accessories)
    return "\n".join(written)


def _note(note: int) -> str:
    """A note that reads the same in every language: H for B natural, sharps, no glyphs lost."""
    name = note_name(note).replace("♯", "#")
    return {"B": "H", "b": "h"}.get(name[0], name[0]) + name[1:]


def _heading(division: DivisionProposal) -> str:
    """The division with its compass: ``Great (C–f³, 54 keys)``; the compass alone when nameless."""
    compass = division.compass
    shown = ""
    if compass is not None and compass.low is not None and compass.high is not None:
        shown = f"{_low_end(compass.low, compass.notes)}-{_note(compass.high)}, {compass.keys} keys"
        if "broken" in compass.text:
            shown += ", broken octave"
    elif compass is not None and compass.low is not None:
        shown = f"from {_note(compass.low)}"
    elif compass is not None and compass.keys is not None:
        shown = f"{compass.keys} keys"
    if division.name is None:
        return shown
    return f"{division.name} ({shown})" if shown else f"{division.name}:"


def _low_end(low: int, notes: tuple[int, ...]) -> str:
    """The low end so that gaps are read back: ``C,D`` without C♯, ``C/E`` for a short octave."""
    if any(b < a for a, b in zip(notes, notes[1:], strict=False)):
        return f"{_note(low)}/{_note(low + 4)}"
    end = 0
    for place in range(len(notes) - 1):
        if notes[place + 1] - notes[place] > 1:
            end = place + 1
    return ",".join(_note(note) for note in notes[: end + 1]) if notes else _note(low)


def _stop(stop: StopProposal) -> str:
    """One stop in the plain form."""
    parts = [f"{stop.number}." if stop.number else "", stop.name or ""]
    if stop.state == "earlier":
        parts.insert(0, "formerly")
    if stop.ranks is not None:
        parts.append(f"{stop.ranks} ranks")
    if stop.footage is not None:
        parts.append(stop.footage + "'")
    if stop.pipes is not None:
        parts.append(f"{stop.pipes} pipes")
    if stop.half is not None:
        parts.append({"bass": "(bass)", "treble": "(treble)", "both": "(divided)"}[stop.half])
    if stop.from_note is not None and stop.to_note is not None:
        parts.append(f"({_note(stop.from_note)}-{_note(stop.to_note)})")
    elif stop.from_note is not None:
        parts.append(f"(from {_note(stop.from_note)})")
    elif stop.to_note is not None:
        parts.append(f"(up to {_note(stop.to_note)})")
    if stop.composition:
        parts.append("(" + "; ".join(map(_row, stop.composition)) + ")")
    if stop.borrowed_from is not None:
        word = "borrowed from" if stop.state == "derived" else "common bass"
        parts.append(f"({word} {stop.borrowed_from})")
    elif stop.state in _STATES:
        parts.append(f"({_STATES[stop.state]})")
    if stop.borrowed_from is not None and stop.state in ("prepared", "missing"):
        parts.append(f"({stop.state})")
    return " ".join(part for part in parts if part)


def _row(part: Composition) -> str:
    """One row of a composition; a break whose pitches are not known is only its note."""
    if not part.footages:
        return f"breaks at {_note(part.from_note)}" if part.from_note is not None else ""
    note = f"{_note(part.from_note)}: " if part.from_note is not None else ""
    return note + " + ".join(f"{footage}'" for footage in part.footages)


def _coupler(coupler: CouplerProposal) -> str:
    """``Coupler II/I``: playing the second sounds the first."""
    if coupler.origin is None or coupler.target is None:
        return coupler.text
    shift = {12: " 4'", -12: " 16'"}.get(coupler.shift, "")
    return f"Coupler {coupler.target}/{coupler.origin}{shift}"
