"""Temperaments as chains of fifths, and what each does to a mutation taken from a tempered rank.

A temperament is eleven fifths laid end to end from one note; the twelfth is what is left.
Offsets are computed from the chain, never pasted. Cents are above C unless said.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from types import MappingProxyType

from inventory.organ.errors import PitchError
from inventory.organ.footages import cents_of, harmonic_of, interval_of
from inventory.organ.pitch import NOTE_OF_A1, STANDARD_A1_HZ
from inventory.organ.sentences import say

PURE_FIFTH_CENTS = 1200 * math.log2(3 / 2)
PURE_THIRD_CENTS = 1200 * math.log2(5 / 4)
PYTHAGOREAN_COMMA_CENTS = 12 * PURE_FIFTH_CENTS - 7 * 1200
"""Twelve pure fifths less seven octaves: 23.46001."""
SYNTONIC_COMMA_CENTS = 4 * PURE_FIFTH_CENTS - 2 * 1200 - PURE_THIRD_CENTS
"""Four pure fifths less two octaves and a pure third: 21.50629."""
SCHISMA_CENTS = PYTHAGOREAN_COMMA_CENTS - SYNTONIC_COMMA_CENTS

NOTE_NAMES = ("C", "C♯", "D", "E♭", "E", "F", "F♯", "G", "G♯", "A", "B♭", "B")
A = 9


@dataclass(frozen=True)
class Temperament:
    """A tuning of twelve notes made by a chain of eleven fifths."""

    name: str
    first: int
    """Note the chain starts from, 0 (C) to 11 (B)."""
    narrowed_cents: tuple[float, ...]
    """How much each of the eleven fifths, from the first upward, is narrower than pure."""
    source: str

    @cached_property
    def offsets_cents(self) -> tuple[float, ...]:
        """Cents of the twelve notes above C, C first; 0 <= offset < 1200."""
        heights = {self.first: 0.0}
        note, height = self.first, 0.0
        for narrowed in self.narrowed_cents:
            note, height = (note + 7) % 12, height + PURE_FIFTH_CENTS - narrowed
            heights[note] = height
        return tuple((heights[n] - heights[0]) % 1200 for n in range(12))

    @property
    def closing_fifth_cents(self) -> float:
        """Size of the fifth that closes the circle: the wolf, where there is one."""
        return 7 * 1200 - sum(PURE_FIFTH_CENTS - narrowed for narrowed in self.narrowed_cents)

    def departure_cents(self, note: int) -> float:
        """Return how far a note lies above equal temperament when a1 is the same in both.

        >>> round(TEMPERAMENTS["quarter-comma meantone"].departure_cents(60), 3)
        10.265
        """
        offsets = self.offsets_cents
        return (offsets[note % 12] - 100 * (note % 12)) - (offsets[A] - 100 * A)

    def frequency_hz(self, note: int, a1_hz: float = STANDARD_A1_HZ) -> float:
        """Return the frequency of a note, a1 being given in hertz.

        >>> round(TEMPERAMENTS["equal"].frequency_hz(60), 3)
        261.626
        """
        if not (math.isfinite(a1_hz) and a1_hz > 0):
            raise PitchError(say("a1 %(a1_hz)s Hz is not above 0; give it in hertz", a1_hz=a1_hz))
        return a1_hz * math.exp2((100 * (note - NOTE_OF_A1) + self.departure_cents(note)) / 1200)

    def interval_cents(self, note: int, semitones: int) -> float:
        """Return the size of an interval that starts on a note.

        >>> round(TEMPERAMENTS["quarter-comma meantone"].interval_cents(68, 7), 3)  # G sharp - E flat
        737.637
        """
        return 100 * semitones + self.departure_cents(note + semitones) - self.departure_cents(note)


def _temperament(name: str, first: int, narrowed: Mapping[int, float], source: str) -> Temperament:
    """Make one from the fifths that are not pure, numbered from 1 upward from the first note."""
    return Temperament(name, first, tuple(narrowed.get(number, 0.0) for number in range(1, 12)), source)


_P, _S = PYTHAGOREAN_COMMA_CENTS, SYNTONIC_COMMA_CENTS
_C, _EB, _F, _FS = 0, 3, 5, 6

TEMPERAMENTS = MappingProxyType(
    {
        temperament.name: temperament
        for temperament in (
            _temperament("equal", _C, {n: _P / 12 for n in range(1, 12)}, "every fifth narrowed alike"),
            _temperament(
                "quarter-comma meantone",
                _EB,
                {n: _S / 4 for n in range(1, 12)},
                "eleven fifths E♭ to G♯ narrowed by a quarter of the syntonic comma: pure thirds",
            ),
            _temperament(
                "Werckmeister III",
                _C,
                {1: _P / 4, 2: _P / 4, 3: _P / 4, 6: _P / 4},
                "C-G-D-A and B-F♯ narrowed by a quarter of the Pythagorean comma",
            ),
            # Two readings of one text circulate: they differ in F sharp only.
            _temperament(
                "Kirnberger III, schisma B-F♯",
                _C,
                {1: _S / 4, 2: _S / 4, 3: _S / 4, 4: _S / 4, 6: SCHISMA_CENTS},
                "C-G-D-A-E narrowed by a quarter of the syntonic comma, the schisma at B-F♯",
            ),
            _temperament(
                "Kirnberger III, schisma F♯-C♯",
                _C,
                {1: _S / 4, 2: _S / 4, 3: _S / 4, 4: _S / 4, 7: SCHISMA_CENTS},
                "C-G-D-A-E narrowed by a quarter of the syntonic comma, the schisma at F♯-C♯",
            ),
            _temperament(
                "Vallotti",
                _F,
                {n: _P / 6 for n in range(1, 7)},
                "F-C-G-D-A-E-B narrowed by a sixth of the Pythagorean comma",
            ),
            _temperament(
                "Young II",
                _C,
                {n: _P / 6 for n in range(1, 7)},
                "C-G-D-A-E-B-F♯ narrowed by a sixth of the Pythagorean comma",
            ),
            _temperament("Pythagorean", _FS, {}, "eleven pure fifths G♭ to B"),
        )
    }
)
"""The temperaments by name. Definitions as in Lehman's tables of temperaments (read at second hand)."""


