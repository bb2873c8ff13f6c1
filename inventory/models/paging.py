"""Pages of sorted lists that start after a stated record, as fast at the end of a long list as at its beginning."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.db.models import F, Q, Value

PAGE_SIZE = 50
COUNTED_UP_TO = 1000
A_FEW = 1000


@dataclass(frozen=True)
class Page:
    """Some rows of a sorted list, and where the next and the previous ones begin."""

    rows: Sequence[Any]
    after: str
    before: str


SORTS = {name: F(name) for name in ("reference", "name", "state", "status", "sort_name")}
"""What lists are sorted by; the reference decides between equals, so that every row has its place."""


@dataclass(frozen=True)
class _Stretch:
    """Rows that follow one another in a list and are found by one index."""

    find: Callable[[], models.QuerySet]
    key: Any
    starts_named: bool | None = None
    """Whether all of its keys have letters (True) or none has (False); None where it is the whole list."""

    def holds(self, start: str) -> bool:
        return self.starts_named is None or self.starts_named == bool(start)


def page_of(
    found: models.QuerySet,
    sort: str,
    *,
    after: str = "",
    before: str = "",
    size: int = PAGE_SIZE,
    known_places: Callable[[str], Q] | None = None,
    columns: Sequence[str] = (),
) -> Page:
    """One page by key, never by counting rows off.

    By place, records whose place is none of `known_places` (it makes a condition at a path; every
    place where it is not given) stand as if they had none: their order would tell its name.
    With `columns` the rows hold those alone, at a fraction of the cost of records.
    """
    falling = sort.startswith("-")
    backwards = bool(before) and not after
    downwards = falling != backwards
    sign = "lt" if downwards else "gt"
    order = "-" if downwards else ""
    start, _bar, reference = (after or before).rpartition("|")
    stretches = _stretches(found, sort.lstrip("-"), known_places)
    if downwards:
        stretches.reverse()
    while reference and len(stretches) > 1 and not stretches[0].holds(start):
        stretches.pop(0)
    rows: list[Any] = []
    for place, stretch in enumerate(stretches):
        part = stretch.find().annotate(sort_key=stretch.key)
        if reference and place == 0:
            # Said in this way both databases begin at this place of the index, and read no row before it.
            part = part.filter(
                Q(**{f"sort_key__{sign}e": start})
                & (Q(**{f"sort_key__{sign}": start}) | Q(**{f"reference__{sign}": reference}))
            )
        part = part.order_by(f"{order}sort_key", f"{order}reference")
        if columns:
            part = part.values_list(*columns, "sort_key", named=True)
        rows += part[: size + 1 - len(rows)]
        if len(rows) > size:
            break
    more, rows = len(rows) > size, rows[:size]
    if backwards:
        rows.reverse()
    first, last = (rows[0], rows[-1]) if rows else (None, None)
    return Page(
        rows,
        after=f"{last.sort_key}|{last.reference}" if last and (more or backwards) else "",
        before=f"{first.sort_key}|{first.reference}" if first and (more if backwards else reference) else "",
    )


def _stretches(found: models.QuerySet, sort: str, known_places: Callable[[str], Q] | None) -> list[_Stretch]:
    """The list in stretches, in rising order: by place, first what has none, then by the names of places."""
    if sort != "place":
        return [_Stretch(lambda: found, SORTS[sort])]
    somewhere = known_places("place__") if known_places is not None else Q(place__isnull=False)
    return [
        _Stretch(lambda: found.filter(_nowhere(found, known_places)), Value("", models.CharField()), False),
        _Stretch(lambda: found.filter(somewhere), F("place__name"), True),
    ]


def _nowhere(found: models.QuerySet, known_places: Callable[[str], Q] | None) -> Q:
    """Having no place, or one that is not known."""
    nowhere = Q(place__isnull=True)
    if known_places is None:
        return nowhere
    places = found.model._meta.get_field("place").related_model._default_manager
    hidden = places.exclude(known_places("")).order_by().values_list("pk", flat=True)
    # Named one by one they are found by the index; a question inside the question makes PostgreSQL read all.
    few = list(hidden[: A_FEW + 1])
    if not few:
        return nowhere
    return nowhere | Q(place__in=few if len(few) <= A_FEW else hidden)


def count_up_to(found: models.QuerySet, most: int = COUNTED_UP_TO) -> int:
    """How many rows, counted no further than `most` + 1: counting a long list costs more than showing it."""
    return found.order_by()[: most + 1].count()
