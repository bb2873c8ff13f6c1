"""Key-by-key lines of a survey (``C–B ok; c weak; c♯ dumb``) read into observations.

What is not listed was not observed. A state that is neither speaking, weak nor silent
(a cipher, a run) is no answer to "does it speak?": it comes back as a question, so that
it is entered where it belongs.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import cache
from importlib import resources

from inventory.organ.compasses import resolve_note
from inventory.organ.note_names import NoteReading, scan_note
from inventory.organ.notes import note_name
from inventory.organ.sentences import say
from inventory.organ.short_octaves import Compass, make_compass
from inventory.organ.stoplists.values import Question
from inventory.organ.typed_text import case_is_lost, fold, plain_text

STATES = ("speaks", "weak", "silent")
_CLAUSE = re.compile(r"[;\n]|,(?!\S)|\.\s")
_STOP = re.compile(r"\s*([^:;]{1,80}?)\s*:\s*(?=\S)")
_ORDINALS = re.compile(
    r"(?:(?:keys?|nos?\.?|n°|notes?|tasten?|touches?|teclas?)\s*)?(\d{1,3})(?:\s?-\s?(\d{1,3}))?(?![\w'])",
    re.IGNORECASE,
)
_BETWEEN = re.compile(r"\s*(?:-+|\.{2,3}|\bto\b|\bbis\b|\bà|\bhasta\b)\s*", re.IGNORECASE)
_LONGEST = 4000


@dataclass(frozen=True)
class KeyObservation:
    """One key of one stop and how it answered; `stop` is the name in the line, or None."""

    stop: str | None
    key: int
    heard: str
    """``speaks``, ``weak`` or ``silent``."""

    def as_json(self) -> dict[str, str | int | None]:
        """An entry of `heard` in the trials of DESIGN §8."""
        return {"stop": self.stop, "key": self.key, "as": self.heard}


@dataclass(frozen=True)
class KeyLine:
    """What a key-by-key line says and what must be asked."""

    stop: str | None
    observations: tuple[KeyObservation, ...]
    questions: tuple[Question, ...]


@cache
def _words() -> dict[str, list[tuple[str, str]]]:
    """(folded word, word) of each kind, longest first."""
    data = json.loads(resources.files(__package__).joinpath("key_words.json").read_text("utf-8"))
    return {
        kind: sorted(((fold(w), w) for w in words), key=lambda p: -len(p[0])) for kind, words in data.items()
    }


def read_key_line(
    text: str, notes: Sequence[int], language: str | None = None, *, stop: str | None = None, line: int = 1
) -> KeyLine:
    """Read a key-by-key line of one stop.

    `notes` are the sounding notes (MIDI) of the keyboard, key 1 first; `language` settles
    B and H; `stop` is used where the line names none; `line` numbers the questions. Keys
    are written by note (``c♯``, ``d–f1``), by ordinal (``13``, ``14-37``) or as ``all
    except …``. Never raises; without notes everything is asked.

    >>> read = read_key_line("Bourdon 8: C–B ok; c weak; c♯ dumb", range(36, 90), "en")
    >>> read.stop, len(read.observations), read.observations[-1]
    ('Bourdon 8', 14, KeyObservation(stop='Bourdon 8', key=14, heard='silent'))
    """
    plain = plain_text(text[:_LONGEST])
    compass = make_compass(notes) if 1 <= len(notes) <= 128 and all(0 <= n <= 127 for n in notes) else None
    reader = _Reader(plain.text, text, compass, language, line, plain.column)
    start = 0
    named = _STOP.match(plain.text)
    if named and scan_note(plain.text, named.start(1), language) is None:
        stop, start = named[1], named.end()
    if len(text) > _LONGEST:
        reader.ask(
            0, 40, say("only the first %(longest)s signs are read; break the line up", longest=_LONGEST)
        )
    for first, after in _clauses(plain.text, start):
        reader.read_clause(first, after)
    reader.finish()
    observed = tuple(KeyObservation(stop, key, heard) for key, heard in sorted(reader.heard.items()))
    return KeyLine(stop, observed, tuple(reader.questions))


def _clauses(text: str, start: int) -> list[tuple[int, int]]:
    """(start, end) of the parts between semicolons and commas."""
    found, first = [], start
    for match in _CLAUSE.finditer(text, start):
        found.append((first, match.start()))
        first = match.end()
    found.append((first, len(text)))
    return [(a, b) for a, b in found if text[a:b].strip(" .")]


@dataclass
class _Reader:
    """The clauses of one line, read one after the other."""

    text: str
    typed: str
    compass: Compass | None
    language: str | None
    line: int
    column: Callable[[int], int]
    heard: dict[int, str] = field(default_factory=dict)
    questions: list[Question] = field(default_factory=list)
    waiting: list[tuple[int, int, list[int]]] = field(default_factory=list)
    """(start, end, keys) listed without a state yet: ``f♯2, g2 dumb``."""
    excepting: bool = False
    """Whether the keys that follow are the exceptions of ``all except``."""
    excepted: set[int] = field(default_factory=set)
    contradicted: set[int] = field(default_factory=set)

    def ask(self, start: int, end: int, why: str, candidates: tuple[str, ...] = ()) -> None:
        """Put a question about a stretch of the line."""
        start += len(self.text[start:end]) - len(self.text[start:end].lstrip())
        end = start + len(self.text[start:end].rstrip())
        shown = self.typed[self.column(start) - 1 : self.column(max(start, end - 1))]
        self.questions.append(Question(self.line, self.column(start), shown, why, candidates))

    def read_clause(self, start: int, end: int) -> None:
        """``C–B ok``: keys, then how they answered; keys alone wait for the next clause."""
        place = _past(self.text, start, end, " ,:=&")
        if (after := _word_at(self.text, place, end, "except")) is not None:
            self.excepting, place = True, after
        elif (after := _word_at(self.text, place, end, "all")) is not None:
            self.waiting.append((place, after, list(range(1, len(self._notes()) + 1))))
            place = after
        place = self._read_keys(start, place, end)
        place = _past(self.text, place, end, " ,:=")
        if place >= end:
            return
        for state in (*STATES, "other"):
            after = _word_at(self.text, place, end, state)
            if after is None:
                continue
            if not self.waiting:
                self.ask(start, end, say("a state without keys: of which keys?"))
            elif state == "other":
                self._ask_other(start, end)
            else:
                self._take(state)
                rest = _past(self.text, after, end, " .,:")
                if rest < end:
                    self.ask(rest, end, say("a remark behind the state; it is not part of the observation"))
            return
        self._ask_other(start, end)

    def _ask_other(self, start: int, end: int) -> None:
        """What is neither speaking, weak nor silent is entered by hand."""
        why = say("not a matter of speaking, weak or silent: enter it as a defect, or say which it is")
        self.ask(start, end, why, STATES)
        self.waiting.clear()

    def _notes(self) -> tuple[int, ...]:
        return self.compass.notes if self.compass is not None else ()

    def _read_keys(self, start: int, place: int, end: int) -> int:
        """Keys by note or ordinal, single or as a range; returns where they end."""
        first = True
        while place < end:
            place = _past(self.text, place, end, " ,&+")
            # "e" and "y" join two notes only between two notes; elsewhere e is the note E.
            found = None
            if not first and (after := _word_at(self.text, place, end, "and")) is not None:
                joined = _past(self.text, after, end, " ")
                found = self._keys_at(joined, end)
                place = joined if found is not None else place
            first = False
            found = found or self._keys_at(place, end)
            if found is None:
                return place
            keys, after = found
            if keys is None:
                return end
            self.waiting.append((place, after, keys))
            place = after
        return place

    def _keys_at(self, place: int, end: int) -> tuple[list[int] | None, int] | None:
        """(keys, end) at a place; keys None when they were asked; None when no key stands here."""
        if ordinal := _ORDINALS.match(self.text, place, end):
            first, last = int(ordinal[1]), int(ordinal[2] or ordinal[1])
            if not 1 <= first <= last <= len(self._notes()):
                why = say(
                    "keys %(first)s to %(last)s are outside this keyboard of %(notes)s keys",
                    first=first,
                    last=last,
                    notes=len(self._notes()),
                )
                self.ask(place, end, why)
                return None, end
            return list(range(first, last + 1)), ordinal.end()
        if _state_letter(self.text, place, end) and self.waiting:
            return None
        case_lost = case_is_lost(self.text, re.findall(r"[^\W\d_]{3,}", self.text))
        low = scan_note(self.text, place, self.language, case_lost=case_lost)
        if low is None or low.end > end:
            return None
        high, after = low, low.end
        if between := _BETWEEN.match(self.text, after, end):
            second = scan_note(self.text, between.end(), self.language, case_lost=case_lost)
            if second is not None and second.end <= end:
                high, after = second, second.end
        return self._keys_between(low, high, place, end), after

    def _keys_between(self, low: NoteReading, high: NoteReading, place: int, end: int) -> list[int] | None:
        lowest, highest = resolve_note(low, self.compass), resolve_note(high, self.compass)
        if lowest is None or highest is None:
            unsure = low if lowest is None else high
            self.ask(
                place,
                end,
                say("which note is %(unsure)s?", unsure=unsure.text),
                tuple(map(note_name, unsure.notes)),
            )
            return None
        keys = [k for k, note in enumerate(self._notes(), start=1) if lowest <= note <= highest]
        if not keys:
            self.ask(place, end, say("no key of this keyboard sounds there: check compass and octave"))
            return None
        return keys

    def _take(self, state: str) -> None:
        """Give a state to the keys that waited for it."""
        keys = [key for _, _, found in self.waiting for key in found]
        self.waiting.clear()
        if self.excepting:
            self.excepted.update(keys)
        for key in keys:
            if self.heard.get(key, state) != state:
                self.contradicted.add(key)
            self.heard[key] = state

    def finish(self) -> None:
        """Exceptions, keys left without a state, and contradictions."""
        left = [key for _, _, found in self.waiting for key in found]
        if self.waiting:
            start, end = self.waiting[0][0], self.waiting[-1][1]
            self.ask(start, end, say("keys without a state: how do they answer?"), STATES)
        if self.excepting:
            for key in range(1, len(self._notes()) + 1):
                if key not in self.excepted and key not in left:
                    self.heard.setdefault(key, "speaks")
        for key in sorted(self.contradicted):
            del self.heard[key]
            shown = note_name(self._notes()[key - 1])
            self.ask(
                0,
                len(self.text),
                say("%(shown)s (key %(key)s) is given two states", shown=shown, key=key),
                STATES,
            )


def _past(text: str, place: int, end: int, signs: str) -> int:
    while place < end and text[place] in signs:
        place += 1
    return place


def _word_at(text: str, place: int, end: int, kind: str) -> int | None:
    """Index after a word of a kind that stands at a place, or None."""
    for folded, word in _words()[kind]:
        after = place + len(word)
        if after <= end and fold(text[place:after]) == folded:
            beyond = text[after : after + 1]
            if not word[-1].isalnum() or not (beyond.isalnum() or beyond in ("'", "#")):
                return after
    return None


def _state_letter(text: str, place: int, end: int) -> bool:
    """Whether a single letter closes the clause, so that it is a code and no further key."""
    return text[place : place + 1].isalpha() and not text[place + 1 : end].strip(" .")