@dataclass(frozen=True)
class MutationError:
    """How far a mutation taken from a tempered rank is out of tune on one key."""

    note: int
    """Note of the key."""
    error_cents: float
    """Tempered less pure: above 0 the mutation is sharp."""
    beats_per_second: float
    """Beats of the mutation against the harmonic of the 8' pipe that it should match."""


def find_temperament(name: str) -> Temperament:
    """Return a temperament by its name.

    Parameters
    ----------
    name
        A key of `TEMPERAMENTS`.

    Returns
    -------
    Temperament

    Raises
    ------
    PitchError
        If there is none of that name. ``Kirnberger III`` alone is refused: two forms circulate.

    References
    ----------
    `TEMPERAMENTS`.

    Examples
    --------
    >>> find_temperament("Vallotti").first
    5
    """
    if name not in TEMPERAMENTS:
        raise PitchError(
            say(
                "temperament %(name)s is not known; name one of: %(temperaments)s",
                name=f"{name!r}",
                temperaments="; ".join(TEMPERAMENTS),
            )
        )
    return TEMPERAMENTS[name]


def derived_mutation_error(
    temperament: Temperament, footage: Fraction, note: int, a1_hz: float = STANDARD_A1_HZ
) -> MutationError:
    """Return how far a mutation drawn from a tempered rank misses the pure harmonic on one key.

    Parameters
    ----------
    temperament
        Tuning of the rank that is borrowed.
    footage
        Footage of the mutation, as ``Fraction(8, 5)`` for 1 3/5'.
    note
        Note of the key, MIDI number.
    a1_hz
        Frequency of a1 in hertz, > 0.

    Returns
    -------
    MutationError
        Cents tempered less pure, and beats a second. Beats are those of the lowest partials
        that should coincide: with harmonic p/q, partial p of the 8' against partial q of the
        mutation. Both pipes are taken to be in the temperament and of harmonic partials.

    Raises
    ------
    PitchError
        If the footage or a1 is out of its range.

    References
    ----------
    Harmonic = 8 / footage; the interval is the nearest number of semitones (`footages`).

    Examples
    --------
    >>> error = derived_mutation_error(find_temperament("equal"), Fraction(8, 5), 60)
    >>> round(error.error_cents, 2), round(error.beats_per_second, 1)
    (13.69, 10.4)
    """
    semitones = interval_of(footage)
    wanted = harmonic_of(footage)
    error = temperament.interval_cents(note, semitones) - cents_of(footage)
    foundation_hz = temperament.frequency_hz(note, a1_hz)
    mutation_hz = temperament.frequency_hz(note + semitones, a1_hz)
    beats = abs(wanted.numerator * foundation_hz - wanted.denominator * mutation_hz)
    return MutationError(note, error, beats)


def derived_mutation_table(
    temperament: Temperament, footage: Fraction, lowest_note: int = 60, a1_hz: float = STANDARD_A1_HZ
) -> tuple[MutationError, ...]:
    """Return the error of a derived mutation on the twelve keys from one note upward.

    Parameters
    ----------
    temperament, footage, a1_hz
        As in `derived_mutation_error`.
    lowest_note
        First of the twelve notes; c1 unless said. Beats double with each octave, cents do not change.

    Returns
    -------
    tuple of MutationError
        Twelve, in order of note.

    Raises
    ------
    PitchError
        As `derived_mutation_error`.

    References
    ----------
    As `derived_mutation_error`.

    Examples
    --------
    >>> table = derived_mutation_table(find_temperament("quarter-comma meantone"), Fraction(8, 5))
    >>> [round(abs(row.error_cents)) for row in table]
    [0, 41, 0, 0, 0, 0, 41, 0, 41, 0, 0, 41]
    """
    return tuple(
        derived_mutation_error(temperament, footage, note, a1_hz)
        for note in range(lowest_note, lowest_note + 12)
    )
