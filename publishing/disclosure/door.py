"""Reads public columns of public records, and refuses every other column by name.

Only columns are asked for, never whole rows: what is not named cannot leak. Each step of
a column's path is checked against `inventory.visibility`, so a new field stays private
until somebody lists it.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar
from functools import cache
from typing import Any

from django.db import models
from django.db.models import F, Q
from django.utils.timezone import localdate

from inventory.models import Belonging, Consent, Instrument, Root
from inventory.models.choices import Audience, RecordState
from inventory.visibility import GROUPS, group_of

Row = dict[str, Any]
CONSENT_GROUPS = frozenset(name for name, group in GROUPS.items() if group.needs_consent)


_CONTROL_SIGNS = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")


def without_control_signs(text: str) -> str:
    """Text without the signs that no page, feed or drawing may hold; each leaves the sign of a lost letter."""
    return text if text.isprintable() else _CONTROL_SIGNS.sub("\ufffd", text)


def _clean(row: Row) -> Row:
    return {name: without_control_signs(v) if isinstance(v, str) else v for name, v in row.items()}


class NotPublic(LookupError):
    """A page asked for a column that is not for everybody: a mistake of ours, never of a reader."""


@cache
def check_column(model: type[models.Model], column: str, consented: str = "") -> None:
    """Raise `NotPublic` unless every step of the column's path is for everybody."""
    at: type[models.Model] = model
    for step in column.split("__"):
        field = at._meta.get_field(step.removesuffix("_id") if step.endswith("_id") else step)
        group = group_of(at, field.name)
        if group.audience != Audience.PUBLIC or (group.needs_consent and group.name != consented):
            raise NotPublic(
                f"{at._meta.model_name}.{field.name} is in the group {group.name!r}, which is not public; "
                "ask for another column, or change inventory.visibility on purpose."
            )
        at = field.related_model or at


_AS_IF_RELEASED: ContextVar[tuple[type[Root], int] | None] = ContextVar("as_if_released", default=None)


@contextmanager
def as_if_released(root: Root | None) -> Iterator[None]:
    """Inside, this record is read as if it were released for everybody today: for previews, and for nothing else.

    What of it is public is decided as ever: column by column, row by row, consent by consent.
    """
    token = _AS_IF_RELEASED.set(None if root is None else (type(root), root.pk))
    try:
        yield
    finally:
        _AS_IF_RELEASED.reset(token)


def published(model: type[Root]) -> models.QuerySet[Any]:
    """The records everybody may read, by reference, with the one that is previewed."""
    found: models.QuerySet[Any] = model.objects.public()
    shown = _AS_IF_RELEASED.get()
    if shown is None or shown[0] is not model:
        return found
    every = Q(pk__in=found.order_by().values("pk")) | Q(pk=shown[1])
    return model.objects.filter(every).order_by("reference")


def public_ids(model: type[Root]) -> list[int]:
    """Keys of the records everybody may read, by reference."""
    return list(published(model).values_list("pk", flat=True))


def gone_ids(model: type[Root]) -> list[int]:
    """Keys of records that were public once and are withdrawn: their addresses keep a page."""
    shown = _AS_IF_RELEASED.get()
    return list(
        model.objects.filter(
            state=RecordState.WITHDRAWN, audience=Audience.PUBLIC, released_version__isnull=False
        )
        .exclude(pk=shown[1] if shown is not None and shown[0] is model else None)
        .order_by("reference")
        .values_list("pk", flat=True)
    )


def in_chunks(ids: Sequence[int], size: int = 200) -> Iterator[list[int]]:
    """Keys in chunks: memory stays flat however large the collection is."""
    for start in range(0, len(ids), size):
        yield list(ids[start : start + size])


def read_roots(model: type[Root], ids: Iterable[int], *columns: str) -> dict[int, Row]:
    """Public columns of root records by key, in the order of their references."""
    for column in columns:
        check_column(model, column)
    found = model.objects.filter(pk__in=list(ids)).order_by("reference").values("pk", *columns)
    rows = {row.pop("pk"): _clean(row) for row in found}
    shown = _AS_IF_RELEASED.get()
    if shown is not None and shown[0] is model and "released_on" in rows.get(shown[1], ()):
        if not model.objects.public().filter(pk=shown[1]).exists():
            rows[shown[1]]["released_on"] = localdate()
    return rows


def read_rows(
    model: type[Belonging],
    root_ids: Iterable[int],
    *columns: str,
    consented: str = "",
    order: Sequence[Any] = (),
    by: str = "",
    **only: Any,
) -> dict[int, list[Row]]:
    """Public columns of the rows that belong to these roots, listed by root.

    Rows with an audience of their own are read only if they are for everybody. With
    `by`, rows are listed by another key (a specification, a survey) than the root's.
    """
    for column in (*columns, *only):
        check_column(model, column.split("__in")[0], consented)
    path = model.root_path
    found = model.objects.filter(**{f"{path}__in": list(root_ids)}, **only)
    if any(field.name == "audience" for field in model._meta.concrete_fields):
        found = found.filter(audience=Audience.PUBLIC)
    if order:
        found = found.order_by(*order)
    key = by or path
    rows: dict[int, list[Row]] = defaultdict(list)
    for row in found.annotate(_key=F(f"{key}__pk" if "__" in key or not by else key)).values(
        "_key", "pk", *columns
    ):
        rows[row.pop("_key")].append(_clean(row))
    return rows


def consenting(ids: Iterable[int], group: str) -> list[int]:
    """Of these instruments, those whose consent for a group of facts stands today."""
    if group not in CONSENT_GROUPS:
        raise ValueError(f"{group!r} needs no consent; groups that do: {', '.join(sorted(CONSENT_GROUPS))}")
    given = Consent.objects.filter(instrument__in=list(ids), group=group, withdrawn=False).filter(
        Q(until_latest__isnull=True) | Q(until_latest__gte=localdate())
    )
    return sorted(set(given.values_list("instrument_id", flat=True)))


def instrument_ids() -> list[int]:
    """Keys of the public instruments, by reference."""
    return public_ids(Instrument)
