"""Nothing lost: the history of a record, any two moments side by side, any change undone."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from inventory.actions import StaleRecord
from inventory.actions.undoing import STEPS_OF_REVIEW, undo_change
from inventory.models import Change, Root
from inventory.past import Past
from inventory.roles import is_allowed, require

from ..access import find_record, record_url, refuse, signed_in
from ..parts import Reader
from ..saying import find_field, say_path, say_value

SHOWN = 60


def readable_entries(
    root: Root, request: HttpRequest, changes: Iterable[Iterable[dict[str, Any]]]
) -> list[list[dict[str, Any]]]:
    """Of each change the entries this person may be told."""
    changes = [list(entries) for entries in changes]
    past = Past(root, request.user, (_told(entry) for entries in changes for entry in entries))  # type: ignore[arg-type]
    return [[entry for entry in entries if past.may_tell(*_told(entry))] for entries in changes]


def _told(entry: dict[str, Any]) -> tuple[str, tuple[Any, Any]]:
    return entry["path"], (entry["old"], entry["new"])


def say_entries(root: Root, entries: list[dict[str, Any]], reader: Reader) -> list[dict[str, str]]:
    """Entries in words."""
    kind = root.kind_name()
    said = []
    for entry in entries:
        field = find_field(kind, entry["path"])
        said.append(
            {
                "label": say_path(kind, entry["path"]),
                "old": say_value(field, entry["old"], reader),
                "new": say_value(field, entry["new"], reader),
            }
        )
    return said


@require_GET
@signed_in
def show(request: HttpRequest, kind: type[Root], reference: str) -> HttpResponse:
    """Every change, newest first; two can be chosen to be compared."""
    root = find_record(request, kind, reference)
    require(request.user, "read history", root)
    reader = Reader.of(request.user, root)
    changes = list(Change.objects.of(root).select_related("who")[: SHOWN + 1])
    lines = []
    told = readable_entries(root, request, (change.fields for change in changes[:SHOWN]))
    for change, entries in zip(changes[:SHOWN], told, strict=True):
        lines.append(
            {
                "change": change,
                "entries": say_entries(root, entries[:6], reader),
                "more": max(0, len(entries) - 6),
                "hidden": len(change.fields) - len(entries),
                "can_undo": change.action not in STEPS_OF_REVIEW and len(entries) == len(change.fields),
            }
        )
    context = {
        "root": root,
        "kind": kind,
        "lines": lines,
        "is_cut": len(changes) > SHOWN,
        "may_change": is_allowed(request.user, "change", root),
    }
    return render(request, "curating/changes.html", context)


@require_GET
@signed_in
def compare(request: HttpRequest, kind: type[Root], reference: str) -> HttpResponse:
    """Two moments side by side: what each field was at the one and at the other."""
    root = find_record(request, kind, reference)
    require(request.user, "read history", root)
    earlier, later = sorted((_number(request, "from", root.version), _number(request, "to", root.version)))
    first: dict[str, dict[str, Any]] = {}
    for change in Change.objects.between(root, earlier, later):
        for entry in change.fields:
            kept = first.setdefault(entry["path"], dict(entry))
            kept["new"] = entry["new"]
    entries = [entry for entry in first.values() if entry["old"] != entry["new"]]
    reader = Reader.of(request.user, root)
    seen = readable_entries(root, request, [entries])[0]
    context = {
        "root": root,
        "kind": kind,
        "earlier": earlier,
        "later": later,
        "entries": say_entries(root, seen, reader),
        "hidden": len(entries) - len(seen),
    }
    return render(request, "curating/compare.html", context)


def _number(request: HttpRequest, name: str, otherwise: int) -> int:
    text = request.GET.get(name, "")
    return min(int(text), otherwise) if text.isdigit() and len(text) < 9 else otherwise


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def undo(request: HttpRequest, kind: type[Root], reference: str, version: int) -> HttpResponse:
    """Undo one change, after showing what would be put back."""
    root = find_record(request, kind, reference)
    require(request.user, "change", root)
    change = get_object_or_404(Change.objects.of(root).select_related("who"), version=version)
    reader = Reader.of(request.user, root)
    entries = readable_entries(root, request, [change.fields])[0]
    if len(entries) != len(change.fields):
        raise Http404(_("Part of this change is not for you."))
    if request.method == "POST":
        seen = request.POST.get("record_version", "")
        try:
            undo_change(
                root,
                change,
                version=int(seen) if seen.isdigit() else 0,
                by=request.user,
                why=request.POST.get("why_changed", ""),
            )
        except StaleRecord:
            return refuse(request, _("The record was changed meanwhile. Look at its history again."), 409)
        messages.success(request, _("Undone, as a new version."))
        return redirect(record_url(root))
    context = {"root": root, "kind": kind, "change": change, "entries": say_entries(root, entries, reader)}
    return render(request, "curating/undo.html", context)
