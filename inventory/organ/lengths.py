"""Speaking lengths: how long a pipe of a given pitch must be, by named rules.

Lengths and sizes are in millimetres, frequencies in hertz, speeds in metres a second.
Speaking length runs from the mouth (upper edge of the languid) to the open end or stopper.
"""

from __future__ import annotations

import math

from inventory.organ.errors import PitchError
from inventory.organ.pitch import REFERENCE_SPEED_M_S
from inventory.organ.sentences import say

UNFLANGED_END = 0.6133
"""Times the radius: Levine and Schwinger, *Physical Review* 73 (1948) 383, low-frequency limit."""

FLANGED_END = 0.8217
"""Times the radius, for an end in a wide wall; from memory (0.82 read in a secondary page)."""

CAVAILLE_COLL_SPEED_M_S = 340.0
"""The speed Cavaillé-Coll used."""


def end_correction_mm(inner_diameter_mm: float, *, flanged: bool = False) -> float:
    """Return how much longer than its metal a round pipe seems at one open end.

    Parameters
    ----------
    inner_diameter_mm
        Inner diameter, > 0.
    flanged
        True where the end opens in a wide wall; a free pipe is unflanged.

    Returns
    -------
    float
        Millimetres: 0.6133 x radius, or 0.8217 x radius if flanged. It is the correction of
        the open *end* only; that of the mouth is larger and depends on the cut-up, so use a
        rule of practice (`cavaille_coll_length_mm`) for a whole pipe.

    Raises
    ------
    PitchError
        If the diameter is not above 0.

    References
    ----------
    H. Levine and J. Schwinger, *Physical Review* 73 (1948) 383; held adequate for organ pipes
    by *Acta Acustica* 9 (2025) 71, doi 10.1051/aacus/2025058.

    Examples
    --------
    >>> round(end_correction_mm(155.5), 2)
    47.68
    """
    factor = FLANGED_END if flanged else UNFLANGED_END
    return factor * _above_zero(inner_diameter_mm, "inner diameter") / 2


def open_length_mm(
    pitch_hz: float, *, correction_mm: float = 0.0, speed_m_s: float = REFERENCE_SPEED_M_S
) -> float:
    """Return the speaking length of an open pipe: half a wave less the end corrections.

    Parameters
    ----------
    pitch_hz
        Frequency, > 0.
    correction_mm
        All end corrections together, >= 0.
    speed_m_s
        Speed of sound, > 0.

    Returns
    -------
    float
        Millimetres: c / 2f - correction.

    Raises
    ------
    PitchError
        If a value is out of its range, or the correction is as long as the pipe.

    References
    ----------
    The half wave of a tube open at both ends.

    Examples
    --------
    >>> round(open_length_mm(65.4064), 1)
    2623.6
    """
    return _shortened(_wave_mm(pitch_hz, speed_m_s) / 2, correction_mm)


def stopped_length_mm(
    pitch_hz: float, *, correction_mm: float = 0.0, speed_m_s: float = REFERENCE_SPEED_M_S
) -> float:
    """Return the speaking length of a stopped pipe: a quarter wave less the correction of the mouth.

    Parameters
    ----------
    pitch_hz
        Frequency, > 0.
    correction_mm
        Correction of the mouth, >= 0; for wood, one inner width is a rule of practice.
    speed_m_s
        Speed of sound, > 0.

    Returns
    -------
    float
        Millimetres: c / 4f - correction.

    Raises
    ------
    PitchError
        If a value is out of its range, or the correction is as long as the pipe.

    References
    ----------
    W. E. Dickson, *Practical Organ-Building* (1882): stopped pipes are half the length of open
    ones of the same note. One width: R. W. Giangiulio's page on pipe lengths (practice).

    Examples
    --------
    >>> round(stopped_length_mm(65.4064), 1)
    1311.8
    """
    return _shortened(_wave_mm(pitch_hz, speed_m_s) / 4, correction_mm)


