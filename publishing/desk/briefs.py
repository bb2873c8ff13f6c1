"""Briefs in the workroom: passages edited and accepted, PDFs in every variant, the identification sheet."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import translation
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.actions import StaleRecord
from inventory.actions.passages import save_passage, take_back_passage
from inventory.curating.access import find_record, refuse, signed_in
from inventory.models import Instrument, Passage
from inventory.models.users import Role
from inventory.roles import at_least, is_allowed, require
from publishing.briefs.brief import make_brief
from publishing.briefs.drafting import DRAFTS, draft
from publishing.briefs.identification import make_identification_sheet
from publishing.briefs.readers import reader_line
from publishing.briefs.typesetting import TypesettingError
from publishing.briefs.words import READERS
from publishing.disclosure.briefs import NotForBrief, read_brief_facts
from publishing.editions import last_edition_figures

from .printed import language_asked, private_pdf


@require_GET
@signed_in
def show(request: HttpRequest, reference: str) -> HttpResponse:
    """The passages of one language, and the PDFs."""
    root = _find(request, reference)
    language = language_asked(request.GET)
    context = {
        "root": root,
        "language": language,
        "languages": Passage.Language.choices,
        "readers": [(reader, reader_line(reader)) for reader in READERS],
        "passages": list_passages(root, language),
        "is_public": root.state == "released" and root.audience == "public",
        "may_change": is_allowed(request.user, "change", root),
        "may_identify": at_least(request.user, Role.EDITOR),
    }
    return _private(render(request, "desk/briefs.html", context))


def list_passages(root: Instrument, language: str) -> list[dict[str, Any]]:
    """Every passage: as it is kept, or as the record drafts it now."""
    facts = read_brief_facts(root.reference, language, for_drafts=True)
    figures = last_edition_figures()
    kept = {row.section: row for row in root.passages.filter(language=language)}
    found = []
    for section in DRAFTS:
        with translation.override(language):
            drafted = draft(section, facts, figures)
        row = kept.get(section)
        found.append(
            {
                "section": section,
                "name": Passage.Section(section).label,
                "text": row.text if row else drafted,
                "drafted": drafted,
                "row": row,
                "changed": bool(row and row.accepted and row.drafted and row.drafted != drafted),
            }
        )
    return found


@require_POST
@signed_in
def save(request: HttpRequest, reference: str) -> HttpResponse:
    """Keep a passage, accept it, or have it drafted anew."""
    root = _find(request, reference)
    require(request.user, "change", root)
    language, section = language_asked(request.POST), request.POST.get("section", "")
    version = _number(request.POST.get("record_version", ""))
    what = request.POST.get("what", "keep")
    try:
        if what == "again":
            row = root.passages.filter(section=section, language=language).first()
            if row is not None:
                take_back_passage(row, version=version, by=request.user)  # type: ignore[arg-type]
        else:
            drafted = next(
                (one["drafted"] for one in list_passages(root, language) if one["section"] == section), ""
            )
            save_passage(
                root, version=version, by=request.user, section=section, language=language,  # type: ignore[arg-type]
                text=request.POST.get("text", ""), accepted=what == "accept", drafted=drafted,
            )  # fmt: skip
    except StaleRecord:
        return refuse(request, _("The record was changed meanwhile. Look at the passages again."), 409)
    messages.success(request, _("Saved."))
    address = redirect("briefs", reference=reference)
    address["Location"] += f"?language={language}#passage-{section.replace(' ', '-')}"
    return address


@require_GET
@signed_in
def download(request: HttpRequest, reference: str) -> HttpResponse:
    """The brief as a PDF."""
    root = _find(request, reference)
    reader, language = request.GET.get("for", "owner"), language_asked(request.GET)
    confidential = "confidential" in request.GET
    try:
        made = make_brief(root.reference, reader=reader, language=language, confidential=confidential)
    except (NotForBrief, TypesettingError) as refused:
        return refuse(request, str(refused), 422)
    return private_pdf(made, f"{root.reference}-{reader}-{language}.pdf")


@require_GET
@signed_in
def identification(request: HttpRequest, reference: str) -> HttpResponse:
    """The sheet for police and insurers: editors and keepers only."""
    root = _find(request, reference)
    if not at_least(request.user, Role.EDITOR):
        return refuse(request, _("The identification sheet is for editors and keepers."))
    try:
        made = make_identification_sheet(root, request.user, language_asked(request.GET))  # type: ignore[arg-type]
    except TypesettingError as refused:
        return refuse(request, str(refused), 422)
    return private_pdf(made, f"{root.reference}-identification.pdf")


def _find(request: HttpRequest, reference: str) -> Instrument:
    root: Instrument = find_record(request, Instrument, reference)
    if not at_least(request.user, Role.SURVEYOR):
        raise Http404(reference)
    return root


def _number(text: str) -> int:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else 0


def _private(response: HttpResponse) -> HttpResponse:
    response["Cache-Control"] = "private, no-store"
    return response
