"""Pitch: the frequency of a note, distances in cents, and what warm air does to flue pipes.

Notes are MIDI numbers (69 = a1, 36 = C of the 8' octave). Temperatures are in degrees
Celsius of the air *in the pipes*, not of the nave.
"""

from __future__ import annotations

import math

from inventory.organ.errors import PitchError
from inventory.organ.sentences import say

NOTE_OF_A1 = 69
"""MIDI number of a1."""

STANDARD_A1_HZ = 440.0
"""a1 in hertz by ISO 16:1975."""

REFERENCE_KELVIN = 293.15
"""20 degrees Celsius, the reference temperature of ISO 9613-1 (from memory)."""

REFERENCE_SPEED_M_S = 343.2
"""Speed of sound in dry air at `REFERENCE_KELVIN`, ISO 9613-1 (from memory)."""

LOWEST_CELSIUS, HIGHEST_CELSIUS = -40.0, 60.0
"""Temperatures outside this range are taken for a slip of the pen."""


def frequency_hz(note: float, a1_hz: float = STANDARD_A1_HZ) -> float:
    """Return the frequency of a note in equal temperament.

    Parameters
    ----------
    note
        MIDI number; parts of a semitone are allowed.
    a1_hz
        Frequency of a1 in hertz, > 0.

    Returns
    -------
    float
        Hertz: a1 x 2^((note - 69) / 12).

    Raises
    ------
    PitchError
        If `a1_hz` is not a positive number.

    References
    ----------
    ISO 16:1975 for a1 = 440 Hz; the formula is the definition of equal temperament.

    Examples
    --------
    >>> round(frequency_hz(36), 3)
    65.406
    """
    return _positive(a1_hz, "a1") * math.exp2((note - NOTE_OF_A1) / 12)


def cents_between(from_hz: float, to_hz: float) -> float:
    """Return the interval from one frequency to another in cents.

    Parameters
    ----------
    from_hz, to_hz
        Frequencies in hertz, both > 0. The order is kept: a falling interval is negative.

    Returns
    -------
    float
        1200 x log2(to / from); 1200 to the octave.

    Raises
    ------
    PitchError
        If either frequency is not a positive number.

    References
    ----------
    A. J. Ellis's cent, as in *On the Sensations of Tone* (1885), appendix XX (from memory).

    Examples
    --------
    >>> round(cents_between(440, 415), 2)
    -101.27
    """
    return 1200 * math.log2(_positive(to_hz, "frequency") / _positive(from_hz, "frequency"))


def nearest_note(heard_hz: float, a1_hz: float = STANDARD_A1_HZ) -> tuple[int, float]:
    """Return the nearest note of equal temperament and how far the pitch lies above it.

    Parameters
    ----------
    heard_hz
        Frequency in hertz, > 0.
    a1_hz
        Frequency of a1 in hertz, > 0.

    Returns
    -------
    tuple of int and float
        MIDI number and cents above it, from -50 to 50.

    Raises
    ------
    PitchError
        If either frequency is not a positive number.

    References
    ----------
    The inverse of `frequency_hz`.

    Examples
    --------
    >>> note, cents = nearest_note(466)
    >>> note, round(cents, 2)
    (70, -0.61)
    """
    exact = NOTE_OF_A1 + cents_between(a1_hz, heard_hz) / 100
    note = round(exact)
    return note, 100 * (exact - note)


def speed_of_sound_m_s(temperature_celsius: float) -> float:
    """Return the speed of sound in dry air.

    Parameters
    ----------
    temperature_celsius
        Air temperature, -40 to 60.

    Returns
    -------
    float
        Metres a second: 343.2 x sqrt(T / 293.15), T in kelvin. Damp air is 0.1 to 0.6 %
        faster; that is not counted.

    Raises
    ------
    PitchError
        If the temperature is outside its range.

    References
    ----------
    ISO 9613-1:1993, equation (A.5): formula from memory, not read in the standard.

    Examples
    --------
    >>> round(speed_of_sound_m_s(0), 3)
    331.286
    """
    return REFERENCE_SPEED_M_S * math.sqrt(_kelvin(temperature_celsius) / REFERENCE_KELVIN)


def cents_per_kelvin(temperature_celsius: float) -> float:
    """Return how fast flue pipes sharpen as the air warms.

    Parameters
    ----------
    temperature_celsius
        Air temperature, -40 to 60.

    Returns
    -------
    float
        Cents a kelvin at that temperature: 1200 / (2 ln 2 x T). About 3.

    Raises
    ------
    PitchError
        If the temperature is outside its range.

    References
    ----------
    The derivative of 1200 x log2(sqrt(T)).

    Examples
    --------
    >>> round(cents_per_kelvin(20), 3)
    2.953
    """
    return 1200 / (2 * math.log(2) * _kelvin(temperature_celsius))


def pitch_at_temperature(
    measured_hz: float, measured_celsius: float, wanted_celsius: float, pipe: str
) -> float:
    """Return what a flue pipe's pitch would be in air of another temperature.

    Parameters
    ----------
    measured_hz
        Frequency heard, in hertz, > 0.
    measured_celsius, wanted_celsius
        Air temperature in the pipe when it was measured, and the one asked for; -40 to 60.
    pipe
        ``flue`` or ``reed``. It must be said: a reed's tongue sets most of its pitch, so the
        rule does not hold for reeds and they are refused.

    Returns
    -------
    float
        Hertz: measured x sqrt(wanted T / measured T), T in kelvin. The metal's own growth
        and the damp of the air are not counted. Keep the measured figure beside it.

    Raises
    ------
    PitchError
        If the pipe is a reed or of no stated kind, the frequency is not positive, or a
        temperature is outside its range.

    References
    ----------
    Speed of sound as in `speed_of_sound_m_s`. The Philharmonic's raising of a1 435 at 15 degrees
    to 439 at 20 degrees in 1896 agrees: theory gives 438.76 (Ellis and Mendel, *Studies in the
    History of Musical Pitch*, 1968, introduction).

    Examples
    --------
    >>> round(pitch_at_temperature(435, 15, 20, "flue"), 2)
    438.76
    """
    if pipe == "reed":
        raise PitchError(
            say(
                "a reed's pitch does not follow the temperature of the air by this rule; "
                "keep the measured pitch with its temperature, and normalise flue pipes only"
            )
        )
    if pipe != "flue":
        raise PitchError(
            say(
                "pipe %(pipe)s is neither 'flue' nor 'reed'; say which, only flue pipes are normalised",
                pipe=f"{pipe!r}",
            )
        )
    ratio = _kelvin(wanted_celsius) / _kelvin(measured_celsius)
    return _positive(measured_hz, "frequency") * math.sqrt(ratio)


def _kelvin(temperature_celsius: float) -> float:
    if not LOWEST_CELSIUS <= temperature_celsius <= HIGHEST_CELSIUS:
        raise PitchError(
            say(
                "temperature %(temperature_celsius)s is outside %(lowest_celsius)s to %(highest_celsius)s "
                "degrees Celsius; give the air temperature in the pipes in degrees Celsius",
                temperature_celsius=temperature_celsius,
                lowest_celsius=f"{LOWEST_CELSIUS:g}",
                highest_celsius=f"{HIGHEST_CELSIUS:g}",
            )
        )
    return temperature_celsius + 273.15


def _positive(hertz: float, what: str) -> float:
    if not (math.isfinite(hertz) and hertz > 0):
        raise PitchError(
            say("%(what)s %(hertz)s Hz is not above 0; give it in hertz", what=what, hertz=hertz)
        )
    return hertz
