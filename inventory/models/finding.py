"""Questions of the lists: filters of instruments."""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date
from typing import Self

from django.db import models
from django.db.models import Exists, OuterRef, Q

from .base import RootQuerySet
from .changes import Change
from .searching import SearchEntry, SearchQuerySet, kind_marks

PLACE_LEVELS = 5


class FindingQuerySet(RootQuerySet):
    """Records found by words, and by who worked on them."""

    def matching(self, text: str) -> Self:
        """Records whose own words, or whose stops, hold the text; typing errors and accents forgiven."""
        kinds = [self.model.kind_name(), *(["stops"] if self.model.kind_name() == "instrument" else [])]
        entries = SearchEntry.objects.of_kinds(*kinds)
        few = entries.few_holding(text)
        if few is None:
            found = self._with_an_entry(entries.each_holding(text))
            if found.order_by().exists():
                return found
        return self._among(entries, few or entries.near(text))

    def _among(self, entries: SearchQuerySet, ids: list[int]) -> Self:
        """Records of these entries of the index."""
        return self.filter(reference__in=entries.filter(pk__in=ids).order_by().values("reference"))

    def _with_an_entry(self, entries: SearchQuerySet) -> Self:
        """Records with such an entry, looked up for each: a page of very many ends after a page's worth."""
        return self.filter(Exists(entries.filter(reference=OuterRef("reference")).order_by()))

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
        entries = SearchEntry.objects.of_kinds("instrument")
        few = entries.few_with([kind_marks(["instrument"]), [f"|{pattern}|"]])
        if few is None:
            return self._with_an_entry(entries.filter(words__contains=f"|{pattern}|"))
        return self._among(entries, few)
