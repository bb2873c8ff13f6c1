"""What a record's page shows: its parts, each with groups of fields and kinds of rows."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.http import Http404, HttpRequest

from inventory.actions.editorial import STEPS
from inventory.models import Belonging, Change, Citation, Claim, Root
from inventory.models.evidence import AboutRecord
from inventory.roles import is_allowed

from .parts import PARTS, FieldGroup, Part, Reader, RowKind


@dataclass(frozen=True)
class ShownRows:
    """The rows of one kind that the reader may see."""

    kind: RowKind
    rows: list[models.Model]
    fields: tuple[str, ...]
    may_change: bool = False


@dataclass(frozen=True)
class ShownPart:
    """A part with what it shows, or only its name where it is fetched later."""

    part: Part
    groups: tuple[tuple[FieldGroup, tuple[str, ...]], ...]
    rows: list[ShownRows]
    context: Mapping[str, Any]
    is_later: bool


def rows_of(root: Root, kind: RowKind) -> models.QuerySet:
    """All rows of one kind that belong to a record."""
    model = kind.model
    path = root.kind_name() if issubclass(model, AboutRecord) else model.root_path
    return model._default_manager.filter(**{path: root})


def find_row(root: Root, kind: RowKind, code: str) -> Belonging:
    """A row by its codes inside the record, such as ``as-found/great``."""
    wanted = code.split("/")
    if issubclass(kind.model, AboutRecord):
        steps: tuple[str, ...] = ("code",)
    else:
        steps = kind.model.natural[1:]
    if len(wanted) != len(steps):
        raise Http404(code)
    row = rows_of(root, kind).filter(**dict(zip(steps, wanted, strict=True))).first()
    if row is None:
        raise Http404(code)
    return row


def show_part(root: Root, part: Part, reader: Reader, *, now: bool = True) -> ShownPart:
    """A part as this reader may see it."""
    if not now:
        return ShownPart(part, (), [], {}, True)
    shown = []
    for kind in part.rows:
        names = kind.fields if kind.shown is None else kind.shown
        fields = tuple(name for name in names if reader.may_read(kind.model, name))
        if not any(reader.may_read(kind.model, name) for name in kind.fields):
            continue
        found = rows_of(root, kind).select_related(*kind.related)
        if "when_sort" in {field.name for field in kind.model._meta.fields}:
            found = found.order_by(*_parents(kind), models.F("when_sort").asc(nulls_last=True), "code")
        elif (order := kind.model._meta.ordering) and order[0] == kind.model.root_path:
            found = found.order_by(
                *order[1:]
            )  # all rows are of one record: no need to sort by it, nor to join it
        rows = [row for row in found if reader.may_read_row(row)]
        for row in rows:
            _know_root(row, root, kind)
        may_change = all(is_allowed(reader.user, verb, root) for verb in {"change", kind.verb})
        shown.append(ShownRows(kind, rows, fields, may_change))
    groups = tuple(
        (group, fields)
        for group in part.groups
        if (fields := tuple(name for name in group.fields if reader.may_read(type(root), name)))
    )
    return ShownPart(part, groups, shown, part.gather(root, reader), False)


def _know_root(row: models.Model, root: Root, kind: RowKind) -> None:
    """Tell a row its record, so that its path is not asked of the database again."""
    if kind.within:
        row = getattr(row, kind.within)
        setattr(row, type(row).root_path, root)  # type: ignore[attr-defined]
    elif isinstance(row, AboutRecord):
        setattr(row, root.kind_name(), root)
    else:
        setattr(row, kind.model.root_path, root)  # type: ignore[attr-defined]


def _parents(kind: RowKind) -> list[str]:
    return [f"{kind.within}__code"] if kind.within else []


def page_context(
    request: HttpRequest, root: Root, reader: Reader | None = None, *, only: Part | None = None
) -> dict[str, Any]:
    """What the templates of a record's parts ask for."""
    if reader is None:
        reader = Reader.of(request.user, root)
    parts = PARTS[type(root)] if only is None else (only,)
    return {
        "root": root,
        "kind": type(root),
        "reader": reader,
        "may_change": is_allowed(request.user, "change", root),
        "parts": [
            show_part(root, part, reader, now=only is not None or not part.is_fetched_later) for part in parts
        ],
        "all_parts": PARTS[type(root)],
    }


def steps_context(request: HttpRequest, root: Root) -> dict[str, Any]:
    """Which steps of review the person may take now, and the last change."""
    allowed = [
        step
        for step, (starts, _target) in STEPS.items()
        if root.state in starts and is_allowed(request.user, step, root)
    ]
    if root.state == "released" and root.version == root.released_version and "release" in allowed:
        allowed.remove("release")
    return {
        "steps": allowed,
        # What it changed may be thousands of values: only who and when are told.
        "last_change": Change.objects.of(root)
        .select_related("who")
        .only("version", "when", "who__username")
        .first(),
    }


def evidence_counts(root: Root) -> dict[str, int]:
    """How many citations and claims speak of each field or row."""
    counts: dict[str, int] = {}
    if root.kind_name() == "source":
        return counts
    cited, claimed = (
        model.objects.filter(**{root.kind_name(): root}).order_by().values_list("about", flat=True)
        for model in (Citation, Claim)
    )
    for about in cited.union(claimed, all=True):
        counts[about] = counts.get(about, 0) + 1
    return counts
