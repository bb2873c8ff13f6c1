"""Reading a whole typed stoplist: line by line, with what stood above, then the sums."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from inventory.organ.sentences import say
from inventory.organ.short_octaves import Compass
from inventory.organ.stoplists.couplers import is_accessory, read_coupler
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.headings import (
    Count,
    ask_about_notes,
    ask_compass,
    is_legend,
    read_compass_line,
    read_counts,
    read_half_heading,
    read_heading,
    read_legends,
)
from inventory.organ.stoplists.items import read_item, split_items
from inventory.organ.stoplists.languages import guess_language
from inventory.organ.stoplists.phrases import Line, Source
from inventory.organ.stoplists.sums import count_questions, joined_halves
from inventory.organ.stoplists.tables import column_roles, read_row
from inventory.organ.stoplists.values import (
    AccessoryProposal,
    CouplerProposal,
    DivisionProposal,
    Question,
    Stoplist,
    StopProposal,
)
from inventory.organ.stoplists.vocabulary import load_vocabulary
from inventory.organ.typed_text import fold, split_lines

LONGEST_LINE = 2000
"""Signs in a line that is still read; a longer one is asked as a whole."""
MOST_PIECES = 200
"""Words, numbers and signs in a line that is still read."""
MOST_BRACKETS = 6
"""Brackets inside brackets that are still read."""
MOST_QUESTIONS = 1000
"""Questions after which reading stops: a text that raises more is no stoplist."""
MOST_STOPS = 1000
"""Stops of a list (DESIGN §8)."""
_PIECE = re.compile(r"\w+|[^\w\s]")
_STRANGE = re.compile(r"[!$%@\\^`{}|~<>_\x00-\x08\x0b-\x1f]")


@dataclass
class _Division:
    """A division while its stops are being read."""

    name: str | None
    kind: str = "unknown"
    compass: Compass | None = None
    stops: list[StopProposal] = field(default_factory=list)


@dataclass
class _Reading:
    """Everything read so far."""

    source: Source
    divisions: list[_Division] = field(default_factory=list)
    couplers: list[CouplerProposal] = field(default_factory=list)
    accessories: list[AccessoryProposal] = field(default_factory=list)
    questions: list[Question] = field(default_factory=list)
    counts: list[Count] = field(default_factory=list)
    compasses: dict[str, Compass] = field(default_factory=dict)
    """Compass of all manuals, or of the pedal, given once for the whole organ."""
    columns: dict[int, str] | None = None
    half: str | None = None
    """Half the stops below a heading such as ``Mano izquierda`` are of."""

    @property
    def division(self) -> _Division:
        """The division stops are put into now."""
        if not self.divisions:
            self.divisions.append(_Division(None))
        return self.divisions[-1]


def read_stoplist(text: str, language: str | None = None) -> Stoplist:
    """Read a typed stoplist; what is ambiguous or not understood comes back as questions.

    `language` (``en``, ``fr``, ``de``, ``es``, ``it``) is that of the source; without it
    nothing that depends on it is decided. Any text is read; nothing raises.

    >>> found = read_stoplist("GO (C–f3)\\nMontre 8\\nPlein-jeu IV")
    >>> [(s.name, s.footage, s.ranks) for s in found.stops], found.divisions[0].compass.text
    ([('Montre', '8', None), ('Plein-jeu', None, 4)], '54 keys, C to f³')
    """
    lines = split_lines(text)
    source = Source(load_vocabulary(), language, marks=read_legends(lines[:5000]))
    if language is None:
        source.guessed_language = guess_language(lines, source)
    reading = _Reading(source)
    for number, typed in enumerate(lines, start=1):
        if not typed.strip():
            continue
        if (why := _too_much(reading)) is not None:
            reading.questions.append(Question(number, 1, typed[:60], why))
            break
        _read_line(reading, number, typed)
    divisions = tuple(
        _finished(reading, division)
        for division in reading.divisions
        if division.stops or division.name is not None or division.compass is not None
    )
    questions = reading.questions + count_questions(divisions, reading.counts)
    questions.sort(key=lambda question: (question.line, question.column))
    return Stoplist(
        divisions, tuple(reading.couplers), tuple(reading.accessories), tuple(questions), tuple(lines)
    )


def _finished(reading: _Reading, division: _Division) -> DivisionProposal:
    compass = division.compass or reading.compasses.get(division.kind)
    return DivisionProposal(division.name, division.kind, compass, tuple(joined_halves(division.stops)))


def _read_line(reading: _Reading, number: int, typed: str) -> None:
    """Read one line into what stands so far."""
    if len(typed) > LONGEST_LINE or len(_PIECE.findall(typed)) > MOST_PIECES:
        why = say(
            "a line of more than %(longest_line)s signs or %(most_pieces)s words and signs is not read; "
            "break it up",
            longest_line=LONGEST_LINE,
            most_pieces=MOST_PIECES,
        )
        reading.questions.append(Question(number, 1, typed[:60] + "…", why))
        return
    if is_legend(typed):
        return
    if len(_STRANGE.findall(typed)) > 2 + len(typed) // 20:
        reading.questions.append(Question(number, 1, typed, say("too many signs that no stoplist has")))
        return
    source = reading.source
    source.division, source.division_kind = _place(reading)
    source.compass = _compass_in_force(reading)
    line = Line(number, typed, source)
    if not any(token.kind in ("word", "number", "primes") for token in line.tokens):
        return
    if _depth(line) > MOST_BRACKETS:
        line.ask(0, len(line.tokens), say("too many brackets inside brackets"))
        reading.questions.extend(line.questions)
        return
    if "\t" in typed and (roles := column_roles(line)) is not None:
        reading.columns = roles
        return
    _read_kind_of_line(reading, line)
    reading.questions.extend(line.questions)


def _too_much(reading: _Reading) -> str | None:
    """Why reading stops here, or None."""
    if len(reading.questions) >= MOST_QUESTIONS:
        return f"reading stopped here: more than {MOST_QUESTIONS} questions, this is hardly a stoplist"
    if sum(len(division.stops) for division in reading.divisions) >= MOST_STOPS:
        return f"reading stopped here: more than {MOST_STOPS} stops; give each organ a file of its own"
    return None


def _depth(line: Line) -> int:
    """Deepest nesting of brackets."""
    depth = deepest = 0
    for token in line.tokens:
        depth += {"open": 1, "close": -1}.get(token.kind, 0)
        deepest = max(deepest, depth)
    return deepest


def _place(reading: _Reading) -> tuple[str | None, str]:
    return (
        (reading.divisions[-1].name, reading.divisions[-1].kind) if reading.divisions else (None, "unknown")
    )


def _compass_in_force(reading: _Reading) -> Compass | None:
    if reading.divisions and reading.divisions[-1].compass is not None:
        return reading.divisions[-1].compass
    return reading.compasses.get(_place(reading)[1])


def _read_kind_of_line(reading: _Reading, line: Line) -> None:
    """Heading, sum, compass, row of a table, or stops."""
    if reading.columns is not None and "\t" in line.typed:
        _take_drafts(reading, line, read_row(line, reading.columns))
        return
    if _read_compasses_of_all(reading, line):
        return
    at = 0
    if (counts := read_counts(line)) is not None:
        reading.counts.extend(counts)
        return
    heading = read_heading(line)
    if heading is not None:
        reading.divisions.append(_Division(heading.name or None, heading.kind, heading.compass))
        reading.source.previous_name = None
        reading.source.division_kind = heading.kind
        reading.half = None
        at = heading.after
        if at >= len(line.tokens):
            return
    elif (half := read_half_heading(line)) is not None:
        reading.half = half
        return
    elif (compass := read_compass_line(line, reading.source.division_kind)) is not None:
        ask_compass(line, 0, len(line.tokens), compass)
        if compass.compass is not None and reading.division.compass is None:
            reading.division.compass = compass.compass
        return
    elif ask_about_notes(line):
        return
    _read_items(reading, line, at)


def _read_compasses_of_all(reading: _Reading, line: Line) -> bool:
    """``Manuals C–f3, Pedal C–d1``: compasses given once for the whole organ."""
    starts = [
        i for i in range(len(line.tokens))
        if (i == 0 or line.kind(i - 1) in ("comma", "semicolon", "slash")) and line.finds(i, "division")
    ]  # fmt: skip
    if len(starts) < 2 or starts[0] != 0:
        return False
    found: dict[str, Compass] = {}
    for start, after in zip(starts, [*starts[1:], len(line.tokens)], strict=True):
        part = Line(line.number, line.slice(start, after).rstrip(",;/ "), line.source)
        heading = read_heading(part)
        if heading is None or heading.compass is None:
            return False
        found[heading.kind] = heading.compass
    reading.compasses.update(found)
    return True


def _read_items(reading: _Reading, line: Line, at: int) -> None:
    """The stops, couplers and accessories of a line."""
    end = len(line.tokens)
    if any(token.kind == "arrow" for token in line.tokens) or _is_sum_of_stops(line, at, end):
        line.ask(at, end, say("several counts and stops in one line: how many stops is this?"))
        return
    whole = read_coupler(line, at, end)
    if whole is not None and len(split_items(line, at, end)) == 1:
        reading.couplers.append(whole)
        return
    del line.questions[:]
    for first, after in split_items(line, at, end):
        if is_accessory(line, first, after):
            reading.accessories.append(AccessoryProposal(line.number, line.typed_slice(first, after)))
        elif (coupler := read_coupler(line, first, after)) is not None:
            reading.couplers.append(coupler)
        else:
            _take_drafts(reading, line, read_item(line, first, after), first, after)


def _is_sum_of_stops(line: Line, at: int, end: int) -> bool:
    """``2 Bourdon 8 + 1 Bourdon 16``: figures that may count stops rather than number them."""
    for index in range(at + 1, end - 2):
        if line.kind(index) == "plus" and line.kind(index + 1) == "number" and line.finds(index + 2, "name"):
            return line.kind(at) == "number"
    return False


def _take_drafts(
    reading: _Reading, line: Line, drafts: list[StopDraft], first: int = 0, after: int | None = None
) -> None:
    """Turn what an item means into proposals, or ask when it means nothing."""
    after = len(line.tokens) if after is None else after
    inherited = next((d for d in drafts if d.footages), None)
    for draft in drafts:
        if not _means_something(draft):
            if not line.has_question(first, after):
                why = say("not understood as a stop, heading, compass, coupler or accessory")
                line.ask(first, after, why)
            continue
        if draft.name is None and draft.state is not None:
            line.ask(first, after, say("a pitch without a name"))
        if (
            inherited is not None
            and draft.half
            and not draft.footages
            and draft is not inherited
            and not draft.compound
        ):
            draft.footages.extend(inherited.footages)
        if reading.half is not None and draft.half is None:
            draft.half = reading.half
            draft.add_reason(say("under a heading for the %(half)s half", half=reading.half))
        division = reading.division
        if draft.division is not None:
            division = _division_named(reading, draft)
        division.stops.extend(draft.finish(line.number, line.typed))
        reading.source.previous_name = draft.name or reading.source.previous_name


def _means_something(draft: StopDraft) -> bool:
    if draft.name is not None and len(draft.name) == 1 and not draft.family and not draft.recognised:
        return False
    return bool(draft.family or draft.footages or draft.ranks or draft.recognised) or bool(
        draft.name and (draft.half or draft.state != "present" or draft.borrowed_from or draft.number)
    )


def _division_named(reading: _Reading, draft: StopDraft) -> _Division:
    """The division a line names for itself; made when no heading did."""
    wanted = fold(draft.division or "")
    for division in reading.divisions:
        if division.name is not None and fold(division.name) == wanted:
            return division
    made = _Division(draft.division, draft.division_kind)
    # Kept before the current one, so that lines without a division stay where they were.
    reading.divisions.insert(max(0, len(reading.divisions) - 1) if reading.divisions else 0, made)
    return made


__all__ = ["LONGEST_LINE", "read_stoplist"]
