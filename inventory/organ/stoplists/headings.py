"""Lines that speak of the whole: headings of divisions, compasses, sums of stops, legends."""

from __future__ import annotations

import re
from dataclasses import dataclass

from inventory.organ.compasses import CompassReading, only_a_short_octave, read_compass
from inventory.organ.notes import note_name
from inventory.organ.sentences import say
from inventory.organ.short_octaves import Compass
from inventory.organ.stoplists.items import starts_item
from inventory.organ.stoplists.phrases import Line
from inventory.organ.typed_text import plain_text

_LEGEND = re.compile(r"(?:^\s*|[(\[]\s*)([*°†‡§])\s*[=:]?\s*([^\W\d_][^()\[\]*†‡§]{2,80})(?:[)\]]|$)")


@dataclass(frozen=True)
class Heading:
    """A division's heading, and where stops go on behind it in the same line."""

    name: str | None
    kind: str
    compass: Compass | None
    after: int
    """Index of the first token that belongs to stops; the number of tokens when none does."""


@dataclass(frozen=True)
class Count:
    """A number of stops, knobs or manuals somebody wrote."""

    line: int
    what: str
    value: int
    column: int
    text: str


def read_legends(lines: list[str]) -> dict[str, str]:
    """Marks and what they mean, from lines such as ``* = old pipes`` and ``(* old pipes)``.

    >>> read_legends(["Montre 8 *", "* = old pipes"])
    {'*': 'old pipes'}
    """
    found: dict[str, str] = {}
    for line in lines:
        if len(line) < 2000 and any(sign in line for sign in "*°º†‡§"):
            for match in _LEGEND.finditer(plain_text(line).text):
                found.setdefault(match[1], match[2].strip())
    return found


def is_legend(typed: str) -> bool:
    """Whether a line is nothing but a legend.

    >>> is_legend("(* old pipes)"), is_legend("Montre 8 *")
    (True, False)
    """
    plain = plain_text(typed).text.strip()
    match = _LEGEND.match(plain)
    return match is not None and match.end() == len(plain)


def read_heading(line: Line) -> Heading | None:
    """A division's heading: ``GO:``, ``I. Hauptwerk (C–f³)``, ``Récit expressif (37 n.)``.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> found = read_heading(cut_line("I. Hauptwerk (C–f³)"))
    >>> found.name, found.kind, found.compass.keys
    ('I. Hauptwerk', 'manual', 54)
    """
    end = len(line.tokens)
    at, roman = 0, line.roman(0)
    if roman is not None and roman <= 6:
        at = 1
        while line.kind(at) in ("dot", "slash", "colon", "close", "dash"):
            at += 1
    else:
        roman = None
    division = line.find(at, "division")
    name_there = line.find(at, "name")
    if division is not None and name_there is not None and name_there[1] > division[1]:
        division = None
    kind = ""
    if (
        division is None
        and at < end
        and line.tokens[at].text in ("P", "p")
        and line.kind(at + 1) in ("", "colon")
    ):
        division = ("pedal", at + 1)
    while division is not None:
        kind = kind or division[0]
        at = division[1]
        division = line.find(at, "division")
        if line.roman(at) is not None and division is None and kind == "manual":
            at += 1
            division = line.find(at, "division")
    if not kind and roman is None:
        return None
    name = line.label(0, at).strip(" :/)")
    kind = kind or "manual"
    joined = line.kind(1) in ("slash", "dash") and line.kind(2) == "word"
    if roman is not None and joined and (line.roman(2) is not None or line.tokens[2].text in ("P", "p")):
        return None  # II/I, II/P: a coupler
    coupled = line.kind(at) in ("slash",) or line.find(at, "coupler_to") is not None
    if coupled or (roman is not None and not line.finds(0, "division") and at == 1 and end > 1):
        return None
    return _rest_of_heading(line, at, end, name, kind, bare=roman is not None and at <= 2)


