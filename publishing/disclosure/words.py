"""The vocabularies as everybody may read them: words in several languages, which are nobody's secret."""

from __future__ import annotations

from dataclasses import dataclass

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


def read_words() -> tuple[WordValue, ...]:
    """Devices first, then the terms of every vocabulary in their order; retired words are left out."""
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
    return tuple(found)


def _frozen(row: dict[str, object]) -> dict[str, object]:
    unchecked = row["unchecked"]
    return row | {"unchecked": tuple(unchecked) if isinstance(unchecked, list) else ()}
