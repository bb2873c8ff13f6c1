"""Help, the readings of dates, and proposals while one types."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _
from django.views.decorators.http import require_GET

from inventory.models import Instrument, Root, SearchEntry, Specification
from inventory.roles import is_allowed
from inventory.visibility import readable

from ..access import signed_in
from ..date_fields import read_date

PAGES = ("tour", "dates", "shortcuts", "evidence", "review")
PROPOSED = 12

DATE_EXAMPLES = (
    (_("1841 or 1842"), "[1841,1842]"),
    (_("lasted from 1841 to 1842"), "1841/1842"),
    (_("once, in one unknown year between 1840 and 1850"), "[1840..1850]"),
    (_("about 1840"), "1840~"),
    (_("perhaps 1840"), "1840?"),
    (_("perhaps about 1840"), "1840%"),
    (_("the 1840s"), "184X"),
    (_("19th century, as 1800 to 1899"), "18XX"),
    (_("before 1760 or in it"), "[..1760]"),
    (_("since 1902, and still"), "1902/.."),
    (_("began 1902, end unknown"), "1902/"),
)
"""What a surveyor writes and how the standard writes it (ISO 8601-2:2019; Library of Congress profile)."""


@require_GET
@signed_in
def help_page(request: HttpRequest, page: str) -> HttpResponse:
    """One page of help."""
    if page not in PAGES:
        raise Http404(page)
    current = (
        Specification.objects.current()
        .filter(readable(request.user, "instrument", "instrument__"))
        .select_related("instrument")
        .order_by("instrument__reference")
        .first()
        if page == "tour"
        else None
    )
    at = {"reference": current.instrument.reference, "code": current.code} if current else {}
    may_try = current is not None and is_allowed(request.user, "change", current.instrument)
    context = {
        "stoplist": reverse("stoplist-table", kwargs=at) if may_try else "",
        "scheme": reverse("scheme-table", kwargs=at) if may_try else "",
        "page": page,
        "pages": PAGES,
        "examples": [(words, read_date(edtf)) for words, edtf in DATE_EXAMPLES],
        "first": Instrument.objects.filter(readable(request.user, "instrument"))
        .order_by("reference")
        .first(),
    }
    return render(request, f"curating/help/{page}.html", context)


@require_GET
@signed_in
def reading(request: HttpRequest) -> HttpResponse:
    """What a typed date means, beneath its box."""
    name = request.GET.get("name", "when")[:80]
    text = next((value for key, value in request.GET.items() if key == name), request.GET.get("text", ""))
    context = {"readings": read_date(text[:200]), "choice": f"{name}-reading"}
    return render(request, "curating/_reading.html", context)


@require_GET
@signed_in
def choose(request: HttpRequest, kind: type[Root]) -> HttpResponse:
    """Records that answer to what is typed, as options of a list."""
    name = request.GET.get("name", "q")[:80]
    text = (request.GET.get(name) or request.GET.get("q") or "")[:200].strip()
    allowed = readable(request.user, kind.kind_name())
    found = SearchEntry.objects.filter(allowed).of_kinds(kind.kind_name())
    if text:
        first = text.split()[0]
        entries = list(found.filter(reference__istartswith=first).order_by("reference")[:PROPOSED])
        entries = entries or list(found.matching(text).order_by("pk")[:PROPOSED])
    else:
        entries = list(found.order_by("reference")[:PROPOSED])
    return render(request, "curating/_options.html", {"entries": entries})