def _rest_of_heading(line: Line, at: int, end: int, name: str, kind: str, *, bare: bool) -> Heading | None:
    """What follows a division's name: nothing, its compass, or stops behind a colon."""
    colon = line.kind(at) == "colon"
    at += colon
    rest = line.text[line.tokens[at].start :] if at < end else ""
    if not rest.strip(" .:-"):
        return Heading(name, kind, None, end)
    if starts_item(line, at, end, "semicolon") or (
        colon and line.kind(at) in ("number", "open") and not _notes_in(line, at)
    ):
        return Heading(name, kind, None, at) if colon else None
    stop_too = line.find(at - 1, "name") is not None and line.kind(at) == "number"
    if stop_too and (line.kind(at + 1) == "primes" or line.tokens[at].integer in (16, 32)):
        return None  # Contras 16: the stop, not the toe pedals
    reading = read_compass(rest, language=line.source.language, kind=kind)
    begins = _from_note(line, at, end)
    if begins is not None:
        return Heading(name, kind, begins, end)
    only_counted = reading.compass is not None and reading.compass.low is None
    if only_counted and not any(line.finds(i, "key_word") for i in range(at, end)):
        return None
    if reading.compass is None and not reading.candidates:
        if all(
            line.finds(i, "place", "size", "filler") or line.kind(i) in ("open", "close")
            for i in range(at, end)
        ):
            return Heading(line.slice(0, end).strip(" :"), kind, None, end)
        if not colon and not bare:
            return None
    ask_compass(line, at, end, reading)
    return Heading(name, kind, reading.compass, end)


def _notes_in(line: Line, at: int) -> bool:
    return line.kind(at) == "open" and line.note(at + 1) is not None


def _from_note(line: Line, at: int, end: int) -> Compass | None:
    """``Réc. from c``: the lowest note alone."""
    at += line.kind(at) == "open"
    found = line.find(at, "from")
    note = line.note(found[1]) if found else None
    if note is None or note[0].note is None or line.kind(note[1]) not in ("", "close"):
        return None
    from inventory.organ.notes import note_name

    return Compass(note[0].note, None, None, (), (), f"from {note_name(note[0].note)}")


def ask_compass(line: Line, at: int, end: int, reading: CompassReading) -> None:
    """Put the question a compass leaves open.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> line = cut_line("C to F")
    >>> ask_compass(line, 0, 3, read_compass("C to F"))
    >>> line.questions[0].why
    'the octave of a note is not written'
    """
    if reading.why:
        line.ask(at, end, reading.why, tuple(compass.text for compass in reading.candidates))


def read_compass_line(line: Line, kind: str) -> CompassReading | None:
    """A line that is a compass and nothing else.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> read_compass_line(cut_line("C–f³, 54 notes"), "manual").compass.keys
    54
    """
    tokens = line.tokens
    index = 0
    while index < len(tokens):
        note = line.note(index)
        octaves = line.kind(index - 1) == "number" and tokens[index].text.lower()[:3] in ("oct", "okt", "ott")
        stop_word = line.finds(index, "name", "abbreviation") and not octaves
        if note is None and stop_word and not line.finds(index, "compass_word", "division", "key_word"):
            return None
        index = note[1] if note else index + 1
    if line.kind(0) == "number" and not line.finds(1, "key_word") and not line.finds(0, "octave_word"):
        return None
    reading = read_compass(
        line.typed, language=line.source.language, kind=None if kind == "unknown" else kind
    )
    if reading.compass is None and not reading.candidates:
        return None
    only_counted = reading.compass is not None and reading.compass.low is None
    if only_counted and not any(
        line.finds(i, "key_word") and line.kind(i - 1) == "number" for i in range(1, len(tokens))
    ):
        return None
    return reading


