"""Records as documents: the fields and rows a person may read, in a number of queries that rows do not change."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date
from decimal import Decimal
from typing import Any

from django.db import models
from django.db.models import QuerySet

from inventory.models import Belonging, Root, User
from inventory.models.choices import Audience
from inventory.readers import Reader, can_read_about, readable_fields, shows_picture, standing_consents
from inventory.visibility import includes

from .kinds import Field, RowKind, fields_of, kept_fields, row_kinds, writable_fields

Document = dict[str, Any]
_ROOT_COLUMNS = ("reference", "state", "audience")


def read_heads(records: QuerySet[Any], reader: Reader) -> list[Document]:
    """Records without their rows, in the order of the queryset: one query."""
    model: type[Root] = records.model
    kind = model.kind_name()
    known = Audience.NAMED if any(one == kind for one, _reference in reader.named) else reader.audience
    names = [name for name in readable_fields(model, known) if name in fields_of(model)]
    columns = [column for name in names for column in _columns(fields_of(model)[name], None, model)]
    documents = []
    for row in records.values(*{*columns, "reference", "version", "state", "audience"}):
        audience = reader.audience_for(kind, row["reference"])
        readable = set(readable_fields(model, audience))
        values = {
            name: value
            for name in names
            if name in readable
            for value in _told(row, fields_of(model)[name], None, model, reader)
        }
        documents.append(
            {
                "kind": kind,
                "reference": row["reference"],
                "version": row["version"],
                "state": row["state"],
                "fields": {name: values[name] for name in writable_fields(model) if name in values},
                "kept": {
                    name: values[name]
                    for name in kept_fields(model)
                    if name in values and name not in ("version", "state")
                },
            }
        )
    return documents


def read_document(root: Root, reader: Reader, wanted: Collection[str] | None = None) -> Document:
    """A record with its rows by kind (all kinds, or those wanted)."""
    document = read_heads(type(root).objects.filter(pk=root.pk), reader)[0]
    audience = reader.audience_for(root.kind_name(), root.reference)
    rows = RecordRows(root, reader, audience, standing_consents(root)).read(wanted)
    document["rows"] = {name: [row for _path, row, _kept in listed] for name, listed in rows.items()}
    document["kept_rows"] = {path: kept for listed in rows.values() for path, _row, kept in listed if kept}
    return document


class RecordRows:
    """The rows of one record that one person may read."""

    def __init__(self, root: Root, reader: Reader, audience: Audience, consented: frozenset[str]) -> None:
        self.root, self.reader, self.audience, self.consented = root, reader, audience, consented
        self.kinds = row_kinds(type(root))
        self.hidden: set[str] = set()
        """Paths of rows that are there and not shown."""

    def read(self, wanted: Collection[str] | None = None) -> dict[str, list[tuple[str, Document, Document]]]:
        """Path, writable fields and kept fields of each row, by kind; kinds without rows are left out."""
        # What has an audience of its own is read first: other rows stand in it or speak of it.
        order = sorted(self.kinds.values(), key=lambda kind: not _has_audience(kind))
        there = self._kinds_with_rows()
        found = {
            kind.name: self._read_kind(kind)
            for kind in order
            if kind.name in there and (wanted is None or kind.name in wanted or _has_audience(kind))
        }
        # Whether a row speaks of a hidden one is known only when all are read.
        return {
            name: shown
            for name in self.kinds
            if name in found
            and (wanted is None or name in wanted)
            and (shown := [row for row in found[name] if self._may_speak_of(row[1].get("about", ""))])
        }

    def _kinds_with_rows(self) -> set[str]:
        """One query that spares thirty."""
        # A limit inside a union needs a query of its own around it on SQLite.
        asked = [
            kind.model.objects.filter(
                pk__in=kind.model.objects.filter(**{kind.to_root: self.root}).order_by().values("pk")[:1]
            )
            .order_by()
            .annotate(kind_name=models.Value(kind.name, output_field=models.CharField()))
            .values_list("kind_name", flat=True)
            for kind in self.kinds.values()
            if "code" in self._readable(kind)
        ]
        return set(asked[0].union(*asked[1:], all=True)) if asked else set()

    def _readable(self, kind: RowKind) -> tuple[str, ...]:
        return readable_fields(kind.model, self.audience, self.consented)

    def _read_kind(self, kind: RowKind) -> list[tuple[str, Document, Document]]:
        fields = {
            name: field for name, field in fields_of(kind.model).items() if name in self._readable(kind)
        }
        single = {name: field for name, field in fields.items() if not field.many_to_many}
        columns = {c for field in single.values() for c in _columns(field, kind, type(self.root))}
        if _has_audience(kind):
            columns.add("audience")
        if kind.name == "photograph":
            columns |= {"licence", "consent"}
        rows = kind.model.objects.filter(**{kind.to_root: self.root})
        many = {name: self._links(kind, field) for name, field in fields.items() if field.many_to_many}
        found = []
        for row in rows.values("pk", *columns, *kind.columns):
            key = tuple(row[column] for column in kind.columns)
            path = kind.path(key)
            told = {
                name: value
                for name, field in single.items()
                for value in _told(row, field, kind, type(self.root), self.reader)
            }
            if self._is_hidden(kind, key, row, single):
                self.hidden.add(path)
                continue
            told |= {name: links.get(row["pk"], []) for name, links in many.items()}
            if kind.name == "event" and self.reader.is_outside and not told.get("maker"):
                told["attribution"] = ""  # how firmly it is given to somebody who is not named says too much
            writable = writable_fields(kind.model)
            shown = dict(zip(kind.key, key, strict=True)) | {n: told[n] for n in writable if n in told}
            found.append((path, shown, {n: told[n] for n in kept_fields(kind.model) if n in told}))
        return found

    def _links(self, kind: RowKind, field: Field) -> dict[int, list[str]]:
        """Rows that each row is linked to, by key."""
        target = row_kinds(type(self.root))[field.related_model._meta.model_name]
        columns = [f"{field.name}__{column}" for column in target.columns]
        links: dict[int, list[str]] = {}
        for pk, *steps in kind.model.objects.filter(**{kind.to_root: self.root}).values_list("pk", *columns):
            if steps[-1] is not None:
                links.setdefault(pk, []).append("/".join(steps[kind.shared_steps(target) :]))
        return {pk: sorted(found) for pk, found in links.items()}

    def _is_hidden(
        self, kind: RowKind, key: tuple[str, ...], row: Document, single: dict[str, Field]
    ) -> bool:
        """Whether a row is for others, stands in a row for others, or is nothing without a record for others."""
        if _has_audience(kind) and not includes(self.audience, row["audience"]):
            return True
        if kind.name == "photograph" and not shows_picture(self.audience, row["licence"], row["consent"]):
            return True
        if kind.parent and self.kinds[_target(kind.model, kind.parent)].path(key[:-1]) in self.hidden:
            return True
        return any(
            not field.null and _is_root(field) and not _may_know(row, field, self.reader)
            for field in single.values()
        )

    def _may_speak_of(self, about: str) -> bool:
        if about.partition("#")[0] in self.hidden:
            return False
        models_of_rows: Iterable[type[Belonging]] = (kind.model for kind in self.kinds.values())
        return can_read_about(about, type(self.root), models_of_rows, self.audience, self.consented)


def _has_audience(kind: RowKind) -> bool:
    return "audience" in fields_of(kind.model)


def _target(model: type[models.Model], name: str) -> str:
    related: Any = model._meta.get_field(name).related_model
    return str(related._meta.model_name)


def _is_root(field: Field) -> bool:
    return field.is_relation and issubclass(field.related_model, Root)


def _columns(field: Field, kind: RowKind | None, root: type[Root]) -> list[str]:
    """The columns a field's value is told from."""
    if not field.is_relation:
        return [field.name]
    if _is_root(field):
        return [f"{field.name}__{column}" for column in _ROOT_COLUMNS]
    if issubclass(field.related_model, Belonging):
        # A survey named on the page of a maker belongs to an instrument: nothing is told of it.
        target = row_kinds(root).get(field.related_model._meta.model_name)
        return [f"{field.name}__{column}" for column in target.columns] if target else []
    if field.related_model is User:
        return [f"{field.name}__username"]
    natural = [name for name in field.related_model.natural if name != "vocabulary"]
    return [f"{field.name}__{column}" for column in natural]


