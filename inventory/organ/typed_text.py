"""Typed lines made comparable: one spelling for signs that look alike, with the way back.

A surveyor types a prime as an apostrophe, an accent or a real prime; a spreadsheet
stores é as one sign or as two. Everything that reads typed lines reads the plain form
and reports columns of the line as it was typed.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass

_SAME = {
    "'": "′’‘´`ʹʼ‵＇",
    '"': "″“”„‶＂",
    "-": "–—‒‑−‐",
    " ": "\u00a0\u2002\u2003\u2007\u2009\u202f\u3000\u2005\u2006\u200a",
    "#": "♯＃",
    "/": "⁄∕",
    "°": "º˚",
    "x": "×",
    "b": "♭",
}
_ONE_TO_ONE = {ord(sign): plain for plain, signs in _SAME.items() for sign in signs}
_APOSTROPHES = str.maketrans(dict.fromkeys("’‘ʼ＇", "'"))
_KEPT = frozenset("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅐⅛⅜⅝⅞⅑⅒ªß")
_WIDER = {"‴": "'''", "⁗": "''''"}
_INVISIBLE = frozenset("\u200b\u200c\u200d\u2060\ufeff\u00ad")
_LINE_END = re.compile(r"\r\n|\r|\n")


@dataclass(frozen=True)
class PlainText:
    """A line in plain signs and the place each of them has in the typed line."""

    text: str
    places: tuple[int, ...] | None
    """Index in the typed line of each plain sign; None where they are the same."""

    def column(self, index: int) -> int:
        """Column (from 1) in the typed line of a place in the plain text.

        >>> plain_text("re\\u0301cit 8").column(6)
        8
        """
        if self.places is None:
            return index + 1
        if index < len(self.places):
            return self.places[index] + 1
        return (self.places[-1] + 2) if self.places else 1


def plain_text(line: str) -> PlainText:
    """A typed line in plain signs: primes, dashes, spaces, accents in one form each, spaces single.

    Fraction glyphs and raised figures are kept, because they mean something of their
    own (c² is a note, ½ a half); everything else that is only another form of a plain
    sign becomes that sign. Never fails.

    >>> plain_text("C–f′′′").text
    "C-f'''"
    """
    composed = line if line.isascii() else line.translate(_ONE_TO_ONE)
    if composed.isascii() and "  " not in composed:
        return PlainText(composed, None)
    signs: list[str] = []
    places: list[int] = []
    start = 0
    while start < len(composed):
        end = start + 1
        while end < len(composed) and unicodedata.combining(composed[end]):
            end += 1
        cluster = composed[start:end]
        repeated = cluster == " " and signs[-1:] == [" "]
        for sign in "" if repeated else _plain_sign(cluster):
            signs.append(sign)
            places.append(start)
        start = end
    return PlainText("".join(signs), tuple(places))


def _plain_sign(cluster: str) -> str:
    """One sign with its accents in plain form; empty for signs nobody sees."""
    if cluster in _WIDER:
        return _WIDER[cluster]
    if cluster[0] in _INVISIBLE:
        return ""
    if cluster in _KEPT:
        return cluster
    single = len(cluster) == 1
    plain = unicodedata.normalize("NFKC", cluster) if single else unicodedata.normalize("NFC", cluster)
    plain = plain.translate(_ONE_TO_ONE)
    # One base with a heap of accents has no single sign: the base stands for it.
    return plain if single or len(plain) == 1 else plain[0]


def fold(word: str) -> str:
    """A word without case and accents, every apostrophe a straight one, for looking it up in a vocabulary.

    >>> fold("Récit"), fold("GROẞ"), fold("Órgano"), fold("d’autre")
    ('recit', 'gross', 'organo', "d'autre")
    """
    if word.isascii():
        return word.lower()
    bare = unicodedata.normalize("NFD", word.casefold()).translate(_APOSTROPHES)
    return "".join(sign for sign in bare if not unicodedata.combining(sign))


def split_lines(text: str) -> list[str]:
    """The lines of a text, whatever system it was typed on; no other sign ends a line.

    >>> split_lines("a\\r\\nb\\x0bc\\rd\\n")
    ['a', 'b\\x0bc', 'd', '']
    """
    return _LINE_END.split(text.removeprefix("\ufeff"))


def case_is_lost(text: str, words: list[str]) -> bool:
    """Whether a line was typed in one case only, so that C and c cannot be told apart.

    `words` are the words of the line that are no notes; a line with none of three
    letters or more says nothing about case.

    >>> case_is_lost("BOURDON 16 (C-B)", ["BOURDON"]), case_is_lost("Bourdon 16 (C-B)", ["Bourdon"])
    (True, False)
    """
    long_words = [word for word in words if sum(map(str.isalpha, word)) >= 3]
    if not long_words:
        return False
    if text == text.upper() or text == text.lower():
        return True
    # sWAPPED case comes from a stuck key: no better.
    return any(word[0].islower() and word[1:].isupper() for word in long_words)