def cavaille_coll_length_mm(
    pitch_hz: float, inner_diameter_mm: float, *, speed_m_s: float = CAVAILLE_COLL_SPEED_M_S
) -> float:
    """Return the length of an open cylindrical pipe by Cavaillé-Coll's rule, L = V/N - 5/3 D.

    Parameters
    ----------
    pitch_hz
        Frequency in hertz, > 0. The rule's own N counts *simple* vibrations, two to a hertz;
        that is already allowed for.
    inner_diameter_mm
        Inner diameter, > 0.
    speed_m_s
        Speed of sound, > 0; 340 in the rule.

    Returns
    -------
    float
        Millimetres. Not for slotted, tapered, stopped or reed pipes.

    Raises
    ------
    PitchError
        If a value is out of its range, or the correction is as long as the pipe.

    References
    ----------
    A. Cavaillé-Coll, Académie des sciences, 1860; Couwenbergh, *L'orgue ancien et moderne* (1887) p. 295.

    Examples
    --------
    >>> round(cavaille_coll_length_mm(65.4064, 155.5), 2)
    2339.97
    """
    correction = 5 / 3 * _above_zero(inner_diameter_mm, "inner diameter")
    return _shortened(_wave_mm(pitch_hz, speed_m_s) / 2, correction)


def cavaille_coll_pitch_hz(
    length_mm: float, inner_diameter_mm: float, *, speed_m_s: float = CAVAILLE_COLL_SPEED_M_S
) -> float:
    """Return the pitch of an open cylindrical pipe by Cavaillé-Coll's rule read backwards.

    Parameters
    ----------
    length_mm, inner_diameter_mm
        Speaking length and inner diameter, both > 0.
    speed_m_s
        Speed of sound, > 0; 340 in the rule.

    Returns
    -------
    float
        Hertz: c / 2(L + 5/3 D). With 340 m/s the same as Ellis's 510000 / (3L + 5d).

    Raises
    ------
    PitchError
        If a value is not above 0.

    References
    ----------
    As `cavaille_coll_length_mm`; A. J. Ellis's form from memory.

    Examples
    --------
    >>> round(cavaille_coll_pitch_hz(2339.97, 155.5), 3)
    65.406
    """
    sounding = _above_zero(length_mm, "length") + 5 / 3 * _above_zero(inner_diameter_mm, "inner diameter")
    return 1000 * _above_zero(speed_m_s, "speed of sound") / (2 * sounding)


def rectangular_length_mm(
    pitch_hz: float, depth_mm: float, *, speed_m_s: float = REFERENCE_SPEED_M_S
) -> float:
    """Return the length of an open rectangular pipe: half a wave less twice its depth.

    Parameters
    ----------
    pitch_hz
        Frequency, > 0.
    depth_mm
        Inner size from mouth to back, > 0.
    speed_m_s
        Speed of sound, > 0.

    Returns
    -------
    float
        Millimetres: c / 2f - 2 x depth.

    Raises
    ------
    PitchError
        If a value is out of its range, or the correction is as long as the pipe.

    References
    ----------
    Cavaillé-Coll (1860) for the dependence on depth; the factor 2 is from memory, and agrees with
    the two inner widths of R. W. Giangiulio's page on pipe lengths.

    Examples
    --------
    >>> round(rectangular_length_mm(130.8128, 100), 1)
    1111.8
    """
    return _shortened(_wave_mm(pitch_hz, speed_m_s) / 2, 2 * _above_zero(depth_mm, "depth"))


def _wave_mm(pitch_hz: float, speed_m_s: float) -> float:
    return 1000 * _above_zero(speed_m_s, "speed of sound") / _above_zero(pitch_hz, "frequency")


def _shortened(length_mm: float, correction_mm: float) -> float:
    if not 0 <= correction_mm < length_mm:
        raise PitchError(
            say(
                "end correction %(correction_mm)s mm is outside 0 to %(length_mm)s mm, the uncorrected length; "
                "check the diameter or depth and the pitch",
                correction_mm=f"{correction_mm:g}",
                length_mm=f"{length_mm:.1f}",
            )
        )
    return length_mm - correction_mm


def _above_zero(value: float, what: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise PitchError(
            say("%(what)s %(value)s is not above 0; give a measured value", what=what, value=value)
        )
    return value
