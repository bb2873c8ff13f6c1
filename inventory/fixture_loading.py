"""Fixtures with natural keys loaded in bulk: the same rows as `loaddata`, in a few queries a model.

`loaddata` asks the database several times for every row; for a whole collection that is tens of
thousands of questions. Here the keys of each model are read once. Nothing is deleted; rows already
there are changed only where they differ.
"""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Iterable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.apps import apps
from django.conf import settings
from django.db import connection, models, transaction
from django.utils.translation import gettext as _

from inventory.models.evidence import AboutRecord

Key = tuple[Any, ...]
Fields = dict[str, Any]
ROOTS = ("instrument", "maker", "place")


class FixtureError(ValueError):
    """A fixture that cannot be loaded: which row, and why."""


@dataclass
class Loaded:
    """What a load did."""

    created: int = 0
    changed: int = 0
    same: int = 0


def load_fixtures(paths: Iterable[Path]) -> Loaded:
    """Load fixture files in one transaction; rows of a model after those it points at.

    Raises FixtureError for a row that names another that exists neither in the database nor before it.
    """
    loader = _Loader()
    with transaction.atomic():
        for path in paths:
            groups: dict[str, list[Fields]] = {}
            for row in json.loads(path.read_text(encoding="utf-8")):
                groups.setdefault(row["model"], []).append(row["fields"])
            for label, rows in groups.items():
                loader.load(apps.get_model(label), rows)
        if loader.touched:
            mark_loaded()  # before the rows stand, lest a crash in between leave them unmarked
    if loader.touched:
        mark_loaded()  # and after, for whoever read the old rows under the new mark
    return loader.loaded


def mark_loaded() -> None:
    """Note in the data folder that rows were changed behind the versions of their records.

    Whoever keeps something made of records keeps `loading_marker` beside it. A folder that cannot
    be written holds nothing that is kept.
    """
    with suppress(OSError):
        _marker().write_text(secrets.token_hex(16), encoding="ascii")


def loading_marker() -> str:
    """Changes whenever fixtures are loaded that change anything; empty where none ever were."""
    try:
        return _marker().read_text(encoding="ascii")
    except (OSError, ValueError):
        return ""


def _marker() -> Path:
    """A file for each database, so that a test's leaves the real one's alone."""
    name = hashlib.sha256(str(connection.settings_dict["NAME"]).encode()).hexdigest()[:12]
    return Path(settings.DATA_DIR) / f"fixtures-loaded-{name}"


def natural_paths(model: type[models.Model]) -> tuple[str, ...]:
    """Look-ups of a model's natural key; those of rows about a record are dealt with apart."""
    return model.natural  # type: ignore[attr-defined, no-any-return]


def key_in_fixture(model: type[models.Model], fields: Fields) -> Key:
    """Natural key of a fixture row, taken from its own values and the keys it points at."""
    if issubclass(model, AboutRecord):
        kind = next(name for name in ROOTS if fields.get(name))
        return (kind, fields[kind][0], fields["code"])
    key = []
    for path in natural_paths(model):
        name, _underscores, rest = path.partition("__")
        if not rest:
            key.append(fields[name])
            continue
        other = model._meta.get_field(name).related_model
        key.append(fields[name][natural_paths(other).index(rest)])
    return tuple(key)


