"""Texts of records in documents of another language: marked with their own, so that a screen reader speaks them rightly.

A mark is made of signs for private use around a text; `house.typ` sets what stands between them in that language.
Only sentences are marked (three words or more, as in the record): a name or a label may be of any language.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any

from django.conf import settings
from django.db.models import CharField, Model, TextField

OPEN, SAID, CLOSE = "\ue000", "\ue001", "\ue002"
FEWEST_WORDS = 3
PLAIN = frozenset(
    {"title", "name", "running", "foot", "mark", "heading", "heads", "alt", "file", "kind", "author"}
)
"""What becomes a bookmark, a title or a description of a picture can carry no mark."""
NOT_OF_THE_RECORD = frozenset({"licence", "specifications", "current", "made", "scheme", "answer"})
"""Fields that hold no sentence of the record, or labels, which have the language of their console."""
_PARAGRAPHS = re.compile(r"\n{2,}")


def record_texts(*values: Any) -> frozenset[str]:
    """Sentences of the record in frozen values, paragraph by paragraph; not those kept in another language."""
    return frozenset(
        paragraph
        for value in values
        for text in _texts(value)
        for part in _PARAGRAPHS.split(text)
        if len((paragraph := part.strip()).split()) >= FEWEST_WORDS
    )


def _texts(value: Any) -> Iterator[str]:
    if isinstance(value, str):
        yield value
    elif isinstance(value, Model):
        for column in value._meta.concrete_fields:
            if isinstance(column, CharField | TextField) and not column.choices:
                yield from _texts(getattr(value, column.attname))
    elif is_dataclass(value) and not isinstance(value, type):
        for one in fields(value):
            # Texts kept in other languages beside the record's own: summary_in, note_in.
            if not (one.name.endswith("_in") or one.name in NOT_OF_THE_RECORD):
                yield from _texts(getattr(value, one.name))
    elif isinstance(value, Mapping):
        # Words of a vocabulary, by language, are told in the document's own.
        if not value.keys() <= {"en", "fr", "es", "de"}:
            for one in value.values():
                yield from _texts(one)
    elif isinstance(value, list | tuple | set | frozenset):
        for one in value:
            yield from _texts(one)


def marked(data: Mapping[str, Any], language: str, texts: frozenset[str]) -> dict[str, Any]:
    """The data of a document with these texts marked, where the document has another language than the record."""
    own = settings.RECORD_LANGUAGE
    if language == own or not texts:
        return dict(data)
    longest_first = sorted(texts, key=lambda text: (-len(text), text))
    pattern = re.compile(rf"(?<!\w)(?:{'|'.join(map(re.escape, longest_first))})(?!\w)")

    def mark(value: Any, key: str = "") -> Any:
        if isinstance(value, str):
            return value if key in PLAIN else pattern.sub(rf"{OPEN}{own}{SAID}\g<0>{CLOSE}", value)
        if isinstance(value, Mapping):
            return {name: mark(one, str(name)) for name, one in value.items()}
        if isinstance(value, list | tuple):
            return [mark(one, key) for one in value]
        return value

    return {name: mark(one, name) for name, one in data.items()}
