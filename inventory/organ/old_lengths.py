"""Old lengths: feet, inches and lines of a stated town, with the source of each factor.

A foot is never guessed: the same words meant different lengths in different towns.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from types import MappingProxyType

from inventory.organ.errors import UnitError
from inventory.organ.sentences import say


@dataclass(frozen=True)
class Foot:
    """A foot (or palm) of one place and time."""

    name: str
    mm: float
    divided_into: int
    """Inches in it."""
    source: str


FEET = MappingProxyType(
    {
        foot.name: foot
        for foot in (
            Foot("English foot", 304.8, 12, "international agreement of 1959, exact; within 0.01 % before"),
            Foot(
                "pied du roi",
                144_000 / 443.296,
                12,
                "law of 19 frimaire VIII: the metre is 443.296 lignes; read in J. R. Pesche, "
                "Dictionnaire de la Sarthe I (1829), table of conversion",
            ),
            Foot("pied usuel", 1000 / 3, 12, "decree of 28 March 1812: a third of a metre; in use to 1839"),
            Foot(
                "Rhineland foot", 139.13 * 1000 / 443.296, 12, "law of 1816: 139.13 Paris lignes; from memory"
            ),
            Foot("Vienna foot", 316.081, 12, "316.08 read in secondary tables; last figure from memory"),
            Foot("Castilian foot", 278.635, 12, "vara of 835.905 mm in three feet; read in secondary tables"),
            Foot("Hamburg foot", 286.6, 12, "read in a secondary page; fourth figure not known"),
            Foot("Venetian foot", 347.735, 12, "table of building feet, read in a masonry school's glossary"),
            Foot(
                "Bolognese foot", 380.098, 12, "table of building feet, read in a masonry school's glossary"
            ),
            Foot(
                "Neapolitan palm before 1840",
                263.333367,
                12,
                "edict of 1480; read in a state archive's guide",
            ),
            Foot(
                "Neapolitan palm from 1840", 264.55026455, 12, "law of 6 April 1840; read in the same guide"
            ),
            Foot("Sicilian palm", 258.0, 12, "Enciclopedia Italiana, 'Palmo': 0.258 m"),
            Foot("Genoese palm", 248.0, 12, "Enciclopedia Italiana, 'Palmo': 0.248 m"),
            Foot("Portuguese palm", 220.0, 8, "Enciclopedia Italiana, 'Palmo': 0.22 m in 8 polegadas"),
        )
    }
)
"""Every foot that is understood, by name. Local feet differed by parts of a per cent."""

LINES_PER_INCH = 12
FINGERS_PER_FOOT = 16


def old_length_mm(
    foot: str, *, feet: float = 0, inches: float = 0, lines: float = 0, fingers: float = 0
) -> float:
    """Return an old length in millimetres.

    Parameters
    ----------
    foot
        Name in `FEET`. There is no default: the writer's foot must be stated.
    feet, inches, lines, fingers
        Parts of the length, each >= 0. An inch has 12 lines; a foot has 16 fingers (dedos).

    Returns
    -------
    float
        Millimetres.

    Raises
    ------
    UnitError
        If the foot is not stated or not known, or a part is negative.

    References
    ----------
    `FEET`, each with its own source. Twelve lines and sixteen fingers: common practice.

    Examples
    --------
    >>> round(old_length_mm("pied du roi", inches=1), 3), round(old_length_mm("pied du roi", lines=1), 4)
    (27.07, 2.2558)
    """
    if foot not in FEET:
        raise UnitError(
            say(
                "foot %(foot)s is not stated or not known; say which of: %(feet)s",
                foot=f"{foot!r}",
                feet=", ".join(FEET),
            )
        )
    if min(feet, inches, lines, fingers) < 0:
        raise UnitError(say("a part of the length is below 0; give each part as it was measured"))
    inch_mm = FEET[foot].mm / FEET[foot].divided_into
    return (
        feet * FEET[foot].mm
        + fingers * FEET[foot].mm / FINGERS_PER_FOOT
        + (inches + lines / LINES_PER_INCH) * inch_mm
    )


_PARTS = {
    "feet": r"pieds?|pies?|piedi|piede|palmos?|palmi|fu(?:ß|ss)|ft|feet|foot|'|′",
    "fingers": r"dedos?|doigts?",
    "inches": r"pouces?|pulgadas?|polegadas?|zoll|po|once|oncia|in|ins|inch|inches|p|''|\"|″",
    "lines": r"lignes?|l[ií]neas?|linien?|linee|linea|lines?|l|'''|‴",
}
_PART = re.compile(
    r"\s*(\d+\s+\d+/\d+|\d+/\d+|\d+(?:[.,]\d+)?)\s*(?:"
    + "|".join(f"(?P<{part}>{words})" for part, words in reversed(_PARTS.items()))
    + r")(?![^\W\d_])\.?",
    re.IGNORECASE,
)


def read_old_length_mm(text: str, foot: str) -> float:
    """Return a typed old length in millimetres.

    Parameters
    ----------
    text
        ``5 p 3 l``, ``2 pouces 4 lignes``, ``4 pies 6 dedos``, ``6 Zoll 2'''``. A single ``p`` is
        read as pouce, never as pied.
    foot
        Name in `FEET`; never guessed from the words, for many towns used the same words.

    Returns
    -------
    float
        Millimetres. Keep the text as written beside it.

    Raises
    ------
    UnitError
        If the text is not understood, a part comes twice, or the foot is not stated.

    References
    ----------
    `old_length_mm`.

    Examples
    --------
    >>> round(read_old_length_mm("5 p 3 l", "pied du roi"), 2)
    142.12
    """
    parts: dict[str, float] = {}
    place = 0
    while place < len(text.rstrip()):
        found = _PART.match(text, place)
        part = found.lastgroup if found else None
        if found is None or part is None or part in parts:
            raise UnitError(
                say(
                    "length %(text)s is not understood from %(strip)s; write it as '5 pouces 3 lignes', each unit "
                    "once",
                    text=f"{text!r}",
                    strip=f"{text[place:].strip()!r}",
                )
            )
        parts[part] = _number(found[1])
        place = found.end()
    if not parts:
        raise UnitError(say("the length is empty; write it as '5 pouces 3 lignes'"))
    return old_length_mm(foot, **parts)


def _number(text: str) -> float:
    """Read ``3``, ``2,5``, ``3/4`` or ``3 1/4``."""
    total = 0.0
    for part in text.replace(",", ".").split():
        over, _, under = part.partition("/")
        if under and float(under) == 0:
            raise UnitError(say("fraction %(part)s divides by 0; write it again", part=f"{part!r}"))
        total += float(over) / float(under or 1)
    return total
