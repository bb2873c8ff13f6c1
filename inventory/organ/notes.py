"""Names of notes as the trade writes them (Helmholtz), for messages and tables.

MIDI 36 is C of the 8′ octave; c is 48, c¹ 60, c³ 84; below C stand C₁ (24) and C₂ (12).
"""

from __future__ import annotations

from inventory.organ.errors import NoteError
from inventory.organ.sentences import say

PITCH_CLASS_NAMES = ("C", "C♯", "D", "D♯", "E", "F", "F♯", "G", "G♯", "A", "A♯", "B")
"""Pitch classes from C, with sharps; English B (German H)."""

LOWEST_NOTE = -24
HIGHEST_NOTE = 1127
"""No real pipe reaches this: a long mixture recorded as one rank still gets a name."""

_RAISED = str.maketrans("0123456789", "⁰¹²³⁴⁵⁶⁷⁸⁹")
_LOWERED = str.maketrans("0123456789", "₀₁₂₃₄₅₆₇₈₉")


def pitch_class_name(note: int) -> str:
    """Name of a note without its octave.

    >>> pitch_class_name(61)
    'C♯'
    """
    return PITCH_CLASS_NAMES[note % 12]


def note_name(note: int) -> str:
    """Helmholtz name of a MIDI note: C, c, c¹, f³, and C₁ below.

    Raises NoteError outside −24 to 1127. Source: DESIGN §2 (C of the 8′ octave = 36);
    values.md §2 (c¹ = 60).

    >>> [note_name(n) for n in (24, 36, 37, 48, 60, 89)]
    ['C₁', 'C', 'C♯', 'c', 'c¹', 'f³']
    """
    if not LOWEST_NOTE <= note <= HIGHEST_NOTE:
        raise NoteError(
            say(
                "note %(note)s is outside %(lowest_note)s to %(highest_note)s: check the lowest note",
                note=note,
                lowest_note=LOWEST_NOTE,
                highest_note=HIGHEST_NOTE,
            )
        )
    octave = note // 12 - 3
    name = pitch_class_name(note)
    if octave < 0:
        return name + str(-octave).translate(_LOWERED)
    if octave == 0:
        return name
    return name.lower() + (str(octave - 1).translate(_RAISED) if octave > 1 else "")


def note_range(lowest: int, highest: int) -> str:
    """Two notes as a compass.

    >>> note_range(36, 89)
    'C–f³'
    """
    return f"{note_name(lowest)}–{note_name(highest)}"


def interval_name(semitones: int) -> str:
    """A signed interval in plain words, for tables.

    >>> interval_name(-12), interval_name(0), interval_name(28)
    ('−12', '0', '+28')
    """
    if semitones == 0:
        return "0"
    return f"+{semitones}" if semitones > 0 else f"−{-semitones}"


def spans_of(numbers: list[int]) -> str:
    """Whole numbers as runs, in rising order: ``1–12, 40``.

    >>> spans_of([40, 1, 2, 3])
    '1–3, 40'
    """
    runs: list[list[int]] = []
    for number in sorted(set(numbers)):
        if runs and number == runs[-1][1] + 1:
            runs[-1][1] = number
        else:
            runs.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in runs)
