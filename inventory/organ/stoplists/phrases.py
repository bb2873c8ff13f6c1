"""A cut line with its phrases: what the grammar looks at and moves along."""

from __future__ import annotations

from dataclasses import dataclass, field

from inventory.organ.note_names import NoteReading, scan_note
from inventory.organ.short_octaves import Compass
from inventory.organ.stoplists.tokens import Token, cut, roman_value
from inventory.organ.stoplists.values import Question
from inventory.organ.stoplists.vocabulary import Sense, Vocabulary, load_vocabulary
from inventory.organ.typed_text import PlainText, case_is_lost, fold, plain_text


@dataclass
class Source:
    """What is known when a line is read: the language and what stood above it."""

    vocabulary: Vocabulary
    language: str | None = None
    """Language of the source as declared; settles B and H, short words, Iberian names."""
    division: str | None = None
    division_kind: str = "unknown"
    compass: Compass | None = None
    previous_name: str | None = None
    """Name of the stop above, for ditto marks."""
    marks: dict[str, str] = field(default_factory=dict)
    """Meaning of marks (``*`` …) as the legend gives it."""
    guessed_language: str | None = None
    """Language most words belong to, where none is declared."""


class Line:
    """One typed line, cut; finds phrases, notes and columns, and collects questions."""

    def __init__(self, number: int, typed: str, source: Source) -> None:
        self.number, self.typed, self.source = number, typed, source
        self.plain: PlainText = plain_text(typed)
        self.text = self.plain.text
        self.tokens: list[Token] = cut(self.text)
        self.questions: list[Question] = []
        self._options: dict[int, tuple[tuple[int, tuple[Sense, ...]], ...]] = {}
        self._notes: dict[int, tuple[NoteReading, int] | None] = {}
        self._roles: dict[int, dict[str, tuple[str, int]]] = {}
        words = [t.text for t in self.tokens if t.kind == "word"]
        self.case_lost = case_is_lost(" ".join(words), words)

    def options(self, at: int) -> tuple[tuple[int, tuple[Sense, ...]], ...]:
        """(index after the phrase, senses) of every phrase that begins at a token, longest first."""
        if at not in self._options:
            self._options[at] = self._find_options(at)
        return self._options[at]

    def _find_options(self, at: int) -> tuple[tuple[int, tuple[Sense, ...]], ...]:
        vocabulary = self.source.vocabulary
        if at >= len(self.tokens) or self.tokens[at].kind != "word":
            return ()
        key, index = fold(self.tokens[at].text), at + 1
        if not vocabulary.may_begin(key.split("'")[0]) and not vocabulary.may_begin(key):
            return ()
        found: list[tuple[int, tuple[Sense, ...]]] = []
        while True:
            after = index
            while after < len(self.tokens) and self.tokens[after].kind == "dot":
                after += 1
            senses = vocabulary.senses(key, self.source.language or self.source.guessed_language)
            if senses:
                found.append((after, senses))
            if key.count(" ") + 1 >= vocabulary.longest:
                break
            following = self._joined(after)
            if following is None:
                break
            word, index = following
            key = f"{key} {word}"
        return tuple(reversed(found))

    def _joined(self, at: int) -> tuple[str, int] | None:
        """The next word of a phrase (past a hyphen or apostrophe), or None."""
        tokens = self.tokens
        if at < len(tokens) and tokens[at].kind in ("dash", "slash", "primes") and not tokens[at].spaced:
            at += 1
            if at >= len(tokens) or tokens[at].spaced:
                return None
        if at < len(tokens) and tokens[at].kind == "amp":
            return "&", at + 1
        if at < len(tokens) and tokens[at].kind == "word":
            return fold(tokens[at].text), at + 1
        return None

    def find(self, at: int, role: str) -> tuple[str, int] | None:
        """(value, index after) of the longest phrase with a role at a token, or None."""
        return self._roles_at(at).get(role)

    def _roles_at(self, at: int) -> dict[str, tuple[str, int]]:
        """Every role a phrase at a token can have, with its longest phrase; found once."""
        roles = self._roles.get(at)
        if roles is None:
            roles = {}
            for after, senses in self.options(at):
                for sense in senses:
                    roles.setdefault(sense.role, (sense.value, after))
            self._roles[at] = roles
        return roles

    def finds(self, at: int, *roles: str) -> bool:
        """Whether a phrase with one of the roles begins at a token."""
        found = self._roles_at(at)
        return bool(found) and any(role in found for role in roles)

    def note(self, at: int) -> tuple[NoteReading, int] | None:
        """(reading, index after) of the note that begins at a token, or None."""
        if at >= len(self.tokens) or self.tokens[at].kind != "word":
            return None
        if at in self._notes:
            return self._notes[at]
        self._notes[at] = self._find_note(at)
        return self._notes[at]

    def _find_note(self, at: int) -> tuple[NoteReading, int] | None:
        start = self.tokens[at].start
        # A guess at German is not enough to make a B a B flat: then both stay possible.
        guessed = self.source.guessed_language
        chosen = self.source.language or (guessed if guessed != "de" else None)
        reading = scan_note(self.text, start, chosen, case_lost=self.case_lost)
        if reading is None:
            return None
        after = at
        while after < len(self.tokens) and self.tokens[after].start < reading.end:
            after += 1
        if self.tokens[after - 1].end != reading.end:
            return None
        return reading, after

    def roman(self, at: int) -> int | None:
        """Value of a Roman numeral at a token, or None."""
        if at < len(self.tokens) and self.tokens[at].kind == "word":
            return roman_value(self.tokens[at].text)
        return None

    def kind(self, at: int) -> str:
        """Kind of a token; empty beyond the last."""
        return self.tokens[at].kind if at < len(self.tokens) else ""

    def slice(self, first: int, after: int) -> str:
        """The plain text from one token up to another."""
        if after <= first:
            return ""
        return self.text[self.tokens[first].start : self.tokens[after - 1].end].replace("\t", " ")

    def label(self, first: int, after: int) -> str:
        """The plain text of a name, without the full stop that ends one abbreviation."""
        text = self.slice(first, after).strip(" ,;:")
        return text[:-1] if text.endswith(".") and "." not in text[:-1].replace(". ", "") else text

    def typed_slice(self, first: int, after: int) -> str:
        """The line as it was typed from one token up to another."""
        start = self.plain.column(self.tokens[first].start) - 1
        last = self.plain.column(max(self.tokens[after - 1].end - 1, self.tokens[first].start))
        return self.typed[start:last]

    def ask(self, at: int, after: int, why: str, candidates: tuple[str, ...] = ()) -> None:
        """Put a question about some tokens; the same question is put once."""
        if not self.tokens:
            return
        at = min(at, len(self.tokens) - 1)
        start = self.tokens[at].start
        end = self.tokens[max(at, min(after, len(self.tokens)) - 1)].end
        column, last = self.plain.column(start), self.plain.column(max(start, end - 1))
        question = Question(self.number, column, self.typed[column - 1 : last], why, candidates)
        if question not in self.questions:
            self.questions.append(question)

    def has_question(self, at: int, after: int) -> bool:
        """Whether something between two tokens is already asked."""
        if at >= len(self.tokens):
            return False
        first = self.plain.column(self.tokens[at].start)
        last = self.plain.column(self.tokens[min(after, len(self.tokens)) - 1].start)
        return any(first <= question.column <= last for question in self.questions)

    def closing(self, at: int) -> int:
        """Index of the bracket that closes the one at a token; the end of the line if none does."""
        depth = 0
        for index in range(at, len(self.tokens)):
            depth += {"open": 1, "close": -1}.get(self.tokens[index].kind, 0)
            if depth == 0:
                return index
        return len(self.tokens)


def cut_line(typed: str, language: str | None = None, number: int = 1) -> Line:
    """One line alone, with the vocabulary of all languages and nothing above it.

    >>> cut_line("Montre 8").find(0, "name")
    ('principal', 1)
    """
    return Line(number, typed, Source(load_vocabulary(), language))
