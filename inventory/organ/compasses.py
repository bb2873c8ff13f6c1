"""Reading typed compasses: ``C–f³``, ``CC to F in alt``, ``C/E–c3 (45)``, ``C1–F54``.

Each end may fit several notations. All pairs are tried; what is stated beside them (the
number of keys, manual or pedal) decides when exactly one pair fits. Otherwise the
reading holds no compass but the candidates, to be asked.
"""

from __future__ import annotations

import re
from itertools import pairwise, product

from inventory.organ.compass_choice import CompassPair, CompassReading, choose_compass, compass_of_count
from inventory.organ.errors import NoteError
from inventory.organ.note_names import NoteReading, scan_note
from inventory.organ.short_octaves import Compass, make_compass, note_of_key, short_octave_notes
from inventory.organ.typed_text import case_is_lost, plain_text

_KEY_WORDS = (
    r"keys?|notes?|notas?|note|n|t|p|touches?|teclas?|tasti|tasten|t[oö]ne?|pipes?|pfeifen|tuyaux|tubos|canne"
)
_COUNT = re.compile(rf"(?<![\w#])(\d{{1,3}})\s?\??\s?(?:{_KEY_WORDS})\b\.?", re.IGNORECASE)
_BARE_COUNT = re.compile(r"(?<![\w#.,/'\"-])(\d{1,3})(?![\w.,/'\"]|\s?-)")
_OCTAVES = re.compile(r"(?<!\w)(\d{1,2})\s?(½|1/2|[.,]5)?\s?(?:oct|okt|ott)\w*\.?", re.IGNORECASE)
_SHORT = re.compile(r"\b(?:short|courte|kurze?|corta|incompleta)\b", re.IGNORECASE)
_BROKEN = re.compile(
    r"\b(?:broken|bris[eé]e|gebrochene?|quebrada|spezzata|split (?:keys|sharps))\b", re.IGNORECASE
)
_SHORT_OCTAVE = re.compile(
    rf"^\s*(?:{_SHORT.pattern}|{_BROKEN.pattern})?\W*(?:oct|okt|ott)\w*\W*(?:{_SHORT.pattern}|{_BROKEN.pattern})?\W*$",
    re.IGNORECASE,
)
_WITHOUT = re.compile(
    r"\b(?:no|without|lacks?|lacking|minus|ohne|sans|senza|sin|missing)\b\s*", re.IGNORECASE
)
_BETWEEN = re.compile(r"\s*(?:-{1,2}|\.{2,3}|\bto\b|\bà|\bbis\b|\bhasta\b|\bal?\b)\s*", re.IGNORECASE)
_DIVIDED = re.compile(r"\b(?:divided|geteilt|coup[eé]e?s?|partidos?|diviso|split)\b\D{0,8}?\s", re.IGNORECASE)
_RUN_TOGETHER = re.compile(r"(?<![^\W_])([A-H]{2,8})(?=\s*(?:-|to\b|bis\b|à|hasta\b))")
_WORD = re.compile(r"[^\W\d_]{3,}")
_DOUBTFUL = ("helmholtz, small letter meant", "octave not written")
_LETTERS = ("helmholtz", "english", "english from C?", *_DOUBTFUL, "written without octave")


def read_compass(
    text: str, *, language: str | None = None, kind: str | None = None, keyboard: Compass | None = None
) -> CompassReading:
    """Read a compass in any notation; a doubtful one comes back as candidates with the reason.

    `language` settles German B and H; `kind` (``manual``, ``pedal`` or None) settles
    what is plausible; `keyboard` gives key ordinals (``D15–G44``) their notes. Never
    raises: what is no compass at all has neither compass nor candidates, and a reason to ask.

    >>> read_compass("C/E–c3 (45)").compass.text
    '45 keys, C to c³, short octave C/E'
    >>> [c.text for c in read_compass("C to F", kind="pedal").candidates]
    ['30 keys, C to f¹', '18 keys, C to f']
    """
    plain = plain_text(text[:400]).text
    lost = case_is_lost(plain, _WORD.findall(plain)) or plain == plain.lower()
    stated, octaves, rest = _stated_counts(plain)
    short = "short" if _SHORT.search(rest) else "broken" if _BROKEN.search(rest) else ""
    pairs, split, bare = _find_pairs(rest, language, kind, lost, short, keyboard)
    if stated is None and bare is not None:
        stated = bare
    if not pairs:
        return compass_of_count(stated, octaves, plain)
    compasses = [(pair, _compass_of(pair, split)) for pair in pairs]
    return choose_compass([(p, c) for p, c in compasses if c is not None], stated, octaves, kind)


def only_a_short_octave(text: str) -> bool:
    """Whether a line speaks of a short or broken octave and of nothing else.

    >>> only_a_short_octave("kurze Oktave"), only_a_short_octave("Octave 4")
    (True, False)
    """
    plain = plain_text(text[:80]).text
    return bool(_SHORT_OCTAVE.match(plain) and (_SHORT.search(plain) or _BROKEN.search(plain)))


