"""Music as weighted simultaneities: which notes sound together, and for how long.

A *simultaneity* is a set of notes sounding together, with a weight (how long it lasts, in
any one unit). Sets are kept as bits: two 64-bit words for MIDI notes 0 to 127, one row of
words for all sets, so that `organ/registrations.py` can play them all at once.
"""

from __future__ import annotations

import csv
import gzip
import io
from collections import defaultdict
from collections.abc import Collection, Iterable
from dataclasses import dataclass, field
from functools import cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray

from inventory.organ.errors import NoteError
from inventory.organ.sentences import say

Words = NDArray[np.uint64]
Numbers = NDArray[np.float64]
_MOST_REMEMBERED = 50_000  # sets of notes, about 8 MB


@dataclass(frozen=True)
class Repertoire:
    """Distinct sets of notes and how long each sounds; `words` has shape (2, n), note k = bit k."""

    title: str
    words: Words
    weights: Numbers
    _weights_of_any: dict[int, float] = field(default_factory=dict, repr=False, compare=False)

    def weight_of_any(self, notes: int) -> float:
        """Weight of the simultaneities that hold at least one of some notes (MIDI note k as bit k).

        Remembered by notes: instruments of a collection ask for the same ones again and again.

        >>> gather([((60, 64), 1.0), ((64,), 2.0), ((67,), 4.0)]).weight_of_any(1 << 60 | 1 << 67)
        5.0
        """
        if notes not in self._weights_of_any:
            if len(self._weights_of_any) >= _MOST_REMEMBERED:
                self._weights_of_any.clear()
            low, high = np.uint64(notes & (1 << 64) - 1), np.uint64(notes >> 64)
            held = (self.words[0] & low) | (self.words[1] & high)
            self._weights_of_any[notes] = float(self.weights @ (held != 0))
        return self._weights_of_any[notes]

    @property
    def simultaneities(self) -> int:
        """Number of distinct sets of notes."""
        return int(self.weights.size)

    def note_sets(self) -> list[tuple[int, ...]]:
        """The sets as MIDI notes, lowest first, in stored order."""
        low, high = self.words.tolist()
        return [_notes_of(a | b << 64) for a, b in zip(low, high, strict=True)]


def gather(sets: Iterable[tuple[Collection[int], float]], title: str = "") -> Repertoire:
    """Make a repertoire of (MIDI notes 0..127, weight > 0); equal sets are added, empty ones left out.

    Raises NoteError for a note or a weight outside its range. Source: DESIGN §4.

    >>> gather([({60, 64}, 1), ({64, 60}, 2), (set(), 4)]).weights.tolist()
    [3.0]
    """
    total: dict[int, float] = defaultdict(float)
    for notes, weight in sets:
        if not 0 < weight < float("inf"):
            raise NoteError(
                say(
                    "weight %(weight)s of a simultaneity is not above 0; leave silent ones out", weight=weight
                )
            )
        bits = 0
        for note in notes:
            if not 0 <= note <= 127:
                raise NoteError(say("note %(note)s is outside MIDI's 0 to 127; 60 is c¹", note=note))
            bits |= 1 << note
        if bits:
            total[bits] += weight
    ordered = sorted(total)
    words = np.array([[b & (1 << 64) - 1 for b in ordered], [b >> 64 for b in ordered]], dtype=np.uint64)
    return Repertoire(title, words, np.array([total[b] for b in ordered], dtype=np.float64))


@cache
def chorales() -> Repertoire:
    """Counts of what sounds together in four-part chorales, as shipped beside this module.

    Weights are in the unit the table's first line names. Provenance, licence check and the
    script that remakes the table: `repertoire_counts.md` beside this module.

    >>> chorales().simultaneities > 4000
    True
    """
    packed = resources.files("inventory.organ").joinpath("repertoire_counts.csv.gz").read_bytes()
    lines = gzip.decompress(packed).decode().splitlines()
    rows = csv.DictReader(io.StringIO("\n".join(line for line in lines if not line.startswith("#"))))
    return gather(
        (([int(n) for n in row["notes"].split()], int(row["weight"])) for row in rows), "four-part chorales"
    )


def _notes_of(bits: int) -> tuple[int, ...]:
    return tuple(note for note in range(bits.bit_length()) if bits >> note & 1)
