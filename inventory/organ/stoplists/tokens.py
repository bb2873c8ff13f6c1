"""Cutting a plain line into words, numbers and signs, in one pass.

Numbers are joined only where the result can be a footage: ``2 2/3``, ``2.2/3``, ``2 ⅔``
and ``2,66`` become 8/3; ``13/2`` and ``15.19`` stay apart.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction

_SIGNS = "⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉"
_GLYPHS = "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒"
_LETTER = rf"[^\W\d_{_SIGNS}{_GLYPHS}]"
_DIGITS = str.maketrans(_SIGNS, "01234567890123456789")
_TOKEN = re.compile(
    rf"""(?P<mixed>(?P<whole>[0-9]{{1,2}})(?:\s|\s?[.\-]\s?)(?P<top>[0-9]{{1,2}})/(?P<bottom>[0-9]{{1,2}})(?![0-9/]))
    |(?P<glyph>(?:(?P<before>[0-9]{{1,2}})(?P<between>\s?[.\-]\s?|\s)?)?(?P<sign>[{_GLYPHS}]))
    |(?P<raised>(?P<base>[0-9]{{1,2}})?\s?(?P<up>[⁰¹²³⁴-⁹]{{1,2}})/(?P<down>[₀-₉]{{1,2}}))
    |(?P<fraction>(?P<over>[0-9]{{1,2}})/(?P<under>[0-9]{{1,2}})(?![0-9/]))
    |(?P<decimal>[0-9]{{1,2}}[.,][0-9]{{1,3}}(?![.,\-]?[0-9]))
    |(?P<number>[0-9]{{1,9}})
    |(?P<word>{_LETTER}{{2,}}(?:'{_LETTER}+)*|{_LETTER}(?:'{_LETTER}{{2,}})*)
    |(?P<primes>'{{1,4}}|")
    |(?P<dots>\.{{2,}})|(?P<dot>\.)|(?P<arrow>->|→|=>)|(?P<dash>-+)|(?P<slash>/)|(?P<comma>,)
    |(?P<semicolon>;)|(?P<colon>:)|(?P<plus>\+)|(?P<equals>=)|(?P<amp>&)
    |(?P<open>[(\[{{])|(?P<close>[)\]}}])|(?P<mark>[*°†‡§])|(?P<space>\s+)|(?P<other>.)
    """,
    re.VERBOSE | re.DOTALL,
)
_ROMAN = re.compile(r"(?=[ivx])(x{0,3})(ix|iv|v?i{0,3})", re.IGNORECASE)
_ROMAN_VALUES = {"i": 1, "v": 5, "x": 10}


@dataclass(frozen=True)
class Token:
    """A piece of a line."""

    kind: str
    text: str
    start: int
    end: int
    value: Fraction | None = None
    spaced: bool = False
    """Whether a space stands before it."""

    @property
    def integer(self) -> int | None:
        """The whole number it is, or None."""
        return int(self.value) if self.value is not None and self.value.denominator == 1 else None


def is_legal_footage(feet: Fraction) -> bool:
    """Whether an open pipe of this length sounds a harmonic of 64 feet, as every footage does.

    Common practice: 2 2/3 is 64/24. Old labels (3, 1 1/2) and palms (13) are not legal in
    this sense and are translated by rule.

    >>> is_legal_footage(Fraction(8, 3)), is_legal_footage(Fraction(3)), is_legal_footage(Fraction(8, 9))
    (True, False, True)
    """
    if not Fraction(1, 8) <= feet <= 64 or feet.denominator > 19:
        return False
    return (64 / feet).denominator == 1


def roman_value(text: str) -> int | None:
    """Value of a Roman numeral from I to XXXIX, or None.

    >>> roman_value("XXII"), roman_value("iv"), roman_value("mix")
    (22, 4, None)
    """
    if len(text) > 7 or not text.isascii() or not _ROMAN.fullmatch(text):
        return None
    total, before = 0, 0
    for sign in reversed(text.lower()):
        value = _ROMAN_VALUES[sign]
        total += -value if value < before else value
        before = max(before, value)
    return total


def cut(text: str) -> list[Token]:
    """The tokens of a plain line; spaces are kept only as `spaced` of what follows.

    >>> [t.text for t in cut("Nasard 2 2/3' (97 p.)")]
    ['Nasard', '2 2/3', "'", '(', '97', 'p', '.', ')']
    """
    tokens: list[Token] = []
    place, spaced = 0, False
    while place < len(text):
        match = _TOKEN.match(text, place)
        assert match is not None, "the last alternative takes any sign"
        kind, value, end = _number(match, text)
        if kind == "space":
            spaced = True
        else:
            tokens.append(Token(kind, text[place:end], place, end, value, spaced))
            spaced = False
        place = end
    return tokens


def _number(match: re.Match[str], text: str) -> tuple[str, Fraction | None, int]:
    """Kind, value and end of a match; a join that is no footage is undone to its first whole number."""
    group = next(name for name in _OUTER if match[name] is not None)
    value: Fraction | None = None
    if group == "mixed":
        value = _sum(match["whole"], match["top"], match["bottom"])
    elif group == "glyph":
        value = int(match["before"] or 0) + Fraction(unicodedata.numeric(match["sign"])).limit_denominator(20)
    elif group == "raised":
        value = _sum(match["base"] or "0", match["up"].translate(_DIGITS), match["down"].translate(_DIGITS))
    elif group == "fraction":
        value = _sum("0", match["over"], match["under"])
    elif group == "decimal":
        value = _near_footage(match[0])
    elif group == "number":
        return "number", Fraction(int(match[0])), match.end()
    else:
        return group, None, match.end()
    joined = group == "glyph" and not (match["between"] or "").strip()
    usable = value is not None and (is_legal_footage(value) or joined)
    if not usable and group == "mixed" and match["bottom"] == "2" and match["top"] == "1":
        usable = True  # 1 1/2 is an old label, 4 1/2 a number of octaves
    if not usable:
        whole = re.compile(r"[0-9]{1,9}").match(text, match.start())
        if whole is None:
            return "other", None, match.start() + 1
        return "number", Fraction(int(whole[0])), whole.end()
    return "number", value, match.end()


_OUTER = (
    "mixed", "glyph", "raised", "fraction", "decimal", "number", "word", "primes", "dots", "dot", "arrow",
    "dash", "slash", "comma", "semicolon", "colon", "plus", "equals", "amp", "open", "close", "mark",
    "space", "other",
)  # fmt: skip


def _sum(whole: str, top: str, bottom: str) -> Fraction | None:
    """A whole number and a proper fraction, or None."""
    if int(bottom) == 0 or not 0 < int(top) < int(bottom):
        return None
    return int(whole) + Fraction(int(top), int(bottom))


def _near_footage(text: str) -> Fraction | None:
    """The footage a rounded decimal stands for (2,66 is 2 2/3), or None."""
    typed = Fraction(text.replace(",", "."))
    for harmonic in (3, 5, 6, 7, 10, 12, 14, 20, 24, 28, 40, 48, 56, 72, 80, 96):
        feet = Fraction(64, harmonic)
        if feet.denominator > 1 and abs(feet - typed) < Fraction(1, 100):
            return feet
    halves = Fraction(round(typed * 2), 2)
    return halves if halves == typed and halves in (Fraction(3, 2), Fraction(13, 2)) else None
