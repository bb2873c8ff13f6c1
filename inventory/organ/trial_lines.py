"""Trials as people write them, a line each, and written back as lines.

Two kinds of line. A stop alone, key by key, with the range that was tried::

    Bourdon 8: C–B ok; c weak; c♯ dumb; nothing else

and anything else, with the knobs drawn and the keys held before a bar::

    Flute 8 + Viol 8 | c: Flute 8 speaks; Viol 8 c1 murmurs; nothing else
    no stop | nothing held: nothing sounds

Stops are named by label or by id, keys by note or by number, with the keyboard before them
where the note alone does not say. *Nothing else* says that somebody listened for other
sounds and heard none. What is not listed was not observed.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources

from inventory.organ.key_lines import KeyObservation, read_key_line
from inventory.organ.nets import Key
from inventory.organ.schemes import Keyboard, Scheme, Stop, asked_pipes
from inventory.organ.sentences import say
from inventory.organ.stoplists.values import Question
from inventory.organ.trials import Extra, Heard, Trial
from inventory.organ.typed_text import fold

MOST_LINES = 600
MOST_TYPED = 5_000
"""Trials of one text."""
_HELD_APART = re.compile(r"[,;]|\s\+\s")


@dataclass(frozen=True)
class TypedTrial:
    """One trial and the line it was typed in, from 1."""

    line: int
    trial: Trial


@dataclass(frozen=True)
class TrialLines:
    """What a text of trials says and what must be asked."""

    typed: tuple[TypedTrial, ...]
    questions: tuple[Question, ...]

    @property
    def trials(self) -> tuple[Trial, ...]:
        """The trials, in the order of the text."""
        return tuple(one.trial for one in self.typed)


@cache
def _words() -> dict[str, list[str]]:
    data = json.loads(resources.files(__package__).joinpath("trial_words.json").read_text("utf-8"))
    return {kind: sorted(map(fold, words), key=len, reverse=True) for kind, words in data.items()}


def read_trial_lines(text: str, scheme: Scheme, language: str | None = "en") -> TrialLines:
    """Read trials typed for a scheme; `language` settles B and H. Never raises: what is unclear is asked.

    >>> scheme = Scheme((Keyboard("I", (36, 37, 38)),), (), (Stop("A", "I", "Flute"),), ())
    >>> read = read_trial_lines("Flute: C–C♯ ok; D dumb", scheme)
    >>> [(sorted(trial.keys), trial.heard[0].manner) for trial in read.trials]
    [([('I', 1)], 'speaks'), ([('I', 2)], 'speaks'), ([('I', 3)], 'silent')]
    """
    reader = _Reader(scheme, language)
    lines = text.splitlines()
    for number, line in enumerate(lines[:MOST_LINES], start=1):
        if line.strip() and not line.lstrip().startswith("#"):
            reader.read(number, line)
    if len(lines) > MOST_LINES or len(reader.typed) > MOST_TYPED:
        reader.ask(MOST_LINES, text[:40], say("only the first lines are read: save these, then go on"))
    return TrialLines(tuple(reader.typed[:MOST_TYPED]), tuple(reader.questions))


class _Reader:
    def __init__(self, scheme: Scheme, language: str | None) -> None:
        self.scheme, self.language = scheme, language
        self.typed: list[TypedTrial] = []
        self.questions: list[Question] = []
        self.names = names_of_stops(scheme)
        self.line = 0

    def ask(self, line: int, text: str, why: str, candidates: Iterable[str] = ()) -> None:
        self.questions.append(Question(line, 1, text.strip()[:80], why, tuple(candidates)))

    def read(self, number: int, line: str) -> None:
        self.line = number
        head, bar, tail = line.partition("|")
        if bar:
            self._read_barred(head, tail, line)
            return
        head, colon, tail = line.partition(":")
        if not colon:
            why = say("no colon: write the stop, a colon, then the notes and how they answered")
            self.ask(number, line, why)
            return
        stop = self._stop(head)
        if stop is not None:
            self._read_alone(stop, head, tail)

    def _stop(self, name: str) -> Stop | None:
        found = self.names.get(fold(" ".join(name.split())), [])
        if len(found) == 1:
            return self.scheme.stop[found[0]]
        if found:
            self.ask(self.line, name, say("several stops have this name: write the id of one"), found)
        else:
            known = sorted({stop.name or stop.id for stop in self.scheme.stops})
            self.ask(self.line, name, say("no stop has this name"), known[:12])
        return None

    def _read_alone(self, stop: Stop, head: str, tail: str) -> None:
        kept, quiet = self._without(tail, "nothing else")
        board = self.scheme.keyboard[stop.keyboard]
        # The head goes along: its letters tell whether the line was typed in one case only.
        for seen in self._keys(f"{head.strip()}: {kept}", board):
            heard = (Heard(stop.id, seen.key, seen.heard),)
            held = frozenset({(board.id, seen.key)})
            self._add(Trial(frozenset({stop.id}), held, heard, () if quiet else None))

    def _read_barred(self, head: str, tail: str, line: str) -> None:
        asked = len(self.questions)
        drawn = self._drawn(head)
        held_text, colon, told = tail.partition(":")
        if not colon:
            self.ask(self.line, line, say("no colon after the keys: what was heard?"))
            return
        keys = self._held(held_text, drawn)
        told, quiet = self._without(told, "nothing else")
        heard: list[Heard] = []
        extra: list[Extra] = []
        for clause in filter(str.strip, told.split(";")):
            self._read_clause(clause, drawn, keys, heard, extra)
        if len(self.questions) > asked:
            return  # a trial half understood is none
        listened = tuple(dict.fromkeys(extra)) if extra or quiet else None
        self._add(Trial(frozenset(drawn), keys, tuple(dict.fromkeys(heard)), listened))

    def _add(self, trial: Trial) -> None:
        self.typed.append(TypedTrial(self.line, trial))

    def _without(self, text: str, kind: str) -> tuple[str, bool]:
        """The clauses of a text without those that are one of these words."""
        words = _words()[kind]
        clauses = text.split(";")
        kept = [clause for clause in clauses if fold(clause).strip(" .") not in words]
        return ";".join(kept), len(kept) < len(clauses)

    def _drawn(self, head: str) -> list[str]:
        if fold(head).strip() in _words()["no stop"] or not head.strip():
            return []
        couplers = {fold(coupler.id): coupler.id for coupler in self.scheme.couplers}
        drawn = []
        for name in head.split(" + "):
            coupler = couplers.get(fold(name).strip())
            stop = None if coupler else self._stop(name)
            drawn += [coupler] if coupler else [stop.id] if stop else []
        return drawn

    def _held(self, text: str, drawn: Sequence[str]) -> frozenset[Key]:
        if fold(text).strip(" .") in _words()["nothing held"]:
            return frozenset()
        found: set[Key] = set()
        boards = [self.scheme.stop[one].keyboard for one in drawn if one in self.scheme.stop]
        for part in filter(str.strip, _HELD_APART.split(text)):
            board, rest = self._board(part, boards)
            found |= {(board.id, seen.key) for seen in self._keys(f"{rest} ok", board)}
        return frozenset(found)

    def _board(self, text: str, boards: Sequence[str]) -> tuple[Keyboard, str]:
        """The keyboard named before the keys, else that of the stops drawn, else the first."""
        first, _space, rest = text.strip().partition(" ")
        for board in self.scheme.keyboards:
            if first == board.id and rest:
                return board, rest
        name = boards[0] if boards else self.scheme.keyboards[0].id
        return self.scheme.keyboard[name], text

    def _read_clause(
        self, clause: str, drawn: Sequence[str], keys: frozenset[Key], heard: list[Heard], extra: list[Extra]
    ) -> None:
        stop, rest = self._leading_stop(clause, drawn)
        if stop is None:
            return
        board = self.scheme.keyboard[stop.keyboard]
        told, strength = self._strength(rest)
        if strength is not None:
            at = self._at(told, keys, board)
            found = [pipe for key in at for pipe in pipes_of_note(self.scheme, stop.id, key)]
            extra += [Extra(rank, pipe, strength) for rank, pipe in found]
            if not found:
                self.ask(
                    self.line, clause, say("no pipe of this stop stands there: name the note that sounds")
                )
            return
        words = rest.split()
        for place in range(len(words)):
            state = self._keys(f"1 {' '.join(words[place:])}", board, ask=False)
            if len(state) == 1:
                notes = " ".join(words[:place])
                at = self._at(notes, keys, board)
                heard += [Heard(stop.id, key, state[0].heard) for key in at]
                if not at and not notes:
                    self.ask(self.line, clause, say("no key of this stop is held: which note?"))
                return
        self.ask(self.line, clause, say("speaks, weak, silent, or murmurs, sounds: which of them?"))

    def _at(self, notes: str, held: frozenset[Key], board: Keyboard) -> list[int]:
        """Keys by their notes; without notes, those held on the keyboard."""
        if notes.strip():
            return [one.key for one in self._keys(f"{notes.strip()} ok", board)]
        return sorted(key for name, key in held if name == board.id)

    def _leading_stop(self, clause: str, drawn: Sequence[str]) -> tuple[Stop | None, str]:
        """The stop a clause begins with; left out where only one is drawn."""
        words = clause.split()
        for end in range(len(words), 0, -1):
            found = self.names.get(fold(" ".join(words[:end])), [])
            among = [one for one in found if one in drawn] or found
            if len(among) == 1:
                return self.scheme.stop[among[0]], " ".join(words[end:])
            if among:
                self.ask(self.line, clause, say("several stops have this name: write the id of one"), among)
                return None, ""
        stops = [one for one in drawn if one in self.scheme.stop]
        if len(stops) == 1:
            return self.scheme.stop[stops[0]], clause
        self.ask(self.line, clause, say("which stop was heard?"), stops[:12])
        return None, ""

    def _strength(self, text: str) -> tuple[str, str | None]:
        folded = fold(text).rstrip(" .")
        for kind in ("faint", "loud"):
            for word in _words()[kind]:
                if folded == word or folded.endswith(f" {word}"):
                    return text.rstrip(" .")[: len(text.rstrip(" .")) - len(word)], kind
        return text, None

    def _keys(self, text: str, board: Keyboard, ask: bool = True) -> list[KeyObservation]:
        read = read_key_line(text, board.notes, self.language, line=self.line)
        if ask:
            self.questions += read.questions
        elif read.questions:
            return []
        return list(read.observations)


def names_of_stops(scheme: Scheme) -> dict[str, list[str]]:
    """Ids of stops by everything they may be called, folded.

    >>> names_of_stops(Scheme((), (), (Stop("a", "I", "Viola", "8"),), ()))["viola 8"]
    ['a']
    """
    found: dict[str, list[str]] = {}
    for stop in scheme.stops:
        label = stop.name or stop.id
        called = {stop.id, label, f"{stop.keyboard} {label}"}
        if stop.footage:
            called |= {f"{label} {stop.footage}", f"{stop.keyboard} {label} {stop.footage}"}
        for name in {fold(" ".join(one.split())) for one in called}:
            found.setdefault(name, []).append(stop.id)
    return found


def pipes_of_note(scheme: Scheme, stop: str, key: int) -> list[tuple[str, int]]:
    """Ranks and pipes that a note of a stop asks.

    >>> pipes_of_note(Scheme((), (), (), ()), "a", 1)
    []
    """
    return [
        (segment.rank, pipe)
        for segment in scheme.segments
        if segment.stop == stop
        for at, pipe in asked_pipes(scheme, segment)
        if at == key and pipe is not None and scheme.rank[segment.rank].exists(pipe)
    ]
