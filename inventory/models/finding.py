"""Questions of the lists: filters of instruments, and pages that start after a stated record."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any, Self

from django.db import models
from django.db.models import F, Q, Value
from django.db.models.functions import Coalesce

from .base import RootQuerySet
from .changes import Change
from .searching import SearchEntry

PLACE_LEVELS = 5
PAGE_SIZE = 50
COUNTED_UP_TO = 1000


class FindingQuerySet(RootQuerySet):
    """Records found by words, and by who worked on them."""

    def matching(self, text: str) -> Self:
        """Records whose own words, or whose stops, hold the text; typing errors and accents forgiven."""
        kinds = [self.model.kind_name(), *(["stops"] if self.model.kind_name() == "instrument" else [])]
        entries = SearchEntry.objects.of_kinds(*kinds).matching(text)
        return self.filter(reference__in=entries.order_by().values("reference"))

    def changed_by(self, user: models.Model) -> Self:
        """Records a person made or changed."""
        mine = Change.objects.filter(root_kind=self.model.kind_name(), who=user).order_by()
        return self.filter(reference__in=mine.values("reference"))


class InstrumentFinding(FindingQuerySet):
    """Filters of the list of instruments."""

    def standing_in(self, place: models.Model) -> Self:
        """Instruments at a place or at a place inside it."""
        path, wanted = "place", Q()
        for _level in range(PLACE_LEVELS):
            wanted |= Q(**{path: place})
            path += "__parent"
        return self.filter(wanted)

    def by_maker(self, maker: models.Model, audiences: Iterable[str]) -> Self:
        """Instruments with a layer of this maker, or an event of theirs the reader may know of."""
        events = Q(events__maker=maker, events__audience__in=list(audiences))
        found = self.model._default_manager.filter(events | Q(layers__maker=maker))
        return self.filter(pk__in=found.order_by().values("pk"))

    def of_period(self, first: int | None, last: int | None, audiences: Iterable[str]) -> Self:
        """Instruments something may have happened to within these years."""
        wanted = Q(events__audience__in=list(audiences)) & ~Q(events__when="")
        if first is not None:
            wanted &= Q(events__when_latest__gte=date(first, 1, 1)) | Q(events__when_latest__isnull=True)
        if last is not None:
            wanted &= Q(events__when_earliest__lte=date(last, 12, 31)) | Q(events__when_earliest__isnull=True)
        return self.filter(pk__in=self.model._default_manager.filter(wanted).order_by().values("pk"))

    def with_device(self, code: str) -> Self:
        """Instruments whose current stoplist shares pipes by this device."""
        from .sharing import Segment  # the two aggregates name each other; this direction is the rarer

        found = Segment.objects.of_current().filter(device__code=code).order_by()
        return self.filter(pk__in=found.values("stop__specification__instrument"))

    def with_pattern(self, pattern: str) -> Self:
        """Instruments in whose current scheme this pattern was computed."""
        found = SearchEntry.objects.with_pattern(pattern).order_by()
        return self.filter(reference__in=found.values("reference"))


@dataclass(frozen=True)
class Page:
    """Some rows of a sorted list, and where the next and the previous ones begin."""

    rows: Sequence[Any]
    after: str
    before: str


SORTS = {
    "reference": F("reference"),
    "name": F("name"),
    "state": F("state"),
    "status": F("status"),
    "place": Coalesce(F("place__name"), Value("")),
    "sort_name": F("sort_name"),
}
"""What lists are sorted by; the reference decides between equals, so that every row has its place."""


def page_of(
    found: models.QuerySet, sort: str, *, after: str = "", before: str = "", size: int = PAGE_SIZE
) -> Page:
    """One page by key, never by counting rows off: as fast at the end of a long list as at its beginning."""
    falling = sort.startswith("-")
    found = found.annotate(sort_key=SORTS[sort.lstrip("-")])
    backwards = bool(before) and not after
    start, _bar, reference = (after or before).rpartition("|")
    if reference:
        greater = falling == backwards
        sign = "gt" if greater else "lt"
        found = found.filter(
            Q(**{f"sort_key__{sign}": start}) | Q(**{"sort_key": start, f"reference__{sign}": reference})
        )
    signs = "-" if falling != backwards else ""
    rows = list(found.order_by(f"{signs}sort_key", f"{signs}reference")[: size + 1])
    more, rows = len(rows) > size, rows[:size]
    if backwards:
        rows.reverse()
    first, last = (rows[0], rows[-1]) if rows else (None, None)
    return Page(
        rows,
        after=f"{last.sort_key}|{last.reference}" if last and (more or backwards) else "",
        before=f"{first.sort_key}|{first.reference}" if first and (more if backwards else reference) else "",
    )


def count_up_to(found: models.QuerySet, most: int = COUNTED_UP_TO) -> int:
    """How many rows, counted no further than `most` + 1: counting a long list costs more than showing it."""
    return found.order_by()[: most + 1].count()
