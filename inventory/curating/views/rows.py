"""Rows of a record: added, changed, taken away, each in the place where it is read."""

from __future__ import annotations

from typing import Any

from django.db import models
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from inventory.actions import StaleRecord, change_record
from inventory.models import Belonging, Root
from inventory.models.evidence import AboutRecord
from inventory.roles import require
from inventory.saying_anew import field_in_words

from ..access import find_record, posted_number, record_url, refuse, signed_in
from ..editing import Editor
from ..forms import VERSION
from ..pages import find_row, rows_of
from ..parts import Reader, RowKind, find_row_kind
from ..responses import edit_with, saved


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def add(request: HttpRequest, kind: type[Root], reference: str, rows: str) -> HttpResponse:
    """A new row. Its code is made from its words."""
    root = find_record(request, kind, reference)
    require(request.user, "change", root)
    part, row_kind = find_row_kind(kind, rows)
    _must_read(request, root, row_kind)
    parent = None
    if row_kind.within:
        parents = _parents(root, row_kind)
        wanted = request.POST.get("within") or request.GET.get("within") or ""
        parent = parents.filter(code=wanted).first() if wanted else None
        if parent is None:
            return _choose_parent(request, root, row_kind, parents)
    editor = Editor(
        request,
        root,
        lambda: _new_row(root, row_kind, parent, request),
        row_kind.fields,
        siblings=_siblings(root, row_kind, parent),
    )
    title = _("Add %(row)s") % {"row": row_kind.one}
    return edit_with(editor, part=part, title=title, help=str(row_kind.help), is_row=True)


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit(request: HttpRequest, kind: type[Root], reference: str, rows: str, code: str) -> HttpResponse:
    """Change a row. If somebody took it away meanwhile, what was typed can still be saved as a new one."""
    root = find_record(request, kind, reference)
    require(request.user, "change", root)
    part, row_kind = find_row_kind(kind, rows)
    _must_read(request, root, row_kind)

    def find() -> models.Model:
        try:
            row = find_row(root, row_kind, code)
        except Http404:
            if request.method != "POST":
                raise
            parents = _parents(root, row_kind) if row_kind.within else None
            parent = parents.filter(code=code.split("/")[-2]).first() if parents is not None else None
            if row_kind.within and parent is None:
                raise
            row = _new_row(root, row_kind, parent, request)
            row.code = code.split("/")[-1]
            return row
        if not Reader.of(request.user, root).may_read_row(row):
            raise Http404(code)
        return row

    find()
    editor = Editor(request, root, find, row_kind.fields, siblings=rows_of(root, row_kind))
    address = {"kind": kind, "reference": reference, "rows": rows, "code": code}
    return edit_with(
        editor,
        part=part,
        title=_("Change %(row)s") % {"row": row_kind.one},
        help=str(row_kind.help),
        remove_url=reverse("row-remove", kwargs=address),
        is_row=True,
    )


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def remove(request: HttpRequest, kind: type[Root], reference: str, rows: str, code: str) -> HttpResponse:
    """Take a row away, after asking. The history keeps it, and it can be put back."""
    root = find_record(request, kind, reference)
    require(request.user, "change", root)
    part, row_kind = find_row_kind(kind, rows)
    _must_read(request, root, row_kind)
    row = find_row(root, row_kind, code)
    if not Reader.of(request.user, root).may_read_row(row):
        raise Http404(code)
    if request.method != "POST":
        context: dict[str, Any] = {"root": root, "kind": kind, "row": row, "row_kind": row_kind, "part": part}
        context["back"] = record_url(root, part.code)
        return render(request, "curating/remove.html", context)
    try:
        change_record(
            root,
            version=posted_number(request, VERSION),
            by=request.user,
            why=request.POST.get("why_changed", ""),
            remove=[row],
        )
    except StaleRecord:
        return refuse(
            request, _("The record was changed meanwhile. Look again before you take this away."), 409
        )
    except models.ProtectedError as refused:
        others = ", ".join(str(other) for other in list(refused.protected_objects)[:5])
        return refuse(
            request, _("It cannot go while these point to it: %(others)s.") % {"others": others}, 409
        )
    return saved(request, root, part, _("Taken away. It can be put back from the history."))


def _must_read(request: HttpRequest, root: Root, row_kind: RowKind) -> None:
    require(request.user, row_kind.verb, root)
    reader = Reader.of(request.user, root)
    if not any(reader.may_read(row_kind.model, name) for name in row_kind.fields):
        raise Http404(row_kind.name)


def _parents(root: Root, row_kind: RowKind) -> models.QuerySet:
    parent = row_kind.model._meta.get_field(row_kind.within).related_model
    return parent._default_manager.filter(**{parent.root_path: root}).order_by("code")


def _siblings(root: Root, row_kind: RowKind, parent: models.Model | None) -> models.QuerySet:
    found = rows_of(root, row_kind)
    return found.filter(**{row_kind.within: parent}) if parent is not None else found


def _new_row(root: Root, row_kind: RowKind, parent: models.Model | None, request: HttpRequest) -> Belonging:
    row = row_kind.model()
    if parent is not None:
        setattr(row, row_kind.within, parent)
    elif issubclass(row_kind.model, AboutRecord):
        setattr(row, root.kind_name(), root)
    else:
        setattr(row, row_kind.model.root_path, root)
    if request.GET.get("about") and issubclass(row_kind.model, AboutRecord):
        row.about = request.GET["about"][:200]
    return row


def _choose_parent(
    request: HttpRequest, root: Root, row_kind: RowKind, parents: models.QuerySet
) -> HttpResponse:
    part, _kind = find_row_kind(type(root), row_kind.name)
    context = {
        "root": root,
        "kind": type(root),
        "row_kind": row_kind,
        "parents": parents,
        "part": part,
        "back": record_url(root, part.code),
        "within": field_in_words(row_kind.model._meta.get_field(row_kind.within)),
    }
    return render(request, "curating/choose_parent.html", context)
