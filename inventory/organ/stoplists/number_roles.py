"""What the numbers of a stoplist stand for: feet, old labels, palms, degrees of the scale."""

from __future__ import annotations

from fractions import Fraction
from typing import NamedTuple

from inventory.organ.footages import write_footage
from inventory.organ.stoplists.tokens import is_legal_footage

# Degrees of the scale on an 8' stop and the harmonic they sound. Common practice of English
# and Italian compositions: the fifteenth is 2', the nineteenth 1 1/3'.
DEGREE_HARMONICS: dict[int, Fraction] = {
    1: Fraction(1), 5: Fraction(3, 2), 8: Fraction(2), 10: Fraction(5, 2), 12: Fraction(3), 15: Fraction(4),
    17: Fraction(5), 19: Fraction(6), 21: Fraction(7), 22: Fraction(8), 24: Fraction(10), 26: Fraction(12),
    29: Fraction(16), 31: Fraction(20), 33: Fraction(24), 36: Fraction(32), 38: Fraction(40),
    40: Fraction(48), 43: Fraction(64),
}  # fmt: skip

# Rounded labels of quints and tierces on old knobs. Common practice; practice.md §8.1.
_OLD_LABELS: dict[str, dict[Fraction, Fraction]] = {
    "quint": {
        Fraction(12): Fraction(32, 3), Fraction(6): Fraction(16, 3), Fraction(11, 2): Fraction(16, 3),
        Fraction(3): Fraction(8, 3), Fraction(5, 2): Fraction(8, 3), Fraction(3, 2): Fraction(4, 3),
    },
    "tierce": {Fraction(7, 2): Fraction(16, 5), Fraction(7, 4): Fraction(8, 5)},
}  # fmt: skip

# Iberian palms: a flautado of 13 palms is the 8' (regional; practice.md §8.1).
_PALMS: dict[Fraction, Fraction] = {
    Fraction(52): Fraction(32), Fraction(26): Fraction(16), Fraction(13): Fraction(8),
    Fraction(13, 2): Fraction(4), Fraction(7): Fraction(4), Fraction(13, 4): Fraction(2),
}  # fmt: skip
_PALM_NAMES = ("flautado", "octava", "violon", "tapado", "tapadillo", "bordon", "contras", "fl")


class Feet(NamedTuple):
    """A length in feet and the rule it was found by; None when the number is no footage."""

    feet: Fraction | None
    rule: str


def feet_of(value: Fraction, family: str, folded_name: str, *, palms: bool = False) -> Feet:
    """Feet a number on a label stands for, with the rule when it is not the number itself.

    `family` is the stop's family in the vocabulary, `palms` whether the word was written.

    >>> feet_of(Fraction(3), "quint", "quinte")
    Feet(feet=Fraction(8, 3), rule='old label: 3 on a quint stands for 2 2/3')
    >>> feet_of(Fraction(13), "principal", "flautado").feet
    Fraction(8, 1)
    """
    palm_stop = folded_name.split(" ", 1)[0] in _PALM_NAMES
    if palms or (palm_stop and value in _PALMS and not is_legal_footage(value)):
        if value in _PALMS:
            feet = _PALMS[value]
            return Feet(
                feet, f"{write_footage(value)} palms are {write_footage(feet)} feet (Iberian, regional)"
            )
        return Feet(None, f"{write_footage(value)} palms are no usual length: 52, 26, 13 or 6 1/2")
    if is_legal_footage(value):
        return Feet(value, "")
    if value in _OLD_LABELS.get(family, {}):
        feet = _OLD_LABELS[family][value]
        kind = "quint" if family == "quint" else "tierce"
        rule = f"old label: {write_footage(value)} on a {kind} stands for {write_footage(feet)}"
        return Feet(feet, rule)
    return Feet(None, "no pipe of this length sounds a harmonic of 64 feet")


def feet_of_degree(degree: int) -> str | None:
    """Footage of a degree of the scale counted from 8 feet; None for no usual degree.

    >>> [feet_of_degree(d) for d in (15, 19, 22, 26, 29)]
    ['2', '1 1/3', '1', '2/3', '1/2']
    """
    harmonic = DEGREE_HARMONICS.get(degree)
    return None if harmonic is None else write_footage(8 / harmonic)


def near_footages(value: Fraction) -> tuple[str, ...]:
    """The legal footages nearest to a number that is none, for a question.

    >>> near_footages(Fraction(3))
    ('3 1/5', '2 2/3', '2 2/7')
    """
    known = {
        Fraction(64, n) for n in (2, 3, 4, 5, 6, 8, 10, 12, 14, 16, 20, 24, 28, 32, 40, 48, 56, 64, 72, 96)
    }
    nearest = sorted(known, key=lambda feet: abs(float(feet) / float(value) - 1) if value else 0.0)
    return tuple(write_footage(feet) for feet in nearest[:3])
