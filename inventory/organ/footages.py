"""Footage: the pitch of a stop as the length of its longest open pipe, in feet, as a fraction.

A footage is exact (2⅔ is 8/3), so harmonics are exact too; cents and semitones follow.
What is unclear is refused with a remedy, never guessed: ``22/3`` may be 2 2/3 with its
space lost, ``2.667`` is a rounded number.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction

from inventory.organ.errors import PitchError
from inventory.organ.sentences import say

LONGEST_FEET = Fraction(128)
SHORTEST_FEET = Fraction(1, 8)

_VULGAR_FRACTIONS = {
    "½": "1/2", "⅓": "1/3", "⅔": "2/3", "¼": "1/4", "¾": "3/4", "⅕": "1/5", "⅖": "2/5", "⅗": "3/5",
    "⅘": "4/5", "⅙": "1/6", "⅚": "5/6", "⅐": "1/7", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
    "⅑": "1/9", "⅒": "1/10",
}  # fmt: skip
_FOOT_MARK = re.compile(
    r"\s*(?:['′’‘`´ʹ]|ft\.?|foot|feet|fuß|fuss|pieds?|pies?|voet|piedi)\s*$", re.IGNORECASE
)
_WHOLE = re.compile(r"(\d{1,3})", re.ASCII)
_FRACTION = re.compile(r"(\d{1,2})\s*/\s*(\d{1,2})", re.ASCII)
_MIXED = re.compile(r"(\d{1,3})(?:\s+|\s*[-+]\s*)(\d{1,2})\s*/\s*(\d{1,2})", re.ASCII)
_REMEDY = say('write feet such as "8", "2 2/3" or "1 3/5"')


def _shown(text: str) -> str:
    """A value as it can stand in a one-line message: short, nothing that breaks the line."""
    return ascii(text) if len(text) <= 40 else ascii(text[:37]) + "..."


def read_footage(text: str) -> Fraction:
    """Read a footage as written on a knob: ``8``, ``8′``, ``2 2/3``, ``2⅔``, ``1 3/5'``, ``16 ft``.

    Returns feet, exact, between 1/8 and 128. Raises PitchError for anything else:
    decimals (rounded), fractions above one without their whole number (a space may be
    lost), zero, words. Source: common practice of labels.

    >>> read_footage("2⅔′")
    Fraction(8, 3)
    """
    if not isinstance(text, str):
        raise PitchError(
            say("a footage is text, not %(text)s: %(remedy)s", text=_shown(repr(text)), remedy=_REMEDY)
        )
    if len(text) > 40:
        raise PitchError(
            say("%(text)s is too long for a footage: %(remedy)s", text=_shown(text), remedy=_REMEDY)
        )
    plain = text.replace("⁄", "/").replace("∕", "/")
    for sign, spelled in _VULGAR_FRACTIONS.items():
        plain = plain.replace(sign, f" {spelled}")
    plain = _FOOT_MARK.sub("", plain).strip()
    if match := _WHOLE.fullmatch(plain):
        feet = Fraction(int(match[1]))
    elif match := _MIXED.fullmatch(plain):
        feet = int(match[1]) + _proper(text, int(match[2]), int(match[3]))
    elif match := _FRACTION.fullmatch(plain):
        feet = _proper(text, int(match[1]), int(match[2]))
    elif re.fullmatch(r"\d+[.,]\d+", plain, re.ASCII):
        raise PitchError(
            say(
                "%(text)s is a rounded number, and a footage is exact: %(remedy)s",
                text=_shown(text),
                remedy=_REMEDY,
            )
        )
    else:
        raise PitchError(say("%(text)s is not a footage: %(remedy)s", text=_shown(text), remedy=_REMEDY))
    if not SHORTEST_FEET <= feet <= LONGEST_FEET:
        raise PitchError(
            say("%(text)s is outside 1/8 to 128 feet: %(remedy)s", text=_shown(text), remedy=_REMEDY)
        )
    return feet


def _proper(text: str, numerator: int, denominator: int) -> Fraction:
    if denominator == 0 or numerator == 0:
        raise PitchError(
            say("%(text)s has a nought in its fraction: %(remedy)s", text=_shown(text), remedy=_REMEDY)
        )
    if numerator >= denominator:
        raise PitchError(
            say("%(text)s is unclear (a space may be lost): %(remedy)s", text=_shown(text), remedy=_REMEDY)
        )
    return Fraction(numerator, denominator)


def write_footage(feet: Fraction) -> str:
    """Write feet as whole number and fraction, without a foot mark; read_footage reads it back.

    >>> write_footage(Fraction(8, 3))
    '2 2/3'
    """
    whole, rest = divmod(feet.numerator, feet.denominator)
    if not rest:
        return str(whole)
    fraction = f"{rest}/{feet.denominator}"
    return f"{whole} {fraction}" if whole else fraction


def harmonic_of(feet: Fraction) -> Fraction:
    """Harmonic of the 8′ fundamental a footage stands for: 8 / feet (2 2/3′ is the third).

    Raises PitchError for feet of nought or less. Source: values.md §3, after Grove, "Mutation stops".

    >>> harmonic_of(Fraction(8, 3))
    Fraction(3, 1)
    """
    if feet <= 0:
        raise PitchError(say("a footage of %(feet)s feet cannot be: it is above nought", feet=feet))
    return 8 / Fraction(feet)


def cents_of(feet: Fraction) -> float:
    """Pure interval above 8′ in cents, 1200·log2(8/feet); negative below 8′.

    >>> round(cents_of(Fraction(8, 5)), 3)
    2786.314
    """
    harmonic = harmonic_of(feet)
    return 1200 * (math.log2(harmonic.numerator) - math.log2(harmonic.denominator))


def interval_of(feet: Fraction) -> int:
    """Interval above 8′ in whole semitones, the nearest to the pure one: 4′ is 12, 1 3/5′ is 28.

    >>> interval_of(Fraction(32, 3))
    -5
    """
    return round(cents_of(feet) / 100)


def tempered_minus_pure_cents(feet: Fraction) -> float:
    """How far an equally tempered pipe lies above the pure pitch of the footage, in cents.

    100 · interval − cents: a tierce taken from a tempered rank is 13.69 cents sharp, a
    quint 1.96 flat (the opposite sign to tables of "pure against tempered").

    >>> [round(tempered_minus_pure_cents(Fraction(8, n)), 2) for n in (5, 3)]
    [13.69, -1.96]
    """
    return 100 * interval_of(feet) - cents_of(feet)
