"""Undoing a change: a new change that puts back what was; what was changed again since is left and named."""

from __future__ import annotations

import datetime
from collections import defaultdict
from typing import Any

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.utils.translation import gettext as _

from inventory.models import Belonging, Change, Root, User
from inventory.models.evidence import AboutRecord
from inventory.roles import require

from .differences import plain
from .errors import ActionError
from .records import Link, change_record

STEPS_OF_REVIEW = frozenset({"submit", "return", "release", "withdraw", "load", "create"})


def undo_change(root: Root, change: Change, *, version: int, by: User, why: str = "") -> Root:
    """Put back what one change altered, as a new version. Refused where a later change stands on it."""
    require(by, "change", root)
    if (change.root_kind, change.reference) != (root.kind_name(), root.reference):
        raise ActionError(_("This change belongs to another record."))
    if change.action in STEPS_OF_REVIEW:
        raise ActionError(_("A step of review is not undone here: take the next step instead."))
    plan = _Plan(root)
    plan.read(change)
    if plan.moved_on:
        raise ActionError(
            _("Changed again since, so not undone: %(paths)s. Undo the later change first.")
            % {"paths": ", ".join(plan.moved_on[:8])}
        )
    return change_record(
        root,
        version=version,
        by=by,
        why=why or _("undoes version %(version)s") % {"version": change.version},
        put=plan.put(),
        remove=plan.remove,
        links=plan.links,
        action="undo",
    )


class _Plan:
    """The rows to save, to make again and to take away so that one change is undone."""

    def __init__(self, root: Root) -> None:
        self.root = root
        self.moved_on: list[str] = []
        self.changed: list[models.Model] = []
        self.made: dict[str, models.Model] = {}
        self.remove: list[Any] = []
        self.links: list[Link] = []
        self._waiting: list[tuple[models.Model, models.ForeignKey, list[Any]]] = []

    def read(self, change: Change) -> None:
        by_row: dict[str, list[dict[str, Any]]] = defaultdict(list)
        for entry in change.fields:
            row, mark, _name = entry["path"].rpartition("#")
            by_row[row if mark else ""].append(entry)
        for path, entries in by_row.items():
            if not path:
                self._alter(self.root, entries)
                continue
            row = self._find(path)
            if row is None:
                if any(entry["old"] is not None for entry in entries):
                    self._make(path, entries)
            elif self._was_made_by(change, entries, row):
                self._take_away(row, entries)
            else:
                self._alter(row, entries)
        for row, field, key in self._waiting:
            setattr(row, field.name, self._related(field, key))

    def put(self) -> list[models.Model]:
        """Rows in an order in which each finds its parents."""
        return [*sorted(self.made.values(), key=_depth), *self.changed]

    def _find(self, path: str) -> Belonging | None:
        kind, _colon, code = path.partition(":")
        try:
            model = apps.get_model("inventory", kind)
        except LookupError:
            return None
        if issubclass(model, AboutRecord):
            wanted: dict[str, Any] = {self.root.kind_name(): self.root, "code": code}
        else:
            steps = model.natural[1:]
            if len(steps) != code.count("/") + 1:
                return None
            wanted = {model.root_path: self.root, **dict(zip(steps, code.split("/"), strict=True))}
        return model._default_manager.filter(**wanted).first()  # type: ignore[no-any-return]

    def _was_made_by(self, change: Change, entries: list[dict[str, Any]], row: models.Model) -> bool:
        """Whether this change made the row: it set its code from nothing."""
        return any(entry["path"].endswith("#code") and entry["old"] is None for entry in entries)

    def _alter(self, row: models.Model, entries: list[dict[str, Any]]) -> None:
        touched = False
        for entry in entries:
            name = entry["path"].rpartition("#")[2]
            try:
                field = row._meta.get_field(name)
            except FieldDoesNotExist:
                continue
            if field.many_to_many:
                self._relink(row, name, entry)
                continue
            if plain(row, field) != entry["new"]:
                self.moved_on.append(entry["path"])
                continue
            self._set(row, field, entry["old"])
            touched = True
        if touched:
            self.changed.append(row)

    def _relink(self, row: models.Model, name: str, entry: dict[str, Any]) -> None:
        manager = getattr(row, name)
        if sorted(str(other.natural_key()[-1]) for other in manager.all()) != (entry["new"] or []):
            self.moved_on.append(entry["path"])
            return
        related = manager.model
        found = list(
            related._default_manager.filter(**{related.root_path: self.root}, code__in=entry["old"] or [])
        )
        self.links.append((row, name, found))

    def _take_away(self, row: Any, entries: list[dict[str, Any]]) -> None:
        for entry in entries:
            name = entry["path"].rpartition("#")[2]
            if hasattr(row, name) and plain(row, row._meta.get_field(name)) != entry["new"]:
                self.moved_on.append(entry["path"])
                return
        self.remove.append(row)

    def _make(self, path: str, entries: list[dict[str, Any]]) -> None:
        model = apps.get_model("inventory", path.partition(":")[0])
        row = model()
        for entry in entries:
            name = entry["path"].rpartition("#")[2]
            self._set(row, model._meta.get_field(name), entry["old"])
        self.made[path] = row

    def _set(self, row: models.Model, field: models.Field, value: Any) -> None:
        if isinstance(field, models.ForeignKey):
            if value is None:
                setattr(row, field.name, None)
            else:
                self._waiting.append((row, field, value))
            return
        if value is None and not field.null:
            value = field.get_default()
        if isinstance(value, str) and isinstance(field, models.DateTimeField):
            value = datetime.datetime.fromisoformat(value)
        setattr(row, field.attname, field.to_python(value))

    def _related(self, field: models.ForeignKey, key: list[Any]) -> models.Model:
        """The row a foreign key pointed to: one that is there, or one made again with it."""
        related: Any = field.related_model
        parts = key if isinstance(key, list) else [key]
        try:
            return related._default_manager.get_by_natural_key(*parts)  # type: ignore[no-any-return]
        except models.ObjectDoesNotExist:
            path = f"{related._meta.model_name}:{'/'.join(str(part) for part in parts[1:])}"
            if path in self.made:
                return self.made[path]
            raise ActionError(
                _("%(what)s, which it pointed to, is no longer there; put that back first.") % {"what": path}
            ) from None


def _depth(row: models.Model) -> int:
    """Parents before children."""
    return len(getattr(row, "natural", ())) * 10 + sum(
        isinstance(field, models.ForeignKey) and issubclass(field.related_model, Belonging)
        for field in row._meta.concrete_fields
    )
