"""Finding: the one search box, and the lists with their filters."""

from __future__ import annotations

from functools import partial
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET

from inventory.models import Change, Instrument, Root, SavedList, SearchEntry, Stop
from inventory.models.paging import count_up_to, page_of
from inventory.models.searching import SearchQuerySet, plain_words
from inventory.readers import reader_of
from inventory.visibility import audience_of, readable, shown_to

from ..access import KINDS, signed_in
from ..filters import ListFilters, filtered
from ..list_rows import columns_of

EACH = 8
GROUPS = {
    "instrument": _("Instruments"),
    "stops": _("Stops"),
    "maker": _("Makers"),
    "place": _("Places"),
    "source": _("Sources"),
}


@require_GET
@signed_in
def home(request: HttpRequest) -> HttpResponse:
    """The search box, what waits, and what one worked on last."""
    text = request.GET.get("q", "").strip()[:200]
    context: dict[str, Any] = {"q": text}
    if text:
        context["groups"] = search_everywhere(request, text)
        context["is_empty"] = not any(group["entries"] for group in context["groups"])
    else:
        context |= _desk(request)
    return render(request, "curating/home.html", context)


def search_everywhere(request: HttpRequest, text: str) -> list[dict[str, Any]]:
    """The first finds of every kind the reader may know of, and where to see the rest."""
    ids = SearchEntry.objects.few_holding(text)
    if ids is None:
        found = {kind: _entries(request, kind).holding(text) for kind in GROUPS}
        first = {kind: list(entries.order_by("pk")[: EACH + 1]) for kind, entries in found.items()}
    else:
        first = _first_of(request, ids)
    if not any(first.values()):
        first = _first_of(request, SearchEntry.objects.near(text))
    return [
        {
            "kind": KINDS[_root_kind(kind) + "s"],
            "title": title,
            "entries": first[kind][:EACH],
            "more": len(first[kind]) > EACH,
            "stops": _stops_found(first[kind][:EACH], text) if kind == "stops" else {},
        }
        for kind, title in GROUPS.items()
    ]


def _first_of(request: HttpRequest, ids: list[int]) -> dict[str, list[SearchEntry]]:
    """The first entries of every kind, in this order, that the person may know of: two queries."""
    first: dict[str, list[SearchEntry]] = {kind: [] for kind in GROUPS}
    if not ids:
        return first
    reader = reader_of(request.user)
    entries = SearchEntry.objects.defer("words", "patterns").order_by().in_bulk(ids)
    for entry in (entries[pk] for pk in ids if pk in entries):
        mine, kind = first[entry.kind], _root_kind(entry.kind)
        if len(mine) <= EACH and reader.may_know(kind, entry.reference, entry.state, entry.audience):
            mine.append(entry)
    return first


def _root_kind(kind: str) -> str:
    return "instrument" if kind == "stops" else kind


def _entries(request: HttpRequest, kind: str) -> SearchQuerySet:
    """Entries of one kind that the person may know of."""
    return SearchEntry.objects.filter(readable(request.user, _root_kind(kind))).of_kinds(kind)


def _stops_found(entries: list[SearchEntry], text: str) -> dict[str, list[str]]:
    """Which labels of an instrument hold a word of the text."""
    words = plain_words(text).split()
    found: dict[str, list[str]] = {}
    labels = Stop.objects.filter(
        specification__instrument__reference__in=[entry.reference for entry in entries]
    ).values_list("specification__instrument__reference", "label")
    for reference, label in labels:
        if any(word in plain_words(label) for word in words):
            mine = found.setdefault(reference, [])
            if label not in mine and len(mine) < 4:
                mine.append(label)
    return found


def _desk(request: HttpRequest) -> dict[str, Any]:
    """What waits for somebody, and what this person touched last."""
    may_read = readable(request.user, "instrument")
    latest: dict[tuple[str, str], Change] = {}
    touched = Change.objects.filter(who=request.user, root_kind__in=list(_roots())).exclude(action="load")
    for change in touched[:60]:
        latest.setdefault((change.root_kind, change.reference), change)
    mine = []
    for kind, model in _roots().items():
        wanted = [reference for name, reference in latest if name == kind]
        for root in model._default_manager.filter(readable(request.user, kind), reference__in=wanted):
            mine.append((latest[kind, root.reference], root))
    mine.sort(key=lambda pair: -pair[0].pk)
    return {
        "waiting": Instrument.objects.filter(may_read).waiting_for_review()[:10],
        "changed_since": Instrument.objects.filter(may_read).changed_since_release()[:10],
        "mine": mine[:10],
        "saved": SavedList.objects.filter(user=request.user),
        "total": count_up_to(Instrument.objects.filter(may_read), 9_999),
    }


def _roots() -> dict[str, type[Root]]:
    return {model.kind_name(): model for model in KINDS.values()}


@require_GET
@signed_in
def show_list(request: HttpRequest, kind: type[Root]) -> HttpResponse:
    """One kind of record, filtered and sorted; its address can be kept."""
    form = ListFilters(kind, request.user, request.GET)
    found, sort = filtered(kind, request.user, form)
    audience = audience_of(request.user)
    page = page_of(
        found,
        sort,
        after=request.GET.get("after", ""),
        before=request.GET.get("before", ""),
        known_places=partial(shown_to, audience),
        columns=columns_of(kind),
    )
    kept = request.GET.copy()
    for name in ("after", "before"):
        kept.pop(name, None)
    context = {
        "kind": kind,
        "form": form,
        "page": page,
        "sort": sort,
        "count": count_up_to(found),
        "kept": kept,
        "audience": audience,
        "is_filtered": any(
            value for name, value in request.GET.items() if name not in ("sort", "after", "before")
        ),
    }
    template = "curating/_list.html" if request.htmx and not request.htmx.boosted else "curating/list.html"
    return render(request, template, context)
