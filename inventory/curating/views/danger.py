"""The danger list and each instrument on it: what the tool advises, what the body decides."""

from __future__ import annotations

from typing import Any

from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.actions import ActionError, StaleRecord
from inventory.actions.danger import DepartureWithoutReason, record_decision
from inventory.danger_list import JUDGEMENTS
from inventory.danger_reading import ReadList, read_danger_list
from inventory.danger_words import judgement_in_words, rules_in_words
from inventory.emergency import cautions, checklist_of
from inventory.models import Decision, Instrument, Judgement
from inventory.models.choices import Audience
from inventory.models.users import Role
from inventory.roles import at_least, is_allowed, require

from ..access import find_record, refuse, signed_in
from ..danger_pages import DangerFilters, DecisionForm, bands_of, crossed, is_review_due, list_rows
from ..parts import Reader


@require_GET
@signed_in
def show_list(request: HttpRequest) -> HttpResponse:
    """Everything on the list that the reader may know of, with filters."""
    if not at_least(request.user, Role.SURVEYOR):
        return refuse(
            request, _("The danger list is for the team; what may be published stands in the catalogue.")
        )
    today = localdate()
    read = read_danger_list(request.user, today=today)  # type: ignore[arg-type]
    form = DangerFilters(request.GET, bands_of(read))
    chosen = form.chosen()
    rows = list_rows(read, chosen, today=today)
    context = {
        "section": "danger",
        "form": form,
        "is_filtered": bool(chosen.keys() - {"by"}),
        "rows": rows,
        "count": len(rows),
        "crossed": crossed(read),
        "ended": read.ended,
        "rules": rules_in_words(),
        "version": read.found.version,
        "criteria": read.found.judgements,
    }
    return render(request, "curating/danger_list.html", context)


@require_GET
@signed_in
def show(request: HttpRequest, reference: str) -> HttpResponse:
    """One instrument: why here, what would change it, advice beside decisions, the emergency track."""
    root = find_record(request, Instrument, reference)
    if not at_least(request.user, Role.SURVEYOR):
        return refuse(
            request, _("The danger list is for the team; what may be published stands in the catalogue.")
        )
    return render(request, "curating/danger.html", _context(request, root))


@require_POST
@signed_in
def decide(request: HttpRequest, reference: str) -> HttpResponse:
    """Minute a decision of the body."""
    root = find_record(request, Instrument, reference)
    require(request.user, "decide on dangers", root)
    form = DecisionForm(request.POST)
    if not form.is_valid():
        return render(request, "curating/danger.html", _context(request, root, form), status=422)
    read = read_danger_list(request.user, today=localdate())  # type: ignore[arg-type]
    sent = request.POST.get("record_version", "")
    version = int(sent) if sent.isascii() and sent.isdigit() and len(sent) < 10 else 0
    try:
        record_decision(root, version=version, by=request.user, advised=read.found, **form.cleaned_data)  # type: ignore[arg-type]
    except StaleRecord:
        return refuse(
            request, _("The record was changed meanwhile. Look at the list again before you decide."), 409
        )
    except ValidationError as refused:
        for name, words in refused.message_dict.items() if hasattr(refused, "error_dict") else ():
            form.add_error(name if name in form.fields else None, words)
        if not form.errors:
            form.add_error(None, refused.messages)
        return render(request, "curating/danger.html", _context(request, root, form), status=422)
    except ActionError as refused:
        form.add_error("because" if isinstance(refused, DepartureWithoutReason) else None, str(refused))
        return render(request, "curating/danger.html", _context(request, root, form), status=422)
    return redirect("danger", reference=reference)


def _context(request: HttpRequest, root: Instrument, form: DecisionForm | None = None) -> dict[str, Any]:
    today = localdate()
    read: ReadList = read_danger_list(request.user, today=today)  # type: ignore[arg-type]
    reference, found = root.reference, read.found
    entry = found.entries.get(reference)
    reader = Reader.of(request.user, root)  # type: ignore[arg-type]
    judged = [
        judgement_in_words(found, reference, code, with_change=True)
        for code in JUDGEMENTS
        if entry is not None and code in found.judgements
    ]
    return {
        "root": root,
        "kind": Instrument,
        "section": "danger",
        "entry": entry,
        "advice": found.advice_for(reference) if entry is not None else None,
        "judged": judged,
        "rows": read.judgements.get(reference, ()),
        "dangers": read.dangers.get(reference, ()),
        "decisions": read.decisions.get(reference, ()),
        "review_due": entry is not None and is_review_due(entry.decision, today),
        "reads_assessors": reader.may_read(Judgement, "assessor"),
        "reads_custodian": reader.may_read(Decision, "custodian_reply"),
        "may_decide": is_allowed(request.user, "decide on dangers", root),
        "checklist": checklist_of(root, reads_persons=reader.audience == Audience.NAMED),
        "cautions": cautions(),
        "version": found.version,
        "form": form or DecisionForm(initial={"when": today.isoformat(), "audience": Audience.TEAM}),
    }
