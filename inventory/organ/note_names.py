"""Reading typed names of notes, in every notation surveyors use.

A name often fits several notations: C1 is the C of the 8' octave in French and Italian
octave numbers, an octave lower in scientific ones. Every reading is returned with the
notation it belongs to, the likeliest first; nothing is decided here that the sign alone
does not decide. Compasses decide more, because both ends must fit (see `compasses`).
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import NamedTuple

from inventory.organ.errors import NoteError
from inventory.organ.sentences import say
from inventory.organ.typed_text import fold, plain_text

_LETTER_STEPS = {"c": 0, "d": 2, "e": 4, "f": 5, "g": 7, "a": 9, "b": 11, "h": 11}
_SYLLABLE_STEPS = {"do": 0, "ut": 0, "re": 2, "mi": 4, "fa": 5, "sol": 7, "la": 9, "si": 11}
_ACCIDENTALS = {
    "#": 1, "is": 1, "s": 1, "dièse": 1, "dièze": 1, "diese": 1, "diesis": 1, "sostenido": 1, "sharp": 1,
    "b": -1, "es": -1, "bémol": -1, "bemol": -1, "bemolle": -1, "flat": -1, "": 0,
}  # fmt: skip
_DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉", "01234567890123456789")
# Words before a letter that name its octave: MIDI number of the octave's C.
_OCTAVE_WORDS = {
    "tenor": 48, "ten": 48, "middle": 60, "mid": 60, "treble": 72, "fiddle": 48, "gamut": 36, "clef": 48,
    "small": 48, "great": 36, "kleines": 48, "kl": 48, "klein": 48,
    "gross": 36, "groß": 36, "grosses": 36, "großes": 36, "gr": 36,
    "eingestrichenes": 60, "zweigestrichenes": 72, "dreigestrichenes": 84,
}  # fmt: skip

_WORDED = re.compile(
    r"(?P<word>tenor|ten|middle|mid|treble|fiddle|gamut|clef|small|great|kleines|klein|kl|gro(?:ss|ß)(?:es)?|gr"
    r"|(?:ein|zwei|drei)gestrichenes)\.?\s?(?P<letter>[a-h])(?P<accidental>#|b|is|es)?(?![^\W_]|')",
    re.IGNORECASE,
)
_IN_ALT = re.compile(
    r"(?P<letter>[A-Ga-g])(?P<accidental>#|b)?\sin\salt(?P<higher>issimo)?(?:\.|(?!\w))", re.IGNORECASE
)
_SYLLABLE = re.compile(
    r"(?P<letter>do|ut|r[eé]|mi|fa|sol|la|si)"
    r"(?:\s?(?P<accidental>#|di[eèé][sz]e|diesis|sostenido|b[eé]mol(?:le)?|b(?![a-z])))?"
    r"\s?(?P<octave>-?[0-9]|[⁰¹²³⁴⁵⁶⁷⁸⁹₀₁₂₃₄₅₆₇₈₉])?(?!\w)",
    re.IGNORECASE,
)
_LETTER = re.compile(
    r"(?P<letters>C{1,4}|D{1,4}|E{1,4}|F{1,4}|G{1,4}|A{1,4}|B{1,4}|H{1,4}|[a-h])"
    r"(?P<accidental>#|is|es|IS|ES|s(?=[0-9'\"⁰¹²³⁴⁵⁶⁷⁸⁹]|\b)|b(?![a-z]))?"
    r"(?P<octave>[0-9]{1,3}|[⁰¹²³⁴⁵⁶⁷⁸⁹]|[₀₁₂₃₄₅₆₇₈₉]|'{1,4}|\"'?|\"\"|°)?(?![\w'\"#])"
)


class NoteCandidate(NamedTuple):
    """One way to read a typed note."""

    note: int
    """MIDI number, 36 = C of the 8' octave."""
    notation: str
    """``helmholtz``, ``english``, ``octave numbers``, ``scientific``, ``written without octave``;
    with ``?`` where the notation is unusual for such a sign and needs something to confirm it."""


