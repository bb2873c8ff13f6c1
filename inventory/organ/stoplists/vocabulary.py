"""The words of typed stoplists, one file per language beside this module.

A phrase has senses: a role in the grammar (``name``, ``half``, ``borrow`` …), a value
within the role (``treble``, ``stopped flute`` …) and a language. One word may have
several; the grammar decides by place, and the language of the source by preference.
"""

from __future__ import annotations

import json
from collections import defaultdict
from functools import cache
from importlib import resources
from typing import Any, NamedTuple

from inventory.organ.typed_text import fold

LANGUAGES = ("en", "fr", "de", "es", "it")
COMPOUND_FAMILIES = frozenset({"mixture", "sesquialtera", "cornet"})


class Sense(NamedTuple):
    """What a phrase can be."""

    role: str
    value: str
    language: str


class Vocabulary:
    """Phrases of every language with their senses."""

    def __init__(self, sources: dict[str, dict[str, Any]]) -> None:
        senses: dict[str, list[Sense]] = defaultdict(list)
        for language, roles in sources.items():
            for role, content in roles.items():
                for value, phrases in _values_of(role, content):
                    for phrase in phrases:
                        sense = Sense(role, value, language)
                        if sense not in senses[phrase_key(phrase)]:
                            senses[phrase_key(phrase)].append(sense)
        self._senses = {phrase: tuple(found) for phrase, found in senses.items()}
        self.longest = max(phrase.count(" ") + 1 for phrase in self._senses)
        self._firsts = frozenset(phrase.split(" ", 1)[0] for phrase in self._senses)

    def senses(self, key: str, language: str | None = None) -> tuple[Sense, ...]:
        """Senses of a folded phrase; those of the source's language alone where it has any."""
        found = self._senses.get(key, ())
        own = tuple(sense for sense in found if sense.language == language)
        if not own:
            return found
        # A short form means what its own language says; a whole word may also be borrowed.
        if len(key.replace(" ", "")) <= 3:
            return own
        roles = {sense.role for sense in own}
        return own + tuple(sense for sense in found if sense.role not in roles)

    def may_begin(self, word: str) -> bool:
        """Whether any phrase begins with this folded word."""
        return word in self._firsts


def phrase_key(phrase: str) -> str:
    """A phrase as it is looked up: folded, without dots, hyphens as spaces.

    >>> phrase_key("Plein-jeu"), phrase_key("m. der.")
    ('plein jeu', 'm der')
    """
    return " ".join(fold(phrase).replace(".", " ").replace("-", " ").split())


def _values_of(role: str, content: Any) -> list[tuple[str, list[str]]]:
    """(value, phrases) of one role: lists have no values; abbreviations map to what they stand for."""
    if isinstance(content, list):
        return [("", content)]
    if role == "abbreviation":
        return [("|".join(meanings), [short]) for short, meanings in content.items()]
    return list(content.items())


@cache
def load_vocabulary() -> Vocabulary:
    """The vocabulary of all languages, read once from the files beside this module.

    >>> load_vocabulary().senses("diskant")
    (Sense(role='half', value='treble', language='de'),)
    """
    folder = resources.files(__package__)
    return Vocabulary(
        {name: json.loads((folder / f"words_{name}.json").read_text("utf-8")) for name in LANGUAGES}
    )
