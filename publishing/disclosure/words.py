"""The vocabularies as everybody may read them: words in several languages.

Told are the words that come with the program, and a body's own where a public record shows them in a
public field. Any other may have been made for a confidential record, and its name alone could tell
what that record withholds.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db.models import Exists, Model, OuterRef

from inventory.models import Belonging, Device, Root, Term
from inventory.models.choices import Audience
from inventory.models.vocabularies import Vocabulary
from inventory.visibility import group_of

from .door import check_column, published
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


@cache
def shipped_names(vocabulary: str) -> Mapping[str, Names]:
    """Names by language of the words of one of the program's own vocabularies, found by their English name."""
    file = settings.BASE_DIR / "fixtures" / "vocabularies.json"
    rows = [row["fields"] for row in json.loads(file.read_text(encoding="utf-8"))]
    return {row["names"]["en"]: row["names"] for row in rows if row.get("vocabulary") == vocabulary}


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
    told = shipped | shown_words()
    return tuple(word for word in found if (word.vocabulary, word.code) in told)


def shown_words() -> frozenset[tuple[str, str]]:
    """Vocabulary (empty for devices) and code of every word that a public record shows in a public field."""
    found: set[tuple[str, str]] = set()
    for model in apps.get_app_config("inventory").get_models():
        columns = [
            column
            for column in model._meta.concrete_fields
            if column.related_model in (Term, Device) and _is_public(model, column.name)
        ]
        if not columns or not issubclass(model, Root | Belonging):
            continue
        if issubclass(model, Root):
            rows = model.objects.public()
        else:
            public = published(_root_of(model)).order_by().values("pk")
            rows = model.objects.filter(**{f"{model.root_path}__in": public})
            if any(column.name == "audience" for column in model._meta.concrete_fields):
                rows = rows.filter(audience=Audience.PUBLIC)
        for column in columns:
            # Word by word, each until its first row: a large collection has many rows and few words.
            words: type[Device] | type[Term] = Device if column.related_model is Device else Term
            told = words.objects.filter(Exists(rows.order_by().filter(**{column.name: OuterRef("pk")})))
            if words is Device:
                found |= {("", code) for code in told.values_list("code", flat=True)}
            else:
                found |= set(told.values_list("vocabulary", "code"))
    return frozenset(found)


def _root_of(model: type[Belonging]) -> type[Root]:
    at: Any = model
    for step in model.root_path.split("__"):
        at = at._meta.get_field(step).related_model
    return at


def _is_public(model: type[Model], column: str) -> bool:
    group = group_of(model, column)
    return group.audience == Audience.PUBLIC and not group.needs_consent


def _frozen(row: dict[str, object]) -> dict[str, object]:
    unchecked = row["unchecked"]
    return row | {"unchecked": tuple(unchecked) if isinstance(unchecked, list) else ()}