def _stated_counts(text: str) -> tuple[int | None, float | None, str]:
    """The number of keys and of octaves a person wrote, and the text without them."""
    octaves = None
    if match := _OCTAVES.search(text):
        octaves = int(match[1]) + (0.5 if match[2] else 0)
        text = text[: match.start()] + " " + text[match.end() :]
    if match := _COUNT.search(text):
        return int(match[1]), octaves, text[: match.start()] + " " + text[match.end() :]
    return None, octaves, text


def _find_pairs(
    text: str, language: str | None, kind: str | None, lost: bool, short: str, keyboard: Compass | None
) -> tuple[list[CompassPair], int | None, int | None]:
    """Every reading of the first range in the text; first treble note; a bare number beside it."""
    text = _RUN_TOGETHER.sub(lambda m: ",".join(x[0] for x in re.finditer(r"([A-H])\1*", m[1])), text)
    for start in _places(text):
        low = _low_end(text, start, language, lost)
        if low is None:
            continue
        notes, end, slash = low
        between = _BETWEEN.match(text, end)
        high = scan_note(text, between.end(), language, case_lost=lost) if between else None
        if high is None:
            continue
        after = text[high.end :]
        without, after = _missing_notes(after, language)
        pairs = _pairs_of(notes, slash, high, kind, short, without, keyboard)
        joined, split = _second_half(pairs, after, language, lost)
        bare = _BARE_COUNT.search(text[:start] + " " + after)
        return joined, split, int(bare[1]) if bare else None
    bare = _BARE_COUNT.search(text)
    return [], None, int(bare[1]) if bare else None


def _places(text: str) -> list[int]:
    """Where a note may begin: at the start of a word."""
    return [m.start() for m in re.finditer(r"(?<![^\W_])(?<![,/])[^\W\d_]", text)][:60]


def _low_end(
    text: str, start: int, language: str | None, lost: bool
) -> tuple[list[NoteReading], int, bool] | None:
    """The notes of the low end: ``C``, ``C,D`` (no C♯) or ``C/E`` (short octave)."""
    first = scan_note(text, start, language, case_lost=lost)
    if first is None:
        return None
    notes, end, slash = [first], first.end, False
    while len(notes) < 8 and end < len(text) and text[end] in ",/" and not slash:
        slash = text[end] == "/"
        at = end + 1 + (text[end + 1 : end + 2] == " ")
        following = scan_note(text, at, language, case_lost=lost)
        if following is None:
            return None
        notes.append(following)
        end = following.end
    return notes, end, slash


def _missing_notes(text: str, language: str | None) -> tuple[list[NoteReading], str]:
    """Notes said to be missing (``no GG#, AA#``), and the text without them."""
    match = _WITHOUT.search(text)
    found: list[NoteReading] = []
    end = match.end() if match else 0
    while match and len(found) < 12:
        note = scan_note(text, end, language)
        if note is None:
            break
        found.append(note)
        end = note.end
        more = re.compile(r"\s*(?:,|&|/|and|und|et|y|e)\s*").match(text, end)
        if not more:
            break
        end = more.end()
    return found, (text[: match.start()] + " " + text[end:] if match and found else text)


def _pairs_of(
    lows: list[NoteReading], slash: bool, high: NoteReading, kind: str | None, short: str,
    without: list[NoteReading], keyboard: Compass | None,
) -> list[CompassPair]:  # fmt: skip
    """Every pair of readings of the two ends that can belong together."""
    if (ordinal := _ordinal_pair(lows, high, keyboard)) is not None:
        return ordinal
    found: dict[tuple[int, ...], CompassPair] = {}
    highs = [(c.note, c.notation) for c in high.candidates]
    if not high.marked and len(high.candidates) < 5:
        others = [note for note in range(24 + high.step, 109, 12)]
        if high.step == 11 and len(high.notes) > 1:
            others += [note - 1 for note in others]
        if high.text[0].isupper():
            highs = []  # nobody's keyboard ends in the great octave: "C to F" leaves the octave out
        highs += [(note, "octave not written") for note in others if all(note != top for top, _ in highs)]
    for chosen in product(*(reading.candidates for reading in lows)):
        for top, notation in highs:
            notations = [c.notation for c in chosen] + [notation]
            if not _belong_together(notations, [*(r.marked for r in lows), high.marked]):
                continue
            doubtful = any(n in _DOUBTFUL or n.endswith("?") for n in notations)
            pair = _keys_between([c.note for c in chosen], top, slash, short, without, notations, doubtful)
            if pair is not None and (pair.notes not in found or found[pair.notes].doubtful):
                found[pair.notes] = pair
    return list(found.values())


def _belong_together(notations: list[str], marked: list[bool]) -> bool:
    """Whether the ends can be of one notation; a letter without octave goes with any."""
    kinds = set()
    for notation, has_mark in zip(notations, marked, strict=True):
        if has_mark and notation != "octave not written":
            kinds.add("letters" if notation in _LETTERS else notation.rstrip("?"))
    return len(kinds) <= 1