class _Loader:
    def __init__(self) -> None:
        self.known: dict[type[models.Model], dict[Key, int]] = {}
        self.loaded = Loaded()
        self.tied = False

    @property
    def touched(self) -> bool:
        """Whether anything in the database is now another."""
        return bool(self.loaded.created or self.loaded.changed or self.tied)

    def keys_of(self, model: type[models.Model]) -> dict[Key, int]:
        """Natural keys of all rows of a model, read once."""
        if model not in self.known:
            found: dict[Key, int] = {}
            if issubclass(model, AboutRecord):
                for kind in ROOTS:
                    rows = model._default_manager.exclude(**{kind: None})
                    found |= {
                        (kind, ref, code): pk
                        for ref, code, pk in rows.values_list(f"{kind}__reference", "code", "pk")
                    }
            else:
                columns = (*natural_paths(model), "pk")
                found = {
                    tuple(row[:-1]): row[-1]
                    for row in model._default_manager.order_by().values_list(*columns)
                }
            self.known[model] = found
        return self.known[model]

    def pk_of(self, model: type[models.Model], value: Any, said_by: str) -> int:
        """Primary key of the row a fixture names."""
        try:
            return self.keys_of(model)[tuple(value)]
        except KeyError:
            raise FixtureError(
                _("%(row)s names %(kind)s %(key)s, which is not there; load it first, or correct the name")
                % {"row": said_by, "kind": model._meta.model_name, "key": "/".join(map(str, value))}
            )

    def load(self, model: type[models.Model], rows: list[Fields]) -> None:
        """Create or change the rows of one model; ties to rows of the same model come last."""
        known = self.keys_of(model)
        many = {field.name: field for field in model._meta.many_to_many}
        own = [f.name for f in model._meta.concrete_fields if f.is_relation and f.related_model is model]
        told = [(key_in_fixture(model, row), row) for row in rows]
        there = model._default_manager.in_bulk([known[key] for key, _row in told if key in known])
        new: dict[Key, models.Model] = {}
        for key, row in told:
            values = self.resolve(model, row, {*many, *own}, "/".join(map(str, key)))
            if key in known:
                self.change(there[known[key]], values)
            elif key in new:
                raise FixtureError(
                    _("%(row)s stands twice in the fixture") % {"row": "/".join(map(str, key))}
                )
            else:
                new[key] = model(**values)
        created = model._default_manager.bulk_create(new.values(), batch_size=200)
        self.loaded.created += len(created)
        known |= {key: instance.pk for key, instance in zip(new, created, strict=True)}
        self.tie(model, told, many, own)

    def resolve(self, model: type[models.Model], row: Fields, later: set[str], said_by: str) -> Fields:
        """Column values of a fixture row: names turned into keys, texts into values."""
        values: Fields = {}
        for name, value in row.items():
            if name in later:
                continue
            field = model._meta.get_field(name)
            if field.is_relation:
                values[field.attname] = (
                    None if value is None else self.pk_of(field.related_model, value, said_by)
                )
            else:
                values[name] = field.to_python(value)
        return values

    def change(self, instance: models.Model, values: Fields) -> None:
        """Save a row again where it differs; files are compared by name."""
        differing = [name for name, value in values.items() if getattr(instance, name) != value]
        for name in differing:
            setattr(instance, name, values[name])
        if differing:
            instance.save_base(raw=True)
            self.loaded.changed += 1
        else:
            self.loaded.same += 1

    def tie(
        self, model: type[models.Model], told: list[tuple[Key, Fields]], many: dict[str, Any], own: list[str]
    ) -> None:
        """Ties to rows of the same model and ties to many."""
        known = self.known[model]
        for name in own:
            attname = model._meta.get_field(name).attname
            for key, row in told:
                if row.get(name) is not None:
                    other = self.pk_of(model, row[name], "/".join(map(str, key)))
                    found = model._default_manager.filter(pk=known[key]).exclude(**{attname: other})
                    self.tied |= bool(found.update(**{attname: other}))
        for name, field in many.items():
            through = getattr(model, name).through
            mine, theirs = field.m2m_field_name() + "_id", field.m2m_reverse_field_name() + "_id"
            wanted = {
                (known[key], self.pk_of(field.related_model, other, "/".join(map(str, key))))
                for key, row in told
                for other in row.get(name) or []
            }
            pks = [known[key] for key, _row in told]
            there = set(through._default_manager.filter(**{f"{mine}__in": pks}).values_list(mine, theirs))
            self.tied |= there != wanted
            for one, other in there - wanted:
                through._default_manager.filter(**{mine: one, theirs: other}).delete()
            through._default_manager.bulk_create(
                [through(**{mine: one, theirs: other}) for one, other in sorted(wanted - there)],
                batch_size=400,
            )
