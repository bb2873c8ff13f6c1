"""A study in a file: a chosen subset of the published records, made on the spot and downloaded."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.curating.access import refuse, signed_in
from inventory.organ.patterns import PAIR_PATTERNS, STOP_PATTERNS
from publishing.catalogue.shared_pipes_page import pattern_name
from publishing.catalogue.statistics_words import view_name
from publishing.formats.release import Release
from publishing.statistics.choosing import View
from publishing.statistics.study import Subset, choose_subset, study_files
from publishing.statistics.tables import packed

from .figures import Figures, read_figures, read_view, view_word

PATTERNS = (*PAIR_PATTERNS, *STOP_PATTERNS)


@dataclass(frozen=True)
class Asked:
    """What the form chose, checked."""

    view: View
    subset: Subset
    figures: Figures


class NotOffered(ValueError):
    """Something was asked for that the form does not offer."""


def _read(request: HttpRequest) -> Asked:
    maker, pattern = request.GET.get("maker", ""), request.GET.get("pattern", "")
    try:
        view = read_view(request.GET.dict())
    except ValueError:
        raise NotOffered(
            _("Which specification counts? Give as found, as built, or a year from 1000 to 2999.")
        ) from None
    if pattern and pattern not in PATTERNS:
        raise NotOffered(_("Patterns are: %(all)s.") % {"all": ", ".join(PATTERNS)})
    figures = read_figures(view)
    if maker and maker not in figures.makers:
        raise NotOffered(_("No maker with this reference is published."))
    return Asked(view, Subset(maker, pattern), figures)


@require_GET
@signed_in
def show(request: HttpRequest) -> HttpResponse:
    """Choose what the study holds, and see how many instruments that are."""
    try:
        asked = _read(request)
    except NotOffered as refused:
        return refuse(request, str(refused), 422)
    chosen = choose_subset(asked.figures.frames, asked.subset)
    context: dict[str, Any] = {
        "view": view_word(asked.view),
        "view_kind": "at" if asked.view.year else asked.view.slug,
        "year": asked.view.year or "",
        "view_name": view_name(asked.view),
        "subset": asked.subset,
        "makers": sorted(asked.figures.makers.items(), key=lambda pair: pair[1]),
        "patterns": [(code, pattern_name(code)) for code in PATTERNS],
        "held": len(chosen.instruments),
        "counted": len(chosen.counted),
        "published": len(asked.figures.frames.instruments),
    }
    return render(request, "desk/study.html", context)


@require_GET
@signed_in
def download(request: HttpRequest) -> HttpResponse:
    """The study as one ZIP: a Data Package with code-book, figures, methods, citation and script."""
    try:
        asked = _read(request)
    except NotOffered as refused:
        return refuse(request, str(refused), 422)
    release = Release(str(settings.COLLECTION_NAME), settings.CATALOGUE_LICENCE, "", "")
    response = HttpResponse(
        packed(study_files(asked.figures.frames, asked.subset, release)), content_type="application/zip"
    )
    parts = [asked.view.slug, asked.subset.maker, asked.subset.pattern.replace(" ", "-")]
    response["Content-Disposition"] = f'attachment; filename="study-{"-".join(p for p in parts if p)}.zip"'
    response["Cache-Control"] = "private, no-cache"
    return response
