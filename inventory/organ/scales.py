"""Scales: how wide a pipe is beside the Normalmensur, in half-tones.

Diameters are inner ones in millimetres, taken at the pipe's nominal note (MIDI; 36 = C of
the 8' octave). Töpfer's Normalmensur is 155.5 mm at that C and halves at the 17th pipe.
"""

from __future__ import annotations

import math

from inventory.organ.errors import ScaleError
from inventory.organ.sentences import say

NORMALMENSUR_MM = 155.5
"""Inner diameter at the C of the 8' octave."""
NORMALMENSUR_NOTE = 36
HALVING_SEMITONES = 16
"""The diameter halves in 16 semitones: on the 17th pipe."""
NORMALMENSUR_MOUTH = 0.25
"""Width of mouth as a part of the circumference."""
AMERICAN_NUMBER_OF_NORMALMENSUR = 44


def normalmensur_diameter_mm(note: float) -> float:
    """Return the Normalmensur's inner diameter at a note.

    Parameters
    ----------
    note
        MIDI number of the pipe's nominal note.

    Returns
    -------
    float
        Millimetres: 155.5 x 2^(-(note - 36) / 16).

    References
    ----------
    Töpfer's Normalmensur as in W. Adelung, *Einführung in den Orgelbau* (1991), pp. 85-86 (read at
    second hand).

    Examples
    --------
    >>> round(normalmensur_diameter_mm(48), 3)
    92.461
    """
    return NORMALMENSUR_MM * math.exp2(-(note - NORMALMENSUR_NOTE) / HALVING_SEMITONES)


def half_tone_deviation(inner_diameter_mm: float, note: float) -> float:
    """Return how many half-tones a pipe is wider than the Normalmensur.

    Parameters
    ----------
    inner_diameter_mm
        Inner diameter, > 0; for rectangular pipes an equivalent one, its rule named.
    note
        MIDI number of the pipe's nominal note: of the place it was made for, not of a place it
        was moved to.

    Returns
    -------
    float
        Half-tones, above 0 wider: 16 x log2(d / d of the Normalmensur).

    Raises
    ------
    ScaleError
        If the diameter is not above 0.

    References
    ----------
    As `normalmensur_diameter_mm`; Chace 1998 for the table of deviations.

    Examples
    --------
    >>> round(half_tone_deviation(160, 36), 3)
    0.659
    """
    diameter = _above_zero(inner_diameter_mm, "inner diameter")
    return HALVING_SEMITONES * math.log2(diameter / normalmensur_diameter_mm(note))


def american_scale_number(inner_diameter_mm: float) -> float:
    """Return a diameter as an American scale number, in which 44 is 155.5 mm.

    Parameters
    ----------
    inner_diameter_mm
        Inner diameter, > 0.

    Returns
    -------
    float
        Scale number; 16 more halve the diameter. It says nothing of the note.

    Raises
    ------
    ScaleError
        If the diameter is not above 0.

    References
    ----------
    L. Chace, table of pipe scales (1998).

    Examples
    --------
    >>> round(american_scale_number(92.4))
    56
    """
    diameter = _above_zero(inner_diameter_mm, "inner diameter")
    return AMERICAN_NUMBER_OF_NORMALMENSUR + HALVING_SEMITONES * math.log2(NORMALMENSUR_MM / diameter)


def inner_diameter_mm(outside_diameter_mm: float, wall_mm: float) -> float:
    """Return the inner diameter: the outside one less twice the wall.

    Parameters
    ----------
    outside_diameter_mm
        Outside diameter, > 0. From a tape: circumference / pi.
    wall_mm
        Thickness of the wall, >= 0, less than half the diameter.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    ScaleError
        If the wall does not fit into the diameter.

    References
    ----------
    Common practice.

    Examples
    --------
    >>> inner_diameter_mm(94.0, 0.75)
    92.5
    """
    outside = _above_zero(outside_diameter_mm, "outside diameter")
    if not 0 <= wall_mm < outside / 2:
        raise ScaleError(
            say(
                "wall %(wall_mm)s mm is outside 0 to %(outside)s mm, half the diameter; measure again",
                wall_mm=f"{wall_mm:g}",
                outside=f"{outside / 2:g}",
            )
        )
    return outside - 2 * wall_mm


