"""The figures of the published records in the workroom: chosen, grouped, followed to records, taken along."""

from __future__ import annotations

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.curating.access import refuse, signed_in
from publishing.catalogue import statistics_words as words
from publishing.catalogue.statistics_page import MOST_LISTED
from publishing.statistics.choosing import AT_YEAR, View
from publishing.statistics.groups import DIMENSIONS
from publishing.statistics.measures import contributions_of
from publishing.statistics.tables import as_csv, as_parquet, contributions_table

from .figures import TABLE_NAMES, DeskPages, read_figures, read_view, table_of, view_word

CONTRIBUTIONS = "contributions"
FORMATS = {
    "csv": ("text/csv; charset=utf-8", as_csv),
    "parquet": ("application/vnd.apache.parquet", as_parquet),
}


def _choices(view: View, by: str) -> dict[str, object]:
    """What the form of choices shows."""
    return {
        "view": view_word(view),
        "view_kind": "at" if view.kind == AT_YEAR else view.slug,
        "year": view.year or "",
        "view_name": words.view_name(view),
        "by": by,
        "dimensions": [(one, words.dimension_title(one)) for one in DIMENSIONS],
        "tables": (*TABLE_NAMES, CONTRIBUTIONS),
        "most_listed": MOST_LISTED,
    }


@require_GET
@signed_in
def show(request: HttpRequest) -> HttpResponse:
    """All measures over all published instruments, and sharing by one dimension."""
    by = request.GET.get("by") or DIMENSIONS[0]
    try:
        view = read_view(request.GET.dict())
    except ValueError:
        return refuse(
            request,
            _("Which specification counts? Give as found, as built, or a year from 1000 to 2999."),
            422,
        )
    if by not in DIMENSIONS:
        return refuse(request, _("Groups are by one of: %(all)s.") % {"all": ", ".join(DIMENSIONS)}, 422)
    pages = DeskPages(read_figures(view), by)
    return _private(render(request, "desk/statistics.html", pages.overview() | _choices(view, by)))


@require_GET
@signed_in
def show_group(request: HttpRequest) -> HttpResponse:
    """All measures of one group, beside those of all instruments, with the records that add up to each."""
    by, key = request.GET.get("by", ""), request.GET.get("key", "")
    try:
        view = read_view(request.GET.dict())
    except ValueError:
        raise Http404(_("There is no such view.")) from None
    if by not in (*DIMENSIONS, "all"):
        raise Http404(_("There is no such group."))
    pages = DeskPages(read_figures(view), by)
    group = pages.find(key)
    if group is None:
        raise Http404(_("There is no such group."))
    figures = pages.whole if group is pages.all else pages.figures_of(group)
    context = pages.group_page(group, figures) | _choices(view, by)
    return _private(render(request, "desk/statistics_group.html", context))


@require_GET
@signed_in
def download(request: HttpRequest, table: str, form: str) -> HttpResponse:
    """One table of a view as CSV or Parquet: the same frames the pages are made from."""
    try:
        view = read_view(request.GET.dict())
    except ValueError:
        raise Http404(_("There is no such view.")) from None
    if table not in (*TABLE_NAMES, CONTRIBUTIONS) or form not in FORMATS:
        raise Http404(_("There is no such table."))
    frames = read_figures(view).frames
    rows = (
        contributions_table(contributions_of(frames)) if table == CONTRIBUTIONS else table_of(frames, table)
    )
    kind, write = FORMATS[form]
    response = HttpResponse(write(rows), content_type=kind)
    response["Content-Disposition"] = f'attachment; filename="{view.slug}-{table}.{form}"'
    return _private(response)


def _private(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "private, no-cache"
    return response
