"""What does not add up in an instrument's record, and what is missing for its level of recording."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.actions import StaleRecord
from inventory.actions.answers import answer_finding, reopen_finding
from inventory.models import FindingAnswer, Instrument
from inventory.models.users import Role
from inventory.roles import at_least, is_allowed, require

from ..access import find_record, record_url, refuse, signed_in
from ..answering import gather_findings
from ..completeness import missing_for_level
from ..parts import Reader


@require_GET
@signed_in
def show(request: HttpRequest, reference: str) -> HttpResponse:
    """Findings, each leading to where it is mended; the answered ones beneath."""
    root = find_record(request, Instrument, reference)
    if not at_least(request.user, Role.SURVEYOR):
        return refuse(request, _("Findings are for the team."))
    found, answered, unread = gather_findings(root, Reader.of(request.user, root))
    context = {
        "root": root,
        "kind": Instrument,
        "open": found,
        "answered": answered,
        "unread": unread,
        "missing": missing_for_level(root),
        "may_change": is_allowed(request.user, "change", root),
    }
    return render(request, "curating/_findings.html" if request.htmx else "curating/findings.html", context)


@require_POST
@signed_in
def answer(request: HttpRequest, reference: str) -> HttpResponse:
    """Looked at, is right, because …"""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    found, _answered, _unread = gather_findings(root, Reader.of(request.user, root))
    wanted = request.POST.get("finding", "")
    chosen = next((one for one in found if one.key == wanted), None)
    if chosen is None:
        return refuse(
            request, _("This finding is gone or its facts changed; look at the findings again."), 409
        )
    version = request.POST.get("record_version", "")
    try:
        answer_finding(
            root,
            version=int(version) if version.isdigit() else 0,
            by=request.user,
            finding=chosen.code,
            about=chosen.about,
            facts=chosen.facts,
            because=request.POST.get("because", ""),
        )
    except StaleRecord:
        return refuse(request, _("The record was changed meanwhile. Look at the findings again."), 409)
    messages.success(request, _("Answered. It comes back if its facts change."), extra_tags=request.path)
    return redirect(record_url(root, "findings"))


@require_POST
@signed_in
def reopen(request: HttpRequest, reference: str, code: str) -> HttpResponse:
    """Take an answer back."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    row = FindingAnswer.objects.filter(instrument=root, code=code).first()
    if row is None:
        raise Http404(code)
    version = request.POST.get("record_version", "")
    try:
        reopen_finding(row, version=int(version) if version.isdigit() else 0, by=request.user)
    except StaleRecord:
        return refuse(request, _("The record was changed meanwhile. Look at the findings again."), 409)
    messages.success(request, _("The finding is open again."))
    return redirect(record_url(root, "findings"))
