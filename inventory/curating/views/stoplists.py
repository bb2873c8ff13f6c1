"""Stoplists: read from a text, edited as a table, set side by side, copied as the start of the next."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from inventory.models import Instrument, Specification
from inventory.organ.stoplists import read_stoplist
from inventory.organ.stoplists.vocabulary import LANGUAGES
from inventory.roles import require

from ..access import find_record, posted_number, record_url, signed_in
from ..comparing import compare_specifications
from ..copying import copy_specification
from ..forms import VERSION, WHY, RecordForm, make_form, new_code
from ..grid_saving import Result, save_tables
from ..parts import Reader
from ..stoplist_tables import Tables, build_stoplist, tables_of, tables_of_post, tables_of_reading

NEW_FIELDS = ("name", "when", "basis", "is_current", "language", "as_written")
LONGEST_TEXT = 200_000


def find_specification(root: Instrument, code: str) -> Specification:
    """A dated stoplist of an instrument by its code."""
    found = root.specifications.filter(code=code).select_related("instrument").first()
    if found is None:
        raise Http404(code)
    return found


def take_step(tables: Tables, step: str) -> str:
    """One step on a table, such as ``stop|up|flute-8``; answers what was done."""
    name, what, uid = [*step.split("|", 2), "", ""][:3]
    if name == "restore":  # the whole form came back as it was at some moment
        return {"back": _("One step back."), "forth": _("One step forth.")}.get(
            what, _("What you typed before is back. Nothing of it is saved yet.")
        )
    return tables[name].step(what, uid) if name in tables else ""


def posted_version(request: HttpRequest) -> int:
    """The version the person had before them."""
    return posted_number(request, VERSION)


def table_context(
    request: HttpRequest, root: Instrument, tables: Tables, result: Result | None, said: str
) -> dict[str, Any]:
    """What every page with tables asks for."""
    # A step shows what was typed beside an earlier version: that version goes along, or the save
    # at the end would not know that somebody saved in between.
    seen = posted_version(request) if request.method == "POST" else root.version
    return {
        "root": root,
        "kind": Instrument,
        "tables": [table.shown() for table in tables.values()],
        "result": result,
        "said": said,
        "version": result.version if result and result.version else seen or root.version,
        "back": record_url(root, "stoplist"),
    }


def show_tables(request: HttpRequest, name: str, context: dict[str, Any], status: int = 200) -> HttpResponse:
    """The form alone for a step in the page, else the whole page."""
    context["is_step"] = request.method == "POST"
    if request.htmx:
        return render(request, f"curating/_{name}.html", context)
    return render(request, f"curating/{name}.html", context, status=status)


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def read(request: HttpRequest, reference: str) -> HttpResponse:
    """A stoplist from a text: what was understood, what is asked, accepted line by line."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    specification = Specification(instrument=root)
    step, result, said = request.POST.get("step", ""), None, ""
    data = request.POST if request.method == "POST" else None
    form = make_form(specification, NEW_FIELDS, Reader.of(request.user, root), root, data=data)
    _tune(form)
    tables: Tables = {}
    if step == "read":
        text = request.POST.get("as_written", "")[:LONGEST_TEXT]
        language = request.POST.get("language", "").strip()
        found = read_stoplist(text, language if language in LANGUAGES else None)
        tables = tables_of_reading(found, specification)
        number = len(tables["stop"].lines)
        said = _("%(number)d stops were understood. Nothing is saved yet.") % {"number": number}
    elif data is not None:
        if step == "save" or "stop.asks" in request.POST:
            tables = tables_of_post(request.POST, specification)
        said = take_step(tables, step)
    if step == "save" and form.is_valid():
        specification.code = new_code(specification, root.specifications.all())
        result = save_tables(
            root,
            lambda: build_stoplist(specification, tables, request.POST),
            version=posted_version(request),
            by=request.user,
            why=request.POST.get(WHY, "") or _("stoplist read from a text"),
            also=[*_no_longer_current(root, specification), specification],
        )
        if result.root is not None:
            messages.success(request, _("Saved."), extra_tags=request.path)
            return redirect("stoplist-table", reference=reference, code=specification.code)
    context = {
        **table_context(request, root, tables, result, said),
        "form": form,
        "title": _("Read a stoplist"),
    }
    context["just_read"] = step == "read"
    return show_tables(request, "stoplist_read", context, 422 if step == "save" else 200)


