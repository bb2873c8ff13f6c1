"""Saved lists, and lists taken along as CSV or as a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator
from typing import Any

from django.contrib import messages
from django.http import FileResponse, HttpRequest, HttpResponse, StreamingHttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST
from openpyxl import Workbook
from openpyxl.cell import WriteOnlyCell
from openpyxl.cell.cell import ILLEGAL_CHARACTERS_RE

from inventory.actions.lists import MOST_LETTERS, MOST_LISTS, remove_list, save_list
from inventory.models import Instrument, Root, SavedList, SearchEntry
from inventory.visibility import audience_of, shows

from ..access import KINDS, refuse, signed_in
from ..filters import ListFilters, filtered

MOST_ROWS = 50_000
RISKY = tuple("=+-@\t\r\n＝＋－＠")
"""Signs that make a spreadsheet take a cell for a formula (OWASP, CSV injection; full-width forms too)."""


@require_POST
@signed_in
def save(request: HttpRequest) -> HttpResponse:
    """Keep the list one looks at under a name."""
    name = request.POST.get("name", "").strip()
    kind = request.POST.get("kind", "instruments")
    if not name or kind not in KINDS:
        return refuse(request, _("Give the list a name."), 422)
    if len(name) > MOST_LETTERS:
        told = _("The name is too long: %(length)d letters, of %(most)d at most.")
        return refuse(request, told % {"length": len(name), "most": MOST_LETTERS}, 422)
    if SavedList.objects.filter(user=request.user).count() >= MOST_LISTS:
        return refuse(request, _("You keep a hundred lists already; remove some first."), 409)
    save_list(by=request.user, name=name, query=f"{kind}?{request.POST.get('query', '')}"[:1000])
    messages.success(request, _("The list is kept."))
    return redirect("home")


@require_GET
@signed_in
def open_saved(request: HttpRequest, key: int) -> HttpResponse:
    """Go to a list one kept."""
    saved = get_object_or_404(SavedList, pk=key, user=request.user)
    kind, _mark, query = saved.query.partition("?")
    return redirect(reverse("list", kwargs={"kind": kind if kind in KINDS else "instruments"}) + "?" + query)


@require_POST
@signed_in
def remove(request: HttpRequest, key: int) -> HttpResponse:
    """Forget a list; no record changes."""
    remove_list(get_object_or_404(SavedList, pk=key, user=request.user), by=request.user)
    messages.success(request, _("The list is forgotten. The records are as they were."))
    return redirect("home")


def _columns(kind: type[Root]) -> list[str]:
    common = ["reference", "name", "state", "audience", "version"]
    return [*common, "status", "status since", "place", "patterns"] if kind is Instrument else common


def _rows(kind: type[Root], request: HttpRequest) -> Iterator[list[str]]:
    """The filtered list, every field one the reader may see."""
    found, _sort = filtered(kind, request.user, ListFilters(kind, request.user, request.GET))
    patterns: dict[str, str] = {}
    if kind is Instrument:
        patterns = dict(
            SearchEntry.objects.filter(kind="instrument")
            .exclude(patterns="")
            .values_list("reference", "patterns")
        )
    reader = audience_of(request.user)
    if kind is Instrument:
        found = found.select_related("place")
    for root in found.order_by("reference")[:MOST_ROWS].iterator(2000):
        row: list[Any] = [root.reference, root.name, root.state, root.audience, str(root.version)]
        if kind is Instrument:
            place = root.place
            seen = place is not None and shows(reader, place.state, place.audience)
            row += [
                root.status,
                root.status_since,
                f"{place.reference} {place.name}" if seen else "",
                patterns.get(root.reference, "").strip("|").replace("|", "; "),
            ]
        yield row


def guard(text: str) -> str:
    """A cell that would be read as a formula gets an apostrophe before it, and only such a cell."""
    return f"'{text}" if text.startswith(RISKY) else text


class _Echo:
    def write(self, value: str) -> str:
        return value


@require_GET
@signed_in
def export_csv(request: HttpRequest, kind: type[Root]) -> StreamingHttpResponse:
    """The list as CSV, in UTF-8 with its mark, so that spreadsheets keep accents."""
    writer = csv.writer(_Echo())

    def lines() -> Iterable[str]:
        yield "\ufeff" + writer.writerow(_columns(kind))
        for row in _rows(kind, request):
            yield writer.writerow([guard(value) for value in row])

    response = StreamingHttpResponse(lines(), content_type="text/csv; charset=utf-8")
    response["Content-Disposition"] = f'attachment; filename="{kind.kind_name()}s.csv"'
    return response


@require_GET
@signed_in
def export_xlsx(request: HttpRequest, kind: type[Root]) -> FileResponse:
    """The list as a spreadsheet; every cell is text, none a formula."""
    book = Workbook(write_only=True)
    book.properties.creator = "Upperboard"
    sheet = book.create_sheet(_("list")[:31])
    for row in ([*_columns(kind)], *_rows(kind, request)):
        cells = []
        for value in row:
            cell = WriteOnlyCell(sheet, value=ILLEGAL_CHARACTERS_RE.sub("", value)[:32_000])
            cell.data_type = "s"
            cells.append(cell)
        sheet.append(cells)
    file = io.BytesIO()
    book.save(file)
    file.seek(0)
    return FileResponse(
        file,
        as_attachment=True,
        filename=f"{kind.kind_name()}s.xlsx",
        content_type="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    )
