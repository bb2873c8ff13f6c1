"""The scheme as tables, with what it comes to beside them while one types."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from inventory.models import Instrument, Specification
from inventory.roles import require
from inventory.schemes import scheme_of

from ..access import find_record, signed_in
from ..forms import WHY
from ..gestures import GESTURES, GestureError, Gestures
from ..grid_saving import Result, save_tables
from ..scheme_tables import (
    SchemeRows,
    build_scheme,
    drafted_scheme,
    scheme_tables_of,
    scheme_tables_of_post,
    with_scheme_choices,
)
from ..stoplist_tables import Tables
from ..trying import try_scheme
from .stoplists import find_specification, posted_version, show_tables, table_context, take_step, undo_address


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit_scheme(request: HttpRequest, reference: str, code: str) -> HttpResponse:
    """Ranks and segments; gestures and steps change only what is shown until it is saved."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    specification = find_specification(root, code)
    step, said = request.POST.get("step", ""), ""
    result: Result | None = None
    rows = SchemeRows.of(specification)
    if request.method != "POST":
        tables = scheme_tables_of(specification, rows)
    else:
        tables = scheme_tables_of_post(request.POST, rows)
        if step == "save":
            result = _save(request, root, specification, tables)
            if result.root is not None:
                return redirect("scheme-table", reference=reference, code=code)
            if result.contested:
                said = _("%(who)s changed the same fields. Both texts are here: choose, then save again.") % {
                    "who": result.who
                }
        elif step.startswith("gesture|"):
            said = _make_gesture(request, specification, tables, step.partition("|")[2])
        else:
            said = take_step(tables, step)
        with_scheme_choices(tables, rows)
    context = {
        **table_context(request, root, tables, result, said),
        **_try_context(request, specification, tables, rows),
        "specification": specification,
        "stops": [(stop.code, f"{stop.label} · {stop.keyboard}") for stop in rows.stops],
        "gestures": GESTURES,
        "this": request.POST.get("this", ""),
        "that": request.POST.get("that", ""),
        "undo": undo_address(root),
    }
    return show_tables(request, "scheme_table", context, 409 if result and result.contested else 200)


def _save(request: HttpRequest, root: Instrument, specification: Specification, tables: Tables) -> Result:
    result = save_tables(
        root,
        lambda: build_scheme(specification, tables, request.POST),
        version=posted_version(request),
        by=request.user,  # type: ignore[arg-type]
        why=request.POST.get(WHY, ""),
    )
    if result.root is not None:
        words = _("Saved.")
        if result.who:
            words = _("Saved. %(who)s changed the record meanwhile; both stand.") % {"who": result.who}
        messages.success(request, words, extra_tags=request.path)
    return result


def _make_gesture(request: HttpRequest, specification: Specification, tables: Tables, what: str) -> str:
    gestures = Gestures(scheme_of(specification), tables)
    try:
        return gestures.make(what, request.POST.get("this", ""), request.POST.get("that", ""))
    except GestureError as refused:
        return str(refused)


def _try_context(
    request: HttpRequest, specification: Specification, tables: Tables, rows: SchemeRows
) -> dict[str, Any]:
    built = build_scheme(specification, tables, None, rows)
    scheme = drafted_scheme(specification, built)
    found = try_scheme(
        scheme,
        look=request.POST.get("look", ""),
        drawn=request.POST.getlist("drawn"),
        held=request.POST.getlist("held"),
    )
    return {"tried": found, "is_faulty": built.is_faulty}


@require_POST
@signed_in
def try_out(request: HttpRequest, reference: str, code: str) -> HttpResponse:
    """What the tables as typed come to. Nothing is saved."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    specification = find_specification(root, code)
    rows = SchemeRows.of(specification)
    tables = scheme_tables_of_post(request.POST, rows)
    context = {**_try_context(request, specification, tables, rows), "is_live": True}
    return render(request, "curating/_try.html", context)
