"""The vocabularies as everybody may read them: words in several languages.

Only words that come with the program are told: one that somebody added may have been made for
a confidential record, and its name alone could tell what that record withholds.
"""

from __future__ import annotations

import json
from dataclasses import dataclass

from django.conf import settings

from inventory.models import Device, Term
from inventory.models.vocabularies import Vocabulary

from .door import check_column
from .values import Names

LANGUAGES = ("en", "fr", "es", "de")


@dataclass(frozen=True)
class WordValue:
    """One word: what it is called in each language, and which names nobody of the trade has checked."""

    vocabulary: str
    """Empty for devices."""
    code: str
    names: Names
    unchecked: tuple[str, ...]
    explanation: str


def shipped_words() -> frozenset[tuple[str, str]]:
    """Vocabulary (empty for devices) and code of every word of the program's own vocabularies."""
    file = settings.BASE_DIR / "fixtures" / "vocabularies.json"
    rows = json.loads(file.read_text(encoding="utf-8"))
    return frozenset((row["fields"].get("vocabulary", ""), row["fields"]["code"]) for row in rows)


def read_words() -> tuple[WordValue, ...]:
    """Devices first, then the terms of every vocabulary in their order; retired words are left out."""
    shipped = shipped_words()
    shared = ("code", "names", "unchecked", "explanation")
    for model, columns in ((Device, shared), (Term, (*shared, "vocabulary", "order", "retired"))):
        for column in columns:
            check_column(model, column)
    found = [WordValue("", **_frozen(row)) for row in Device.objects.order_by("code").values(*shared)]
    terms = Term.objects.filter(retired=False)
    for name in Vocabulary.values:
        found += [
            WordValue(name, **_frozen(row))
            for row in terms.filter(vocabulary=name).order_by("order", "code").values(*shared)
        ]
    return tuple(word for word in found if (word.vocabulary, word.code) in shipped)


def _frozen(row: dict[str, object]) -> dict[str, object]:
    unchecked = row["unchecked"]
    return row | {"unchecked": tuple(unchecked) if isinstance(unchecked, list) else ()}