def _ordinal_pair(
    lows: list[NoteReading], high: NoteReading, keyboard: Compass | None
) -> list[CompassPair] | None:
    """``C1–F54``: a letter and the ordinal of its key; None when the figures are octaves."""
    low = lows[0]
    if len(lows) != 1 or low.number is None or high.number is None or high.number < 10:
        return None
    first, last = low.number, high.number
    if not 1 <= first < last <= 128:
        return []
    if keyboard is not None and keyboard.notes:
        if last > len(keyboard.notes):
            return []
        notes = keyboard.notes[first - 1 : last]
        fits = notes[0] % 12 == low.step and notes[-1] % 12 == high.step
        return [CompassPair(notes, "key numbers", False)] if fits else []
    if (high.step - low.step - (last - first)) % 12:
        return []
    # Key 1 is the lowest key: C of the 8' octave, or the letter below it on long keyboards.
    bases = [36] if low.step == 0 else [24 + low.step, 36 + low.step]
    if first != 1:
        bases = [36 + first - 1] if (36 + first - 1) % 12 == low.step else []
    doubtful = first != 1
    return [CompassPair(tuple(range(b, b + last - first + 1)), "key numbers", doubtful) for b in bases]


def _keys_between(
    lows: list[int], top: int, slash: bool, short: str, without: list[NoteReading], notations: list[str],
    doubtful: bool,
) -> CompassPair | None:  # fmt: skip
    """The keys from the low end to the top, with short octave and missing notes."""
    left_out = notations[-1] == "octave not written"
    notation = next(
        (n for n in reversed(notations) if n not in ("helmholtz", "octave not written")), "helmholtz"
    )
    try:
        if slash or short:
            name = {0: "C/E", 7: "G/B"}.get(lows[0] % 12)
            if slash and name == "G/B" and lows[0] == 43:
                lows = [31, *lows[1:]]  # a short octave on G always lies below C
            if name is None or (slash and (lows[-1] - lows[0]) % 12 != 4):
                return None
            kind = name + (" broken" if short == "broken" else "")
            extra = f"{'broken' if short == 'broken' else 'short'} octave {name}"
            return CompassPair(
                short_octave_notes(kind, top, lowest=lows[0]), notation, doubtful, extra, left_out
            )
    except NoteError:
        return None
    if any(b <= a for a, b in pairwise(lows)) or top <= lows[-1] or lows[0] < 0 or top - lows[0] > 127:
        return None
    notes = lows[:-1] + list(range(lows[-1], top + 1))
    gone = {next((n for n in reading.notes if n in notes), None) for reading in without}
    if None in gone:
        return None
    return CompassPair(tuple(n for n in notes if n not in gone), notation, doubtful, "", left_out)


def _second_half(
    pairs: list[CompassPair], after: str, language: str | None, lost: bool
) -> tuple[list[CompassPair], int | None]:
    """A compass given in two halves (``C–b, c1–f3``) or with the place it is divided at."""
    if match := re.compile(r"\s*[/,+&]\s*").match(after):
        low = scan_note(after, match.end(), language, case_lost=lost)
        between = _BETWEEN.match(after, low.end) if low else None
        high = scan_note(after, between.end(), language, case_lost=lost) if between else None
        if low and high:
            for pair, first, top in product(pairs, low.notes, high.notes):
                if first == pair.notes[-1] + 1 and first < top <= 127:
                    whole = pair.notes + tuple(range(first, top + 1))
                    return [CompassPair(whole, pair.notation, False, pair.extra)], first
    if match := _DIVIDED.search(after):
        for start in _places(after[match.end() :]):
            place = scan_note(after, match.end() + start, language, case_lost=lost)
            if place is None:
                continue
            slash = after[place.end : place.end + 1] == "/"
            second = scan_note(after, place.end + 1, language, case_lost=lost) if slash else None
            return pairs, (second or place).candidates[0].note
    return pairs, None


def _compass_of(pair: CompassPair, split: int | None) -> Compass | None:
    try:
        inside = split is not None and pair.notes[0] < split <= pair.notes[-1]
        return make_compass(pair.notes, extra=pair.extra, split=split if inside else None)
    except NoteError:
        return None


def resolve_note(reading: NoteReading, compass: Compass | None) -> int | None:
    """The one note of a reading, using the keyboard's compass to choose; None when it must be asked.

    >>> from inventory.organ.note_names import read_note
    >>> resolve_note(read_note("C1"), read_compass("C–f³").compass)
    36
    """
    if reading.note is not None:
        return reading.note
    if compass is None or compass.low is None or compass.high is None:
        return None
    inside = {c.note for c in reading.candidates if compass.low <= c.note <= compass.high}
    return inside.pop() if len(inside) == 1 else None


__all__ = ["Compass", "CompassReading", "note_of_key", "only_a_short_octave", "read_compass", "resolve_note"]