def _may_know(row: Document, field: Field, reader: Reader) -> bool:
    reference, state, audience = (row[f"{field.name}__{column}"] for column in _ROOT_COLUMNS)
    return reference is None or reader.may_know(field.related_model.kind_name(), reference, state, audience)


def _told(row: Document, field: Field, kind: RowKind | None, root: type[Root], reader: Reader) -> list[Any]:
    """A field's value as a list of one; empty where it is not told at all."""
    if not field.is_relation:
        return [plain_value(row[field.name])]
    columns = _columns(field, kind, root)
    if not columns:
        return []
    if _is_root(field):
        if _may_know(row, field, reader):
            return [row[columns[0]]]
        # To those who only read, what is hidden is as if it were not there; whoever may change the
        # record is not told *none*, for they might save it.
        return [None] if reader.is_outside else []
    steps = [row[column] for column in columns]
    if steps[-1] is None:
        return [None]
    target = row_kinds(root).get(field.related_model._meta.model_name)
    if kind is not None and target is not None:
        shared = kind.shared_steps(target)
        if all(row[mine] == theirs for mine, theirs in zip(kind.columns, steps[:shared], strict=False)):
            steps = steps[shared:]
    return ["/".join(str(step) for step in steps)]


def plain_value(value: Any) -> Any:
    """A value as JSON has it, and as the history keeps it: decimals as text, days as ISO text."""
    if isinstance(value, Decimal):
        return str(value)
    if isinstance(value, date):
        return value.isoformat()
    return value