def _tune(form: RecordForm) -> None:
    form.fields["as_written"].label = _("The text of the stoplist")
    form.fields["as_written"].widget.attrs["rows"] = 14
    form.fields["language"].help_text = _("en, fr, de, es or it; empty if you are not sure.")


def _no_longer_current(root: Instrument, specification: Specification) -> list[Specification]:
    """Only one stoplist says how the organ is now."""
    if not specification.is_current:
        return []
    others = list(root.specifications.filter(is_current=True))
    for other in others:
        other.is_current = False
    return others


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit_table(request: HttpRequest, reference: str, code: str) -> HttpResponse:
    """A stoplist as a table; steps change only what is shown until it is saved."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    specification = find_specification(root, code)
    step, result, said = request.POST.get("step", ""), None, ""
    tables = (
        tables_of_post(request.POST, specification) if request.method == "POST" else tables_of(specification)
    )
    if request.method == "POST" and step != "save":
        said = take_step(tables, step)
    elif request.method == "POST":
        result = save_tables(
            root,
            lambda: build_stoplist(specification, tables, request.POST),
            version=posted_version(request),
            by=request.user,
            why=request.POST.get(WHY, ""),
        )
        if result.root is not None:
            words = _("Saved.")
            if result.who:
                words = _("Saved. %(who)s changed the record meanwhile; both stand.") % {"who": result.who}
            messages.success(request, words, extra_tags=request.path)
            return redirect("stoplist-table", reference=reference, code=code)
    if result is not None and result.contested:
        said = _("%(who)s changed the same fields. Both texts are here: choose, then save again.") % {
            "who": result.who
        }
    context = {**table_context(request, root, tables, result, said), "specification": specification}
    context["undo"] = undo_address(root)
    return show_tables(request, "stoplist_table", context, 409 if result and result.contested else 200)


def undo_address(root: Instrument) -> str:
    """Where the last save is undone."""
    if root.version < 2:
        return ""
    address = {"kind": Instrument, "reference": root.reference, "version": root.version}
    return reverse("change-undo", kwargs=address)


@require_GET
@signed_in
def compare(request: HttpRequest, reference: str) -> HttpResponse:
    """Dated stoplists and their schemes side by side; what differs is marked."""
    root = find_record(request, Instrument, reference)
    known = list(root.specifications.in_order())
    wanted = request.GET.getlist("of")
    chosen = [one for one in known if one.code in wanted] or known
    context = {
        "root": root,
        "kind": Instrument,
        "known": known,
        "chosen": chosen,
        "comparison": compare_specifications(chosen[:6]) if chosen else None,
        "back": record_url(root, "stoplist"),
    }
    return render(request, "curating/stoplist_compare.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def copy(request: HttpRequest, reference: str, code: str) -> HttpResponse:
    """A stoplist with its scheme as the start of the next."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    old = find_specification(root, code)
    new = Specification(instrument=root, language=old.language)
    data = request.POST if request.method == "POST" else None
    fields = ("name", "when", "basis", "is_current")
    form = make_form(new, fields, Reader.of(request.user, root), root, data=data)
    if data is not None and form.is_valid():
        new.code = new_code(new, root.specifications.all())
        copy_specification(
            old,
            new,
            version=posted_version(request),
            by=request.user,
            why=request.POST.get(WHY, "") or _("copied from %(name)s") % {"name": old.name},
            also=_no_longer_current(root, new),
        )
        messages.success(request, _("Copied, with its scheme."), extra_tags=request.path)
        return redirect("stoplist-table", reference=reference, code=new.code)
    context = {
        "root": root,
        "kind": Instrument,
        "form": form,
        "old": old,
        "back": record_url(root, "stoplist"),
    }
    return render(request, "curating/stoplist_copy.html", context, status=422 if data is not None else 200)
