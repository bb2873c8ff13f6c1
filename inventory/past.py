"""What of a record's past one person may be told: one rule for the workroom, the API and stale saves.

A field is told if its group is for this person; a row if it is for them and always was; whatever
stands in a hidden row or speaks of it is hidden with it; a record named in an old value is named
only to those who may know of it.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models

from .models import Belonging, Change, Root, User
from .models.choices import Audience
from .models.evidence import AboutRecord
from .readers import Reader, readable_fields, reader_of
from .visibility import includes

STEPS = frozenset({"state", "version", "released_version", "released_on", "withdrawn_because", "merged_into"})
"""Fields of a record that only the editorial way sets: told to whoever may know of the record."""
Told = tuple[str, Sequence[Any]]
"""The path of a field (``name``, ``event:built#when``) and the values it had."""


def latest_change_number() -> int:
    """The number of the last line of history, 0 where there is none: that something changed, and nothing of what."""
    return Change.objects.aggregate(last=models.Max("pk"))["last"] or 0


class Past:
    """The past of one record as one person may know it."""

    def __init__(self, root: Root, user: User | None, told: Iterable[Told], *, ever: bool = True) -> None:
        """With `ever`, what a row said while it was for others stays withheld; without, its audience now decides."""
        self.root, self.ever = root, ever
        self.reader: Reader = reader_of(user)
        self.audience = self.reader.audience_for(root.kind_name(), root.reference)
        told = list(told)
        self._hidden: set[str] = set()
        if self.audience != Audience.NAMED:
            self._hidden = self._find_hidden(
                {path.partition("#")[0] for path, _values in told if ":" in path}
            )
        self._known = self._find_known(told)

    def may_tell(self, path: str, values: Sequence[Any] = ()) -> bool:
        """Whether a field, with these values, may be told."""
        row, _hash, name = path.partition("#")
        is_row = ":" in row
        if is_row and not self._hidden.isdisjoint(_with_parents(row)):
            return False
        model = _model_of(row) if is_row else type(self.root)
        name = name if is_row else row
        if model is None:
            return False
        if not (not is_row and name in STEPS) and name not in readable_fields(model, self.audience):
            return False
        other = _named_kind(model, name)
        return other is None or all((other, one) in self._known for one in _references(values))

    def may_tell_row(self, row: str) -> bool:
        """Whether a row, or anything inside it, may be told of at all."""
        model = _model_of(row)
        return (
            model is not None
            and self._hidden.isdisjoint(_with_parents(row))
            and "code" in readable_fields(model, self.audience)
        )

    def _find_hidden(self, rows: set[str]) -> set[str]:
        """Rows that are, or ever were, for others; and those that speak of them."""
        if not rows:
            return set()
        hidden: set[str] = set()
        there: set[str] = set()
        about: dict[str, set[str]] = defaultdict(set)
        for kind in {path.partition(":")[0] for row in rows for path in _with_parents(row)}:
            for path, audience, spoken in self._rows_now(kind):
                there.add(path)
                if audience and not includes(self.audience, audience):
                    hidden.add(path)
                if spoken:
                    about[path].add(spoken.partition("#")[0])
        for entries in Change.objects.of(self.root).values_list("fields", flat=True):
            for entry in entries:
                row, mark, name = str(entry["path"]).partition("#")
                if mark and name in ("audience", "about") and (self.ever or row not in there):
                    for value in filter(None, (entry["old"], entry["new"])):
                        if name == "about":
                            about[row].add(str(value).partition("#")[0])
                        elif not includes(self.audience, value):
                            hidden.add(row)
        speaking = {
            row
            for row, spoken in about.items()
            if any(not hidden.isdisjoint(_with_parents(one)) for one in spoken if ":" in one)
        }
        return hidden | speaking

    def _rows_now(self, kind: str) -> Iterator[tuple[str, str, str]]:
        """Path, audience and what it speaks of, of each row of a kind that has either."""
        model = _model_of(f"{kind}:x")
        if model is None:
            return
        named = {field.name for field in model._meta.fields}
        wanted = [name for name in ("audience", "about") if name in named]
        if not wanted:
            return
        to_root = self.root.kind_name() if issubclass(model, AboutRecord) else model.root_path
        keys = ("code",) if issubclass(model, AboutRecord) else tuple(model.natural[1:])
        for row in model._default_manager.filter(**{to_root: self.root}).values(*wanted, *keys):
            path = f"{kind}:{'/'.join(row[key] for key in keys)}"
            yield path, row.get("audience") or "", row.get("about") or ""

    def _find_known(self, told: Iterable[Told]) -> set[tuple[type[Root], str]]:
        """Records named in the values that this person may know of."""
        named: dict[type[Root], set[str]] = defaultdict(set)
        for path, values in told:
            row, _hash, name = path.partition("#")
            model = _model_of(row) if ":" in row else type(self.root)
            other = _named_kind(model, name if ":" in row else row) if model else None
            if other is not None:
                named[other].update(_references(values))
        return {
            (model, reference)
            for model, references in named.items()
            for reference in self.reader.records(model)
            .filter(reference__in=references)
            .values_list("reference", flat=True)
        }


def _model_of(row: str) -> type[Belonging] | None:
    try:
        model = apps.get_model("inventory", row.partition(":")[0])
    except LookupError:
        return None
    return model if issubclass(model, Belonging) else None


def _with_parents(row: str) -> Iterator[str]:
    """A row and the rows it stands in, such as a region and its photograph."""
    yield row
    model, key = _model_of(row), row.partition(":")[2].split("/")
    while model is not None and len(key) > 1 and len(model.natural) > 2:
        parent: Any = model._meta.get_field(model.natural[-2].split("__")[0]).related_model
        model, key = parent, key[:-1]
        yield f"{model._meta.model_name}:{'/'.join(key)}"


def _named_kind(model: type[models.Model], name: str) -> type[Root] | None:
    """The kind of record a field names, if it names one."""
    try:
        related: Any = model._meta.get_field(name).related_model
    except FieldDoesNotExist:
        return None
    return related if isinstance(related, type) and issubclass(related, Root) else None


def _references(values: Sequence[Any]) -> Iterator[str]:
    """References in values as the history keeps them: a natural key is a list."""
    for value in values:
        if value:
            yield str(value[-1]) if isinstance(value, list | tuple) else str(value)
