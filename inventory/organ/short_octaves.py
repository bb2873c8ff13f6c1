"""Compasses as values, and the bass octaves that do not sound what their keys look like.

A compass lists the note every key sounds, from the lowest key up. In a short octave the
list does not rise: on a C/E keyboard the keys E F F♯ G G♯ A sound C F D G E A.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from inventory.organ.errors import NoteError
from inventory.organ.notes import note_name
from inventory.organ.sentences import join_sentences, say, say_count


@dataclass(frozen=True)
class Compass:
    """The keys of a keyboard (or of a stop) and what they sound."""

    low: int | None
    """Lowest sounding note, MIDI; None when only the number of keys is known."""
    high: int | None
    keys: int | None
    """Keys a player can press; halves of split keys count as keys."""
    notes: tuple[int, ...]
    """Sounding note of each key, lowest key first; empty when not known."""
    missing: tuple[int, ...]
    """Notes between low and high that no key sounds."""
    text: str
    """Shown back to the person who typed it."""
    split: int | None = None
    """First note of the treble half, where stops are divided."""

    def as_json(self) -> dict[str, Any]:
        """The compass as DESIGN §8 writes it."""
        return {
            "low": self.low, "high": self.high, "keys": self.keys,
            "missing": list(self.missing), "text": self.text,
        }  # fmt: skip


# What the lowest keys sound, in semitones above the note the octave is named after, and
# the first note from which every key sounds itself. Source: values.md §2, after the Concise
# Oxford Dictionary of Music and Grove ("Broken octave", E. M. Ripin).
SHORT_OCTAVES: dict[str, tuple[tuple[int, ...], int]] = {
    # keys E F F# G G# A: C F D G E A, then B flat
    "C/E": ((0, 5, 2, 7, 4, 9), 10),
    # keys E F, F# (front D, back F#), G, G# (front E, back G#), A
    "C/E broken": ((0, 5, 2, 6, 7, 4, 8, 9), 10),
    # keys B C C# D D# E: G C A D B E (numbered from G), then F
    "G/B": ((0, 5, 2, 7, 4, 9), 10),
    # C# split: front A, back C#; D# split: front B, back D#
    "G/B broken": ((0, 5, 2, 6, 7, 4, 8, 9), 10),
}
_LOWEST_NAMED = {"C": 36, "G": 31}


def make_compass(notes: Sequence[int], *, extra: str = "", split: int | None = None) -> Compass:
    """A compass from the notes of its keys, with the text shown back.

    Notes are MIDI, one per key from the lowest key, in any order (short octaves do not
    rise). Raises NoteError for no keys, more than 128, or a note outside 0-127.

    >>> make_compass(range(36, 90)).text
    '54 keys, C to f³'
    """
    keys = tuple(notes)
    if not 1 <= len(keys) <= 128:
        raise NoteError(
            say(
                "a keyboard of %(keys)s keys cannot be: 1 to 128 are allowed; check both ends", keys=len(keys)
            )
        )
    if min(keys) < 0 or max(keys) > 127:
        raise NoteError(
            say(
                "notes %(keys)s to %(keys2)s are outside 0 to 127: check the octave marks",
                keys=min(keys),
                keys2=max(keys),
            )
        )
    low, high = min(keys), max(keys)
    sounding = set(keys)
    missing = tuple(note for note in range(low, high + 1) if note not in sounding)
    ends = {"low": note_name(low), "high": note_name(high)}
    parts: list[str] = [
        say_count(len(keys), "%(n)s key, %(low)s to %(high)s", "%(n)s keys, %(low)s to %(high)s", **ends)
    ]
    if extra:
        parts.append(extra)
    elif missing:
        absent = ", ".join(map(note_name, missing[:12])) + (" …" if len(missing) > 12 else "")
        parts.append(say("no %(notes)s", notes=absent))
    if split is not None:
        parts.append(say("divided at %(note)s", note=note_name(split)))
    return Compass(low, high, len(keys), keys, missing, join_sentences(parts, ", "), split)


def short_octave_notes(kind: str, high: int, *, lowest: int | None = None) -> tuple[int, ...]:
    """Sounding notes of a keyboard that begins with a short or broken octave.

    `kind` is ``C/E``, ``G/B``, or either with `` broken``; `high` the MIDI note of the top
    key; `lowest` the sounding note of the first key where it is not C (36) or GG (31).
    The result lists one note per key; split keys give their front half first.
    Raises NoteError for another kind or a top inside the octave itself.
    Source: values.md §2 (Concise Oxford Dictionary of Music; Grove, "Broken octave").

    >>> len(short_octave_notes("C/E", 84)), short_octave_notes("C/E", 84)[:8]
    (45, (36, 41, 38, 43, 40, 45, 46, 47))
    """
    if kind not in SHORT_OCTAVES:
        raise NoteError(
            say(
                "%(kind)s is not a short octave known here: %(short_octaves)s",
                kind=f"{kind!r}",
                short_octaves=", ".join(SHORT_OCTAVES),
            )
        )
    offsets, onwards = SHORT_OCTAVES[kind]
    base = _LOWEST_NAMED[kind[0]] if lowest is None else lowest
    if high < base + onwards:
        raise NoteError(
            say(
                "a %(kind)s keyboard ends at %(base)s or above, not at note %(high)s",
                kind=kind,
                base=note_name(base + onwards),
                high=high,
            )
        )
    return tuple(base + offset for offset in offsets) + tuple(range(base + onwards, high + 1))


def note_of_key(compass: Compass, key: int) -> int:
    """Sounding note (MIDI) of a key, counted from 1 at the lowest key.

    Raises NoteError outside the keyboard, or when its notes are not known.

    >>> note_of_key(make_compass(range(36, 90)), 25)
    60
    """
    if not compass.notes:
        raise NoteError(
            say(
                "the notes of this keyboard are not known (%(compass)s): give its compass first",
                compass=compass.text,
            )
        )
    if not 1 <= key <= len(compass.notes):
        raise NoteError(
            say("key %(key)s is outside this keyboard: 1 to %(notes)s", key=key, notes=len(compass.notes))
        )
    return compass.notes[key - 1]
