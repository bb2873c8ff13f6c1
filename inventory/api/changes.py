"""From a body to rows: which records and rows a change puts, takes away and links. Nothing is saved here.

A body holds `fields` of the record, `rows` by kind (each with the codes of its key and
the fields it changes), `remove` (paths of rows) and `why`. What may not be read may not
be overwritten; in a new row it may be written.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.db import models
from django.utils.translation import gettext as _

from inventory.models import Belonging, Root
from inventory.models.evidence import AboutRecord
from inventory.organ.json_text import shown
from inventory.readers import Reader, readable_fields
from inventory.visibility import can_read

from .kinds import Field, RowKind, row_kinds, writable_fields
from .problems import BadBody, Fault
from .values import BadValue, convert, find_record, find_word

MOST_ROWS = 5000
Key = tuple[str, ...]


@dataclass
class Planned:
    """What an action is to do."""

    put: list[models.Model] = field(default_factory=list)
    remove: list[Belonging] = field(default_factory=list)
    links: list[tuple[models.Model, str, list[models.Model]]] = field(default_factory=list)


def plan_change(root: Root, body: dict[str, Any], reader: Reader) -> Planned:
    """Rows for an action, or BadBody with every fault and its place."""
    return _Planner(root, reader).plan(body)


class _Planner:
    def __init__(self, root: Root, reader: Reader) -> None:
        self.root, self.reader = root, reader
        self.kinds = row_kinds(type(root))
        self.faults: list[Fault] = []
        self.planned = Planned()
        self.known: dict[str, dict[Key, Belonging]] = {}
        """Rows by kind and key: those that are there and those the body makes."""
        self.made: set[int] = set()
        """Which of them (by `id`) the body makes."""
        self.keys: dict[int, Key] = {}
        """Keys of the rows of the body, by `id`."""

    def plan(self, body: dict[str, Any]) -> Planned:
        fields = body.get("fields", {})
        if fields:
            self._fill(self.root, None, fields, "fields", new=self.root.pk is None)
        rows = self._rows(body.get("rows", {}))
        for kind, key, row, _values, place in rows:
            self._set_parent(kind, key, row, place)
        for kind, _key, row, values, place in rows:
            self._fill(row, kind, values, place, new=id(row) in self.made)
        self._removals(body.get("remove", []), {id(row) for _k, _key, row, _v, _p in rows})
        if self.faults:
            raise BadBody(self.faults)
        if fields and self.root.pk is not None:
            self.planned.put.append(self.root)
        self.planned.put += self._in_order([row for _kind, _key, row, _values, _place in rows])
        return self.planned

    def _rows(self, body: dict[str, Any]) -> list[tuple[RowKind, Key, Belonging, dict[str, Any], str]]:
        """Every row the body speaks of: the one that is there, or a new one."""
        found = []
        if sum(len(rows) for rows in body.values() if isinstance(rows, list)) > MOST_ROWS:
            raise BadBody([("rows", _("A change holds at most %(most)d rows.") % {"most": MOST_ROWS})])
        for name, rows in body.items():
            kind = self.kinds.get(name)
            if kind is None or not isinstance(rows, list):
                known = ", ".join(self.kinds) or _("none")
                self._fault(
                    "rows",
                    _("%(name)s is no list of rows of this record; kinds: %(known)s.")
                    % {"name": shown(name), "known": known},
                )
                continue
            seen: set[Key] = set()
            for number, values in enumerate(rows):
                place = f"rows.{name}[{number}]"
                key = self._key(kind, values, place)
                if key is None:
                    continue
                if key in seen:
                    self._fault(place, _("This row stands twice in the body; keep one."))
                    continue
                seen.add(key)
                row = self._there(kind).get(key)
                if row is None:
                    row = kind.model(code=key[-1])
                    self._there(kind)[key] = row
                    self.made.add(id(row))
                elif not can_read(self.reader.user, row) or not self._parents_readable(row):
                    self._fault(place, _("There is a row with this code that you may not read; use another."))
                    continue
                self.keys[id(row)] = key
                found.append((kind, key, row, values, place))
        return found

    def _parents_readable(self, row: Belonging) -> bool:
        kind = self.kinds[str(row._meta.model_name)]
        parent = getattr(row, kind.parent) if kind.parent else None
        return parent is None or (can_read(self.reader.user, parent) and self._parents_readable(parent))

    def _key(self, kind: RowKind, values: Any, place: str) -> Key | None:
        if not isinstance(values, dict):
            self._fault(place, _("A row is an object: write fields in { }."))
            return None
        key = tuple(values.get(name) for name in kind.key)
        for name, step in zip(kind.key, key, strict=True):
            if not isinstance(step, str) or not 1 <= len(step) <= 64:
                self._fault(
                    f"{place}.{name}", _("A row is known by its codes; write %(name)s.") % {"name": name}
                )
                return None
        return key  # type: ignore[return-value]

    def _there(self, kind: RowKind) -> dict[Key, Belonging]:
        """Rows of a kind, read when they are first needed."""
        if kind.name not in self.known:
            rows: list[Belonging] = []
            if self.root.pk is not None:
                parents = [column.removesuffix("__code") for column in kind.columns[:-1]]
                rows = list(
                    kind.model.objects.filter(**{kind.to_root: self.root}).select_related(
                        *parents, kind.to_root
                    )
                )
            self.known[kind.name] = {
                tuple(str(_walk(row, path)) for path in kind.columns): row for row in rows
            }
        return self.known[kind.name]

    def _set_parent(self, kind: RowKind, key: Key, row: Belonging, place: str) -> None:
        """Stand a new row in its parent."""
        if id(row) not in self.made:
            return
        if kind.parent is None:
            name = self.root.kind_name() if isinstance(row, AboutRecord) else kind.to_root
            setattr(row, name, self.root)
            return
        target = self.kinds[kind.model._meta.get_field(kind.parent).related_model._meta.model_name]  # type: ignore[union-attr]
        parent = self._there(target).get(key[:-1])
        if parent is None:
            self._fault(
                f"{place}.{kind.key[-2]}",
                _("There is no %(kind)s %(key)s to stand in.")
                % {"kind": target.name, "key": shown("/".join(key[:-1]))},
            )
            return
        setattr(row, kind.parent, parent)

    def _fill(self, row: Any, kind: RowKind | None, values: dict[str, Any], place: str, *, new: bool) -> None:
        """Set the fields named, each checked; others stay as they are."""
        writable = writable_fields(type(row))
        audience = self.reader.audience_for(self.root.kind_name(), self.root.reference)
        readable = readable_fields(type(row), audience)
        for name, value in values.items():
            if kind is not None and name in kind.key:
                continue
            if kind is None and new and name == "reference":
                self._set(row, name, type(row)._meta.get_field(name), value, f"{place}.{name}", None)
                continue
            where = f"{place}.{name}" if name.isidentifier() and len(name) < 65 else f"{place}.{shown(name)}"
            if name not in writable:
                self._fault(
                    where,
                    _("%(name)s is no field that can be written here; fields: %(known)s.")
                    % {"name": shown(name), "known": ", ".join(writable)},
                )
            elif not new and name not in readable:
                self._fault(where, _("You may not read this field, so you may not overwrite it."))
            else:
                self._set(row, name, writable[name], value, where, kind)

    def _set(self, row: Any, name: str, a_field: Field, value: Any, where: str, kind: RowKind | None) -> None:
        try:
            if a_field.many_to_many:
                if not isinstance(value, list):
                    raise BadValue(_("%(value)s is not a list.") % {"value": shown(value)})
                linked = [self._find_row(row, kind, a_field, one) for one in value]
                self.planned.links.append((row, name, linked))
            elif a_field.is_relation:
                if value is not None or not a_field.null:
                    setattr(row, name, self._find(row, kind, a_field, value))
                elif self._may_clear(row, name):
                    setattr(row, name, None)
            else:
                setattr(row, name, convert(a_field, value))
        except BadValue as bad:
            self._fault(where, str(bad))

    def _may_clear(self, row: Any, name: str) -> bool:
        """A link to a record this person may not know of is not cleared by not seeing it."""
        other = getattr(row, name, None)
        if isinstance(other, Root) and not can_read(self.reader.user, other):
            raise BadValue(_("This names a record that you may not read; leave the field out."))
        return True

    def _find(self, row: Any, kind: RowKind | None, a_field: Field, value: Any) -> Any:
        model = a_field.related_model
        if issubclass(model, Root):
            self._may_clear(row, a_field.name) if getattr(row, a_field.attname) else None
            return find_record(model, value, self.reader)
        return (
            self._find_row(row, kind, a_field, value)
            if issubclass(model, Belonging)
            else find_word(a_field, value)
        )

    def _find_row(self, row: Any, kind: RowKind | None, a_field: Field, value: Any) -> Any:
        """Another row of this record, by the steps of its key that both do not share."""
        target = self.kinds.get(a_field.related_model._meta.model_name)
        found = None
        if kind is not None and target is not None and isinstance(value, str):
            steps = tuple(value.split("/"))
            missing = len(target.key) - len(steps)
            if missing and missing == kind.shared_steps(target):
                steps = self.keys[id(row)][:missing] + steps
            found = self._there(target).get(steps)
        if found is None or not (id(found) in self.made or can_read(self.reader.user, found)):
            raise BadValue(
                _("%(value)s is the code of no %(kind)s of this record.")
                % {"value": shown(value), "kind": a_field.related_model._meta.verbose_name}
            )
        return found

    def _removals(self, paths: list[Any], put: set[int]) -> None:
        for number, path in enumerate(paths):
            place = f"remove[{number}]"
            name, _colon, steps = path.partition(":") if isinstance(path, str) else ("", "", "")
            kind = self.kinds.get(name)
            row = self._there(kind).get(tuple(steps.split("/"))) if kind else None
            if row is None or row.pk is None or not can_read(self.reader.user, row):
                self._fault(
                    place,
                    _("%(path)s is no row of this record; write such as stop:as-found/flute-8.")
                    % {"path": shown(path)},
                )
            elif id(row) in put or row in self.planned.remove:
                self._fault(place, _("This row stands elsewhere in the body too; keep one."))
            else:
                self.planned.remove.append(row)

    def _in_order(self, rows: list[Belonging]) -> list[models.Model]:
        """Rows after the new rows they name, otherwise in the order of the body."""
        waiting = {id(row): row for row in rows}
        ordered: list[models.Model] = []
        under_way: set[int] = set()

        def place(row: Belonging) -> None:
            if id(row) not in waiting or row in ordered and row.pk is not None:
                return
            if id(row) in under_way:
                raise BadBody([("rows", _("New rows name each other in a circle; save one of them first."))])
            under_way.add(id(row))
            for one in row._meta.concrete_fields:
                if one.is_relation and one.is_cached(row):
                    other = getattr(row, one.name)
                    if isinstance(other, Belonging) and other.pk is None and other is not row:
                        place(other)
            under_way.discard(id(row))
            if waiting.pop(id(row), None) is not None:
                ordered.append(row)

        for row in rows:
            place(row)
        return ordered

    def _fault(self, where: str, message: str) -> None:
        self.faults.append((where, message))


def _walk(row: Any, path: str) -> Any:
    for step in path.split("__"):
        row = getattr(row, step)
    return row