def read_counts(line: Line) -> list[Count] | None:
    """Sums such as ``3 jeux réels / 6 tirants``, ``14 (13) reg.``, ``II/P/13``; None for other lines.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> [(c.what, c.value) for c in read_counts(cut_line("13/2/P"))]
    [('stops', 13), ('manuals', 2)]
    """
    found: list[Count] = []
    numbers: list[int] = []
    romans: list[int] = []
    pedals = 0
    index, end = 0, len(line.tokens)
    slashes = 0
    if (stated := line.find(0, "summary")) is not None:
        number = stated[1] + (line.kind(stated[1]) in ("colon", "equals"))
        value = line.tokens[number].integer if number == end - 1 else None
        return None if value is None else [_count(line, stated[0], value, 0)]
    while index < end:
        token = line.tokens[index]
        summary = line.find(index, "summary")
        if token.integer is not None and token.kind == "number" and token.integer < 300:
            numbers.append(token.integer)
            index += 1
        elif summary is not None and numbers:
            found += [_count(line, summary[0], value, index) for value in numbers]
            numbers, index = [], summary[1]
        elif (roman := line.roman(index)) is not None and token.text.isupper():
            romans.append(roman)
            index += 1
        elif token.text in ("P", "Ped", "p"):
            pedals, index = pedals + 1, index + 1
        elif token.kind in ("slash", "open", "close", "comma", "dot", "plus"):
            slashes += token.kind == "slash"
            index += 1
        else:
            return None
    if found:
        return found
    if slashes >= 1 and pedals == 1 and 1 <= len(numbers) <= 2 and len(romans) + len(numbers) == 2:
        # 13/2/P and II/P/13: stops, manuals, a pedal.
        manuals = romans or [min(numbers)]
        return [_count(line, "stops", max(numbers), 0), _count(line, "manuals", manuals[0], 0)]
    return None


def _count(line: Line, what: str, value: int, at: int) -> Count:
    return Count(line.number, what, value, line.plain.column(line.tokens[0].start), line.typed.strip())


def read_half_heading(line: Line) -> str | None:
    """A line that is a half and nothing else (``Mano izquierda``): the stops below are halves.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> read_half_heading(cut_line("Mano izquierda"))
    'bass'
    """
    found = line.find(0, "half")
    if found is None or len(line.text.strip(" :.")) < 4:
        return None
    after = found[1] + (line.kind(found[1]) == "colon")
    return found[0] if after >= len(line.tokens) and not line.finds(0, "name") else None


def ask_about_notes(line: Line) -> bool:
    """Ask about a line of notes or of one number, which is no stop: what do they belong to?

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> line = cut_line("Ten C, fiddle G")
    >>> ask_about_notes(line), line.questions[0].candidates
    (True, ('c', 'g'))
    """
    tokens = line.tokens
    if only_a_short_octave(line.typed):
        line.ask(0, len(tokens), say("a short octave, but of which compass? Write it as C/E–c³"))
        return True
    if len(tokens) == 1 and tokens[0].integer is not None:
        number = tokens[0].integer
        offered = [f"pipe or key number {number}"]
        if 12 <= number <= 127:
            offered.insert(0, f"the note {note_name(number)} (MIDI {number})")
        line.ask(0, 1, say("a number alone: a note, or the number of a pipe?"), tuple(offered))
        return True
    if (ordinal := line.find(0, "ordinal") or line.find(0, "key_word")) is not None:
        return _ask_about_key(line, ordinal[1])
    index, named = 0, []
    while index < len(tokens):
        note = line.note(index)
        if note is None:
            if line.kind(index) not in ("comma", "semicolon", "dash", "dot", "slash"):
                return False
            index += 1
            continue
        named.append(" or ".join(map(note_name, note[0].notes)) or note[0].text)
        index = note[1]
    if not named:
        return False
    line.ask(0, len(tokens), say("notes alone: what do they belong to?"), tuple(named))
    return True


def _ask_about_key(line: Line, at: int) -> bool:
    """``key 25 = c1``: what the lowest key is, if no key is missing."""
    at += line.kind(at) == "mark"
    if line.kind(at) != "number":
        return False
    number = line.tokens[at].integer or 0
    note = line.note(at + 2) if line.kind(at + 1) in ("equals", "colon") else None
    if (note[1] if note else at + 1) < len(line.tokens):
        return False
    offered: tuple[str, ...] = ()
    if note is not None and note[0].note is not None and 1 <= number <= 128:
        low = note[0].note - number + 1
        if low >= 0:
            offered = (f"the lowest key is {note_name(low)}, if no key is missing",)
    line.ask(0, len(line.tokens), say("a key's number depends on the lowest key and on gaps"), offered)
    return True