@dataclass(frozen=True)
class NoteReading:
    """A typed note and everything it can mean."""

    text: str
    start: int
    end: int
    step: int
    """Semitones above C, 0-11, of the likeliest reading."""
    candidates: tuple[NoteCandidate, ...]
    """The likeliest first; several when the sign alone does not decide."""
    number: int | None = None
    """The figure beside the letter, which may be a key's ordinal."""
    marked: bool = False
    """Whether an octave was written, by figure, primes, word or doubled letters."""

    @property
    def note(self) -> int | None:
        """The note, or None when there are several likely readings."""
        return self.notes[0] if len(self.notes) == 1 else None

    @property
    def notes(self) -> tuple[int, ...]:
        """Every note it can likely mean, once each; far-fetched readings (``?``) only for want of others."""
        likely = [c for c in self.candidates if not c.notation.endswith("?")]
        return tuple(dict.fromkeys(c.note for c in likely or self.candidates))


def read_note(text: str, language: str | None = None, *, case_lost: bool = False) -> NoteReading:
    """Read one note in Helmholtz, scientific, English or do/ut notation.

    `language` (``de``, ``en``, ``fr``, ``es``, ``it`` or None) decides whether B is
    B flat (German) or B natural; without it both are candidates. `case_lost` says that
    the line was typed in one case, so C and c are both possible. Notes are MIDI numbers.

    Raises NoteError when the text is no note.

    >>> read_note("c#1").note, read_note("ut#3").note, read_note("Cis").note, read_note("GG").note
    (61, 61, 37, 31)
    >>> [c.note for c in read_note("B").candidates], read_note("B", "de").note
    ([47, 46], 46)
    """
    plain = plain_text(text).text.strip()
    reading = scan_note(plain, 0, language, case_lost=case_lost)
    if reading is None or reading.end != len(plain):
        raise NoteError(
            say(
                "%(text)s is not a note; write it as c#1, c'', C2, CC, do3, Ten C or Cis (c1 = middle C)",
                text=f"{text[:40]!r}",
            )
        )
    return reading


def scan_note(
    text: str, start: int, language: str | None = None, *, case_lost: bool = False
) -> NoteReading | None:
    """Find a note that begins exactly at `start` of a plain text; None when there is none.

    Each pattern is anchored and bounded, so the time does not grow with the text.

    >>> scan_note("from c1 up", 5).note
    60
    """
    for pattern, read in (
        (_WORDED, _read_worded),
        (_IN_ALT, _read_in_alt),
        (_LETTER, _read_letter),
        (_SYLLABLE, _read_syllable),
    ):
        match = pattern.match(text, start)
        if match:
            reading = read(match, language, case_lost)
            if reading is not None:
                return reading
    return None


def _step_and_flat(letter: str, accidental: str) -> int:
    return _LETTER_STEPS[letter.lower()] + _ACCIDENTALS[accidental.lower()]


def _with_german_b(
    letter: str, accidental: str, candidates: list[NoteCandidate], language: str | None
) -> tuple[NoteCandidate, ...]:
    """B is B flat in German; without a known language both are possible, natural first."""
    if letter.lower() != "b" or accidental:
        return tuple(candidates)
    flat = [NoteCandidate(note - 1, notation) for note, notation in candidates]
    if language == "de":
        return tuple(flat)
    return tuple(candidates + flat) if language is None else tuple(candidates)


def _read_worded(match: re.Match[str], language: str | None, _: bool) -> NoteReading | None:
    word, letter = fold(match["word"]), match["letter"]
    accidental = match["accidental"] or ""
    base = _OCTAVE_WORDS[word]
    note = base + _step_and_flat(letter, accidental)
    candidates = [
        NoteCandidate(note, "english" if word in ("ten", "tenor", "mid", "middle") else "helmholtz")
    ]
    if word in ("mid", "middle") and letter.lower() in "abh":
        # The B below middle C and the B above it are both called so.
        candidates.insert(0, NoteCandidate(note - 12, "english"))
    chosen = _with_german_b(letter, accidental, candidates, language or "en")
    return NoteReading(match[0], match.start(), match.end(), note % 12, chosen, marked=True)


def _read_in_alt(match: re.Match[str], language: str | None, _: bool) -> NoteReading | None:
    letter, accidental = match["letter"], match["accidental"] or ""
    step = _step_and_flat(letter, accidental)
    note = (96 if match["higher"] else 84) + step
    candidates = [NoteCandidate(note, "english")]
    if letter.lower() in "gab":
        # By the gamut "in alt" begins at the G below; by the octave of C at the G above.
        candidates.append(NoteCandidate(note - 12, "english"))
    return NoteReading(match[0], match.start(), match.end(), step % 12, tuple(candidates), marked=True)