def equivalent_diameter_mm(width_mm: float, depth_mm: float, by: str) -> float:
    """Return the round diameter that stands for a rectangular pipe, by a named rule.

    Parameters
    ----------
    width_mm, depth_mm
        Inner sizes, both > 0; their order does not matter.
    by
        ``area`` (same cross-section: 2 sqrt(bt / pi)) or ``diagonal`` (sqrt(b2 + t2)).

    Returns
    -------
    float
        Millimetres. For a square section the area rule gives 5.2 half-tones less than the
        diagonal, so curves by different rules are never compared.

    Raises
    ------
    ScaleError
        If a size is not above 0 or the rule is not named.

    References
    ----------
    Area: a German builder's handbook, equation 3.1 (read at second hand). Diagonal: J. M. Nolte,
    "Scaling Pipes in Wood", *ISO Journal* 36 (2010) (read at second hand).

    Examples
    --------
    >>> round(equivalent_diameter_mm(82.55, 101.6, "area"), 1)
    103.3
    """
    width, depth = _above_zero(width_mm, "width"), _above_zero(depth_mm, "depth")
    if by == "area":
        return 2 * math.sqrt(width * depth / math.pi)
    if by == "diagonal":
        return math.hypot(width, depth)
    raise ScaleError(
        say(
            "rule %(by)s is not 'area' or 'diagonal'; name one, they differ by about 5 half-tones",
            by=f"{by!r}",
        )
    )


def mouth_width_mm(inner_diameter_mm: float, part_of_circumference: float = NORMALMENSUR_MOUTH) -> float:
    """Return the width of a round pipe's mouth.

    Parameters
    ----------
    inner_diameter_mm
        Inner diameter, > 0.
    part_of_circumference
        Between 0 and 1; 1/4 in the Normalmensur, 1/5 for Mersenne's open pipes.

    Returns
    -------
    float
        Millimetres: pi x d x part.

    Raises
    ------
    ScaleError
        If a value is out of its range.

    References
    ----------
    Töpfer's Normalmensur; M. Mersenne, *Traité de l'orgue*, proposition V.

    Examples
    --------
    >>> round(mouth_width_mm(155.5), 2)
    122.13
    """
    if not 0 < part_of_circumference < 1:
        raise ScaleError(
            say(
                "part of circumference %(part_of_circumference)s is not between 0 and 1; 0.25 is usual",
                part_of_circumference=part_of_circumference,
            )
        )
    return math.pi * _above_zero(inner_diameter_mm, "inner diameter") * part_of_circumference


def halving_semitones(lower_mm: float, upper_mm: float, semitones: float) -> float:
    """Return in how many semitones a size halves, from two pipes of a rank.

    Parameters
    ----------
    lower_mm, upper_mm
        Sizes at the lower and the higher note, both > 0, the lower note's the larger.
    semitones
        Distance between the notes, > 0.

    Returns
    -------
    float
        Semitones; 16 for the Normalmensur. Real ranks lie mostly between 15 and 18.

    Raises
    ------
    ScaleError
        If the size does not fall as the notes rise, or a value is out of its range.

    References
    ----------
    N. H. Fletcher, *Acustica* 37 (1977) 131-138 for the usual range (read at second hand).

    Examples
    --------
    >>> round(halving_semitones(155.5, 92.4, 12), 1)
    16.0
    """
    lower, upper = _above_zero(lower_mm, "size"), _above_zero(upper_mm, "size")
    if upper >= lower or semitones <= 0:
        raise ScaleError(
            say(
                "sizes %(lower)s and %(upper)s mm over %(semitones)s semitones do not fall as the notes rise; "
                "give the lower note first",
                lower=f"{lower:g}",
                upper=f"{upper:g}",
                semitones=f"{semitones:g}",
            )
        )
    return semitones * math.log(2) / math.log(lower / upper)


def drawn_size_mm(
    lowest_mm: float, halving: float, semitones: float, *, straight_line: bool = False
) -> float:
    """Return the size some semitones above the lowest pipe, by proportion or by a straight line.

    Parameters
    ----------
    lowest_mm
        Size at the lowest note, > 0.
    halving
        Semitones in which the size halves, > 0.
    semitones
        Distance from the lowest note, 0 to `halving` for a straight line.
    straight_line
        True where the builder drew a straight line between a size and its half; otherwise the
        same ratio from note to note.

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    ScaleError
        If a value is out of its range.

    References
    ----------
    W. E. Dickson, *Practical Organ-Building* (1882), draws straight lines.

    Examples
    --------
    >>> round(drawn_size_mm(100, 17, 12, straight_line=True), 1), round(drawn_size_mm(100, 17, 12), 1)
    (64.7, 61.3)
    """
    lowest = _above_zero(lowest_mm, "size")
    if halving <= 0:
        raise ScaleError(
            say("halving in %(halving)s semitones is not above 0; 15 to 18 is usual", halving=f"{halving:g}")
        )
    if not straight_line:
        return lowest * math.exp2(-semitones / halving)
    if not 0 <= semitones <= halving:
        raise ScaleError(
            say(
                "%(semitones)s semitones are outside 0 to %(halving)s, where the line is drawn; begin again from "
                "the halved size",
                semitones=f"{semitones:g}",
                halving=f"{halving:g}",
            )
        )
    return lowest * (1 - semitones / (2 * halving))


def _above_zero(value: float, what: str) -> float:
    if not (math.isfinite(value) and value > 0):
        raise ScaleError(
            say("%(what)s %(value)s mm is not above 0; give a measured value", what=what, value=value)
        )
    return value
