"""The shape of records as documents, read from the models: kinds of root, kinds of row, their keys.

A row is known by the codes of its natural key, never by a number of the database. Where
one row names another, the steps both keys share are left out: a segment of the
specification ``as-found`` names its rank ``flute``; a cost line names its defect
``leather``; a gift names its funding ``restore/town``.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from django.apps import apps
from django.db import models

from inventory.actions.differences import KEPT_BY_ACTIONS
from inventory.models import Belonging, Instrument, Maker, Place, Root, Source, User
from inventory.models.evidence import AboutRecord

ROOTS: dict[str, type[Root]] = {
    "places": Place,
    "makers": Maker,
    "sources": Source,
    "instruments": Instrument,
}
ABOUT = ("instrument", "maker", "place")
"""Kinds of record that citations, claims and the like may speak of."""
Field = Any
"""A field of a model: a column, a link to one row, or links to many."""


@dataclass(frozen=True)
class RowKind:
    """A kind of row of one kind of record."""

    model: type[Belonging]
    to_root: str
    """Look-up path from the row to its record."""
    key: tuple[str, ...]
    """Names of the codes that identify a row inside its record, such as specification, stop, code."""
    columns: tuple[str, ...]
    """Look-up paths of these codes."""

    @property
    def name(self) -> str:
        return str(self.model._meta.model_name)

    @property
    def parent(self) -> str | None:
        """The field that names the row this one stands in, or None where it stands in the record."""
        return self.columns[-2].split("__")[0] if len(self.key) > 1 else None

    def path(self, key: tuple[str, ...]) -> str:
        """Where a row stands in its record, such as ``stop:as-found/flute-8``."""
        return f"{self.name}:{'/'.join(key)}"

    def shared_steps(self, target: RowKind) -> int:
        """How many first steps of the key of a row of the kind `target` a row of this kind leaves out."""
        steps = 0
        for mine, theirs in zip(self.key[:-1], target.key[:-1], strict=False):
            if mine != theirs:
                break
            steps += 1
        return steps


@cache
def row_kinds(root: type[Root]) -> dict[str, RowKind]:
    """Kinds of rows of a kind of record, by name."""
    found = {}
    for model in apps.get_app_config("inventory").get_models():
        if not issubclass(model, Belonging):
            continue
        if issubclass(model, AboutRecord):
            if root.kind_name() in ABOUT:
                kind = RowKind(model, root.kind_name(), ("code",), ("code",))
                found[kind.name] = kind
            continue
        to_root = model.natural[0].removesuffix("__reference")
        if _end_of(model, to_root) is root:
            names = tuple(path.split("__")[-2] if "__" in path else path for path in model.natural[1:])
            kind = RowKind(model, to_root, names, tuple(model.natural[1:]))
            found[kind.name] = kind
    return found


def _end_of(model: type[models.Model], path: str) -> Any:
    """The model a look-up path leads to."""
    at: Any = model
    for step in path.split("__"):
        at = at._meta.get_field(step).related_model
    return at


@cache
def fields_of(model: type[models.Model]) -> dict[str, Field]:
    """Fields of a model that belong in a document, by name: no key, nothing that only says where a row stands."""
    structural = set()
    if issubclass(model, AboutRecord):
        structural = {*ABOUT, "code"}
    elif issubclass(model, Belonging):
        structural = {model.natural[0].split("__")[0], "code"}
    return {
        field.name: field
        for field in (*model._meta.concrete_fields, *model._meta.many_to_many)
        if not field.primary_key and field.name not in structural
    }


@cache
def writable_fields(model: type[models.Model]) -> dict[str, Field]:
    """The fields people change; files come in by another door, a reference is given once.

    Of rows that a person signs (an answer to a finding) none: the action that signs them writes them.
    """
    if any(field.related_model is User for field in fields_of(model).values()):
        return {}
    return {
        name: field
        for name, field in fields_of(model).items()
        if field.editable
        and not (issubclass(model, Root) and name in KEPT_BY_ACTIONS)
        and not isinstance(field, models.FileField)
        and not (issubclass(model, Root) and name == "reference")
    }


@cache
def kept_fields(model: type[models.Model]) -> tuple[str, ...]:
    """The fields the program sets: versions, states, bounds of dates, sizes of pictures."""
    writable = writable_fields(model)
    return tuple(name for name in fields_of(model) if name not in writable and name != "reference")


def plural_of(root: type[Root]) -> str:
    """The word for a kind of record in addresses."""
    return next(name for name, model in ROOTS.items() if model is root)