def _read_syllable(match: re.Match[str], language: str | None, _: bool) -> NoteReading | None:
    accidental = fold(match["accidental"] or "")
    step = _SYLLABLE_STEPS[fold(match["letter"])] + _ACCIDENTALS.get(accidental, 1)
    typed = match["octave"]
    if typed is None:
        candidates = [NoteCandidate(base + step, "written without octave") for base in (36, 48, 60, 72, 84)]
        return NoteReading(match[0], match.start(), match.end(), step % 12, tuple(candidates))
    octave = int(typed.translate(_DIGITS))
    # do1 is the 8' C: the octave numbers of France, Italy and Spain.
    candidates = [NoteCandidate(36 + 12 * (octave - 1) + step, "octave numbers")]
    return NoteReading(match[0], match.start(), match.end(), step % 12, tuple(candidates), octave, True)


def _read_letter(match: re.Match[str], language: str | None, case_lost: bool) -> NoteReading | None:
    letters, accidental, typed = match["letters"], match["accidental"] or "", match["octave"] or ""
    letter = letters[0]
    if accidental.lower() == "es" and letter.lower() in "ae":
        return None  # "Aes" and "Ees" are no names: A flat is As, E flat is Es
    if accidental.lower() == "s" and letter.lower() in "ea":
        accidental = "b"  # German Es, As are flats
    step = _step_and_flat(letter, accidental)
    number = int(typed.translate(_DIGITS)) if typed and typed[0] not in "'\"°" else None
    found = _octaves_of(letters, typed, number, accidental)
    candidates = [NoteCandidate(base + step, notation) for base, notation in found]
    if case_lost and len(letters) == 1 and not (letter.islower() and typed not in ("", "°")):
        other = _octaves_of(letter.swapcase(), typed, number, accidental)
        candidates += [NoteCandidate(base + step, notation) for base, notation in other]
    candidates = [found for found in dict.fromkeys(candidates) if 0 <= found.note <= 127]
    if not candidates and not (number is not None and 10 <= number <= 128):
        return None  # with a high figure it can still be a letter and the number of its key
    # German doubles no B: HH is its note, so BB is English.
    chosen = _with_german_b(letter, accidental, candidates, language if len(letters) == 1 else "en")
    marked = bool(typed) or len(letters) > 1
    return NoteReading(match[0], match.start(), match.end(), step % 12, chosen, number, marked)


def _octaves_of(letters: str, typed: str, number: int | None, accidental: str) -> list[tuple[int, str]]:
    """(MIDI number of the octave's C, notation) for each way to read letters and octave sign."""
    raised = typed[:1] in "⁰¹²³⁴⁵⁶⁷⁸⁹" and typed != ""
    lowered = typed[:1] in "₀₁₂₃₄₅₆₇₈₉" and typed != ""
    primes = typed.count("'") + 2 * typed.count('"')
    if len(letters) > 1:
        # CC is the 8' C in English, an octave lower on the continent; GG, FF are one note in both.
        english = 36 - 12 * (len(letters) - 2) if letters[0] in "C" else 0
        if typed:
            return []
        if letters[0] == "C":
            return [(english, "english"), (36 - 12 * (len(letters) - 1), "helmholtz")]
        # By the old gamut GG, AA, BB lie below CC, and so do FF, EE, DD; where octaves are
        # counted from C (CCC to BBB) they lie above it.
        below = 24 - 12 * (len(letters) - 2)
        return [(below, "english"), (below + 12, "english from C?")]
    if letters.islower():
        if not typed or typed == "°":
            return [(48, "helmholtz")]
        if number is not None:
            found = [(48 + 12 * number, "helmholtz")]
            others = [(36 + 12 * (number - 1), "octave numbers?"), (12 + 12 * number, "scientific?")]
            return found if raised else found + others
        return [(48 + 12 * primes, "helmholtz")]
    if not typed:
        return [(36, "helmholtz")]
    if typed == "°":
        return [(48, "helmholtz"), (36, "helmholtz")]
    if primes:
        return [(36 - 12 * primes, "helmholtz"), (48 + 12 * primes, "helmholtz, small letter meant")]
    assert number is not None
    if lowered:
        return [(36 - 12 * number, "helmholtz")]
    if raised:
        return [(48 + 12 * number, "helmholtz, small letter meant")]
    found = [(12 + 12 * number, "scientific"), (36 + 12 * (number - 1), "octave numbers")]
    if accidental in ("is", "es", "s"):
        found.insert(0, (48 + 12 * number, "helmholtz, small letter meant"))
    return found
