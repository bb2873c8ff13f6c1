"""Lists of records: filters that tell nothing private, pages by reference, one query a page."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any
from urllib.parse import urlencode

from django.db.models import Exists, OuterRef, Q, QuerySet
from django.utils.translation import gettext as _

from inventory.edtf import EdtfError, parse_edtf
from inventory.models import Event, Layer, Maker, Place, Segment
from inventory.models.choices import RecordState
from inventory.organ.patterns import PAIR_PATTERNS, STOP_PATTERNS
from inventory.readers import Reader

from .kinds import ROOTS
from .problems import Problem

MOST = 200
USUAL = 50
_DEEPEST = 8
"""Levels of places one inside the other that are followed."""
Filter = Callable[[QuerySet[Any], str, Reader], QuerySet[Any]]


def _by_state(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    if value not in RecordState.values:
        raise Problem(
            400, _("A state is one of: %(states)s.") % {"states": ", ".join(RecordState.values)}, "state"
        )
    return records.filter(state=value)


def _by_kind(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    is_word = records.model._meta.get_field("kind").is_relation
    return records.filter(kind__code=value) if is_word else records.filter(kind=value)


def _by_status(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    return records.filter(status=value)


def _by_place(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    """At a place or inside it, as far as each place on the way is one this person may know of."""
    known = reader.records(Place).order_by()
    ids = set(known.filter(reference=value).values_list("pk", flat=True))
    newest = ids
    for _level in range(_DEEPEST):
        newest = set(known.filter(parent__in=newest).values_list("pk", flat=True)) - ids if newest else newest
        ids |= newest
    column = "parent" if records.model is Place else "workshop_place" if records.model is Maker else "place"
    return records.filter(**{f"{column}__in": ids})


def _by_maker(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    """With an event or a layer of this maker that the person may read."""
    makers = reader.records(Maker).order_by().filter(reference=value).values("pk")
    events = Event.objects.filter(reader.reads_row("audience"), instrument=OuterRef("pk"), maker__in=makers)
    layers = Layer.objects.filter(instrument=OuterRef("pk"), maker__in=makers)
    return records.filter(Exists(events) | Exists(layers))


def _by_period(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    """With an event that can have happened in these years."""
    try:
        read = parse_edtf(value)
    except EdtfError:
        raise Problem(400, _("Write a period as 1850/1900 or 1885."), "period") from None
    overlap = Q()
    if read.earliest is not None:
        overlap &= Q(when_latest__gte=read.earliest) | Q(
            when_latest__isnull=True, when_earliest__isnull=False
        )
    if read.latest is not None:
        overlap &= Q(when_earliest__lte=read.latest) | Q(
            when_earliest__isnull=True, when_latest__isnull=False
        )
    events = Event.objects.filter(overlap, reader.reads_row("audience"), instrument=OuterRef("pk"))
    return records.filter(Exists(events.exclude(when="")))


def _by_device(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    """With a segment of the specification as it is now that shares by this device."""
    segments = Segment.objects.of_current().filter(
        stop__specification__instrument=OuterRef("pk"), device__code=value
    )
    return records.filter(Exists(segments))


def _by_pattern(records: QuerySet[Any], value: str, reader: Reader) -> QuerySet[Any]:
    """In whose specification as it is now this pattern was computed."""
    known = (*PAIR_PATTERNS, *STOP_PATTERNS)
    if value not in known:
        raise Problem(400, _("A pattern is one of: %(known)s.") % {"known": ", ".join(known)}, "pattern")
    found: QuerySet[Any] = records.with_pattern(value)  # type: ignore[attr-defined]
    return found


_EVERY: Mapping[str, Filter] = {"state": _by_state}
FILTERS: Mapping[str, Mapping[str, Filter]] = {
    "places": {**_EVERY, "kind": _by_kind, "place": _by_place},
    "makers": {**_EVERY, "kind": _by_kind, "place": _by_place},
    "sources": {**_EVERY, "kind": _by_kind},
    "instruments": {
        **_EVERY,
        "status": _by_status,
        "place": _by_place,
        "maker": _by_maker,
        "period": _by_period,
        "device": _by_device,
        "pattern": _by_pattern,
    },
}
"""Filters of each list. A field nobody put here is no filter: a private fact cannot be guessed by asking."""
PAGING = ("after", "limit", "order")


def list_page(plural: str, asked: Mapping[str, str], reader: Reader) -> tuple[QuerySet[Any], int, bool]:
    """The records of one page and one more, the page's size, and whether it runs downwards."""
    records = reader.records(ROOTS[plural])
    for name, narrow in FILTERS[plural].items():
        if name in asked:
            records = narrow(records, asked[name], reader)
    size = asked.get("limit", str(USUAL))
    if not (size.isascii() and size.isdigit() and len(size) <= 4 and 1 <= int(size) <= MOST):
        raise Problem(400, _("A page holds 1 to %(most)d records.") % {"most": MOST}, "limit")
    order = asked.get("order", "reference")
    if order not in ("reference", "-reference"):
        raise Problem(400, _("Records are ordered by reference or -reference."), "order")
    downwards = order.startswith("-")
    if "after" in asked:
        records = records.filter(**{f"reference__{'lt' if downwards else 'gt'}": asked["after"]})
    return records.order_by(order)[: int(size) + 1], int(size), downwards


def next_address(path: str, asked: Mapping[str, str], last: str) -> str:
    """The address of the page after this one."""
    return f"{path}?{urlencode({**asked, 'after': last})}"
