"""What an action changes, field by field, as values that history can keep and show."""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import DEFAULT_DB_ALIAS, models
from django.db.models.deletion import Collector

from inventory.models.base import Belonging, Root

KEPT_BY_ACTIONS = frozenset(
    {"id", "version", "state", "released_version", "released_on", "withdrawn_because", "merged_into"}
)


@dataclass(frozen=True)
class Difference:
    """One field of one row: where, from what, to what (None for a row that was not there)."""

    path: str
    """Such as ``name`` for a field of the root, or ``stop:as-found/flute-8#footage``."""
    old: Any
    new: Any


def plain(row: models.Model, field: models.Field) -> Any:
    """A field's value as JSON keeps it; a foreign key as the natural key of its row."""
    if isinstance(field, models.ForeignKey):
        other = getattr(row, field.name) if getattr(row, field.attname) is not None else None
        if other is None:
            return None
        return list(other.natural_key()) if hasattr(other, "natural_key") else other.pk
    if isinstance(field, models.FileField):
        return getattr(row, field.name).name or ""
    return json.loads(json.dumps(field.value_from_object(row), cls=DjangoJSONEncoder))


def compared_fields(row: models.Model) -> list[models.Field]:
    """The fields people change: no keys, no companions that are computed, no version."""
    return [
        field
        for field in row._meta.concrete_fields
        if field.editable
        and not field.primary_key
        # The state of a record is kept by actions; the state of a stop or a pipe is a fact people change.
        and not (isinstance(row, Root) and field.name in KEPT_BY_ACTIONS)
    ]


def path_of(row: models.Model, field: str) -> str:
    """Where a field stands in its record."""
    if isinstance(row, Belonging):
        return f"{row.path_in_root()}#{field}"
    return field


def differences(old: models.Model | None, new: models.Model) -> list[Difference]:
    """Fields whose value differs; all filled fields of a new row."""
    found = []
    for field in compared_fields(new):
        after = plain(new, field)
        before = plain(old, field) if old is not None else None
        if before != after and not (old is None and after in (None, "", [], {})):
            found.append(Difference(path_of(new, field.name), before, after))
    return found


def removal(row: models.Model) -> list[Difference]:
    """A row that is taken away: its filled fields, each to nothing."""
    return [
        Difference(path_of(row, field.name), plain(row, field), None)
        for field in compared_fields(row)
        if plain(row, field) not in (None, "", [], {})
    ]


def dependants_lost(rows: Iterable[models.Model]) -> list[Difference]:
    """Rows that go with the rows taken away, and fields that pointed to them: history keeps these too."""
    rows = list(rows)
    named = {(type(row), row.pk) for row in rows}
    collector = Collector(using=DEFAULT_DB_ALIAS)
    for row in rows:
        collector.collect([row])
    gone = {model: list(found) for model, found in collector.data.items()}
    for found in collector.fast_deletes:
        gone.setdefault(found.model, []).extend(found)
    lost: list[Difference] = []
    for model, found in gone.items():
        for row in found:
            if issubclass(model, Belonging) and (model, row.pk) not in named:
                named.add((model, row.pk))
                lost += removal(row)
    for (field, value), found in collector.field_updates.items():
        for row in (row for group in found for row in group):
            if isinstance(row, Belonging) and (type(row), row.pk) not in named:
                lost.append(Difference(path_of(row, field.name), plain(row, field), value))
    return lost


def as_json(found: list[Difference]) -> list[dict[str, Any]]:
    """Differences as history stores them."""
    return [asdict(difference) for difference in found]
