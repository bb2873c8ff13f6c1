"""Records: their page, its parts, new ones, the groups of their own fields, the steps of review."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.db import models
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_GET, require_http_methods, require_POST

from inventory import actions
from inventory.actions import StaleRecord, create_record
from inventory.models import Instrument, Maker, Place, Root, Source
from inventory.roles import require

from ..access import find_record, open_record, posted_number, record_url, refuse, signed_in
from ..editing import Editor
from ..forms import make_form
from ..pages import evidence_counts, page_context, steps_context
from ..parts import Reader, find_group, find_part
from ..record_pages import render_body
from ..responses import edit_with

NEW_FIELDS: dict[type[Root], tuple[str, ...]] = {
    Instrument: ("reference", "name", "status", "place", "audience"),
    Maker: ("reference", "name", "sort_name", "kind", "audience"),
    Place: ("reference", "name", "kind", "parent", "audience"),
    Source: ("reference", "name", "kind", "author", "when", "audience"),
}
PREFIXES = {Instrument: "ORG", Maker: "MKR", Place: "PLC", Source: "SRC"}


@require_GET
@signed_in
def show(request: HttpRequest, kind: type[Root], reference: str) -> HttpResponse:
    """A record's page."""
    root, reader = open_record(request, kind, reference)
    steps = steps_context(request, root)
    body = render_body(request, root, reader, steps["last_change"])
    context = {"root": root, "kind": kind, "reader": reader, "body": body, **steps}
    return render(request, "curating/record.html", context)


@require_GET
@signed_in
def show_part(request: HttpRequest, kind: type[Root], reference: str, part: str) -> HttpResponse:
    """One part: as a piece of the record's page, or as a page where there are no scripts."""
    root = find_record(request, kind, reference)
    found = find_part(kind, part)
    context = {
        **page_context(request, root, only=found),
        **steps_context(request, root),
        "evidence": evidence_counts(root),
    }
    context["shown"] = context["parts"][0]
    template = "curating/_part.html" if request.htmx else "curating/part.html"
    return render(request, template, context)


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit_fields(request: HttpRequest, kind: type[Root], reference: str, group: str) -> HttpResponse:
    """A group of the record's own fields."""
    root = find_record(request, kind, reference)
    require(request.user, "change", root)
    part, found = find_group(kind, group)
    reader = Reader.of(request.user, root)
    if not any(reader.may_read(kind, name) for name in found.fields):
        return refuse(request, _("These fields are not for you."), 404)
    editor = Editor(
        request,
        root,
        lambda: kind._default_manager.get(pk=root.pk),
        found.fields,
        says_why_empty=found.says_why_empty,
    )
    return edit_with(editor, part=part, title=str(found.title), help=str(found.help))


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def create(request: HttpRequest, kind: type[Root]) -> HttpResponse:
    """A new record: the few fields without which it is none; a page for the rest."""
    require(request.user, "create")
    root = kind(reference=propose_reference(kind))
    reader = Reader(request.user, "named")  # type: ignore[arg-type]
    form = make_form(root, NEW_FIELDS[kind], reader, root, data=request.POST or None)
    if request.method == "POST" and form.is_valid():
        try:
            create_record(form.instance, by=request.user, why=form.cleaned_data["why_changed"])
        except ValidationError as refused:
            form.add_error(None, refused)
        else:
            messages.success(request, _("Saved as a draft."), extra_tags=request.path)
            return redirect(record_url(form.instance))
    context = {
        "form": form,
        "kind": kind,
        "title": _("New: %(kind)s") % {"kind": kind._meta.verbose_name},
        "back": reverse("list", kwargs={"kind": kind}),
    }
    return render(request, "curating/new.html", context)


def propose_reference(kind: type[Root]) -> str:
    """The next free number: references are never used again, even of withdrawn records."""
    prefix = PREFIXES[kind]
    digits = models.functions.Substr("reference", len(prefix) + 2)
    last = (
        kind._default_manager.filter(reference__regex=rf"^{prefix}-[0-9]+$")
        .annotate(number=models.functions.Cast(digits, models.IntegerField()))
        .aggregate(last=models.Max("number"))["last"]
    )
    return f"{prefix}-{(last or 0) + 1:04d}"


@require_POST
@signed_in
def take_step(request: HttpRequest, kind: type[Root], reference: str) -> HttpResponse:
    """Submit, return, release or withdraw, with the reason."""
    root = find_record(request, kind, reference)
    step, why = request.POST.get("step", ""), request.POST.get("why", "")
    version = posted_number(request, "version")
    takes: dict[str, Any] = {
        "submit": lambda: actions.submit_for_review(root, version=version, by=request.user, why=why),
        "return": lambda: actions.return_to_draft(root, version=version, by=request.user, why=why),
        "release": lambda: actions.release(root, version=version, by=request.user, why=why),
        "withdraw": lambda: actions.withdraw(root, version=version, by=request.user, because=why),
    }
    if step not in takes:
        return refuse(request, _("There is no such step."), 400)
    try:
        takes[step]()
    except StaleRecord:
        return refuse(
            request,
            _("The record was changed meanwhile. Look at it again before you take this step."),
            409,
        )
    messages.success(request, STEP_DONE[step])
    return redirect(record_url(root))


STEP_DONE = {
    "submit": gettext_lazy("Handed on for review."),
    "return": gettext_lazy("Given back as a draft."),
    "release": gettext_lazy("Released: it is shown to its audience at the next export."),
    "withdraw": gettext_lazy("Withdrawn. Its address keeps a page that says why."),
}
