"""Photographs: many at once on the way in, served only to those who may see them, with labelled regions."""

from __future__ import annotations

import mimetypes
from typing import Any

from django import forms
from django.contrib import messages
from django.core.files.uploadedfile import UploadedFile
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_http_methods

from inventory.intake.photographs import bring_photographs, save_photographs
from inventory.models import Chest, Instrument, Photograph, Rank, Region, Stop
from inventory.models.photographs import Photograph as PhotographRow
from inventory.roles import is_allowed, require
from inventory.visibility import can_read

from ..access import find_record, record_url, signed_in
from ..forms import WHY, RecordForm, make_form
from ..grid_saving import Builder, Built, Result, save_tables, settle_choices
from ..grids import Line, Table, uid_of
from ..parts import Reader
from ..parts.photograph_sheets import REGIONS
from ..saying import say_title
from .stoplists import posted_version, show_tables, table_context, take_step

COMMON_FIELDS = ("shows", "credit", "licence", "when", "consent", "direction", "is_drawn", "audience")
MOST_FILES = 60
SHOWN_TYPES = frozenset({"image/jpeg", "image/png", "image/webp"})


class ManyFilesInput(forms.ClearableFileInput):
    """A file box that takes many pictures, from the camera of a telephone too."""

    allow_multiple_selected = True


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def add(request: HttpRequest, reference: str) -> HttpResponse:
    """Many photographs at once. Each is checked by itself; those that pass are saved in one change."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    first = Photograph(instrument=root)
    data = request.POST if request.method == "POST" else None
    form = make_form(first, COMMON_FIELDS, Reader.of(request.user, root), root, data=data)
    refused: list[tuple[str, str]] = []
    if data is not None:
        files = request.FILES.getlist("files")
        if not files:
            form.add_error(None, _("Choose at least one picture."))
        elif len(files) > MOST_FILES:
            form.add_error(None, _("At most %(most)d pictures at once.") % {"most": MOST_FILES})
        if form.is_valid():
            saved, refused = _take_in(request, root, form, files)
            for name, why in refused:
                messages.error(request, _("Refused: %(name)s: %(why)s") % {"name": name, "why": why})
            if saved:
                words = _("%(number)d photographs were saved.") % {"number": saved}
                messages.success(request, words, extra_tags=request.path)
                return redirect(record_url(root, "photographs"))
    context = {"root": root, "kind": Instrument, "form": form, "back": record_url(root, "photographs")}
    return render(request, "curating/photographs_add.html", context, status=422 if data is not None else 200)


def _take_in(
    request: HttpRequest, root: Instrument, form: RecordForm, files: list[UploadedFile]
) -> tuple[int, list[tuple[str, str]]]:
    """Save what passes; answer how many, and what was refused and why."""

    def fill(row: PhotographRow) -> None:
        for field in form.cleaned_data:
            if field in COMMON_FIELDS:
                setattr(row, field, form.cleaned_data[field])

    brought = bring_photographs(root, files, fill)
    if brought.rows:
        save_photographs(
            root,
            brought.rows,
            version=Instrument.objects.get(pk=root.pk).version,  # new rows only: nothing to collide with
            by=request.user,  # type: ignore[arg-type]
            why=form.cleaned_data[WHY],
        )
    return len(brought.rows), brought.refused


def find_photograph(request: HttpRequest, root: Instrument, code: str) -> PhotographRow:
    """A photograph the person may see; otherwise the same answer as for one that does not exist."""
    found = root.photographs.filter(code=code).select_related("instrument").first()
    if found is None or not can_read(request.user, found):  # type: ignore[arg-type]
        raise Http404(code)
    return found


@require_GET
@signed_in
def serve(request: HttpRequest, reference: str, code: str) -> HttpResponse | FileResponse:
    """The working copy, to those who may see it. The original is never served."""
    row = find_photograph(request, find_record(request, Instrument, reference), code)
    kind = mimetypes.guess_type(row.file.name)[0] or ""
    try:
        handle = row.file.open("rb")
    except (OSError, ValueError):
        raise Http404(code) from None
    shown = kind in SHOWN_TYPES
    response = FileResponse(
        handle, as_attachment=not shown, content_type=kind if shown else "application/octet-stream"
    )
    response["Content-Security-Policy"] = "default-src 'none'; sandbox"
    response["X-Content-Type-Options"] = "nosniff"
    response["Cache-Control"] = "private, max-age=3600"
    return response


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit_regions(request: HttpRequest, reference: str, code: str) -> HttpResponse:
    """A photograph with its labelled regions, drawn by pointer, by keys, or as numbers."""
    root = find_record(request, Instrument, reference)
    photograph = find_photograph(request, root, code)
    may_change = is_allowed(request.user, "change", root)
    step, said = request.POST.get("step", ""), ""
    result: Result | None = None
    if request.method == "POST":
        require(request.user, "change", root)
        table = Table.of_post(REGIONS, request.POST)
        if step == "save":
            result = save_tables(
                root,
                lambda: _build(photograph, table, request),
                version=posted_version(request),
                by=request.user,  # type: ignore[arg-type]
                why=request.POST.get(WHY, ""),
            )
            if result.root is not None:
                messages.success(request, _("Saved."), extra_tags=request.path)
                return redirect("photograph", reference=reference, code=code)
        else:
            said = take_step({"region": table}, step)
            if step.startswith("region|add"):
                table.lines[-1].values.update(x="35", y="35", width="30", height="30")
    else:
        table = Table.of_rows(REGIONS, photograph.regions.select_related("photograph__instrument"))
    table.choices = {"about": _about_choices(root)}
    context: dict[str, Any] = {
        **table_context(request, root, {"region": table}, result, said),
        "photograph": photograph,
        "regions": table.lines,
        "may_change": may_change,
        "back": record_url(root, "photographs"),
    }
    return show_tables(request, "photograph", context, 409 if result and result.contested else 200)


def _build(photograph: PhotographRow, table: Table, request: HttpRequest) -> Built:
    saved = list(photograph.regions.select_related("photograph__instrument"))
    settle_choices([table], {"region": {uid_of(row): row for row in saved}}, request.POST)
    builder = Builder("photograph", photograph)
    builder.take(table, saved, {}, _check_region)
    return builder.built


def _check_region(row: Region, line: Line) -> None:
    if row.width <= 0 or row.height <= 0:
        line.faults["width"] = _("Draw it larger than nothing.")
    elif row.x + row.width > 1.000001 or row.y + row.height > 1.000001:
        line.faults["x"] = _(
            "It leaves the picture: left and width, top and height are 100 at most together."
        )
    if not row.label:
        line.faults["label"] = _("Say what it shows.")


def _about_choices(root: Instrument) -> list[tuple[str, str]]:
    """What a region can show: parts, chests, ranks, stops, defects of this instrument."""
    found: list[tuple[str, str]] = [("", _("the whole instrument"))]
    for rows in (
        root.parts.all(),
        Chest.objects.filter(specification__instrument=root).select_related("specification__instrument"),
        Rank.objects.filter(specification__instrument=root).select_related("specification__instrument"),
        Stop.objects.filter(specification__instrument=root).select_related("specification__instrument"),
        root.defects.all(),
    ):
        for row in rows:
            row_of = row.path_in_root()
            found.append((row_of, f"{row._meta.verbose_name}: {say_title(row)}"))
    return found
