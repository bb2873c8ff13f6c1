"""The next visit on one page: every part and open defect answered, new defects beside them, saved at once."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods

from inventory.actions import StaleRecord
from inventory.actions.visits import save_visit
from inventory.models import DefectObservation, Instrument, Survey
from inventory.models.choices import Knowledge
from inventory.roles import require

from ..access import find_record, signed_in
from ..forms import VERSION, WHY, make_form
from ..new_defects import ask_new, new_rows
from ..next_visits import FOUND, ask, rows_of
from ..parts import Reader
from .stoplists import posted_version

FIELDS = (
    "when", "level", "surveyor", "printed_as", "limits", "temperature_c", "humidity_percent", "pressure_mm",
    "pitch_hz", "playability", "notes_heard", "notes_tried", "findings",
)  # fmt: skip


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def next_visit(request: HttpRequest, reference: str) -> HttpResponse:
    """The form, or the new survey it comes to. Only who may change the record sees it."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)  # type: ignore[arg-type]
    reader = Reader.of(request.user, root)  # type: ignore[arg-type]
    data = request.POST if request.method == "POST" else None
    survey = Survey(instrument=root)
    form = make_form(survey, FIELDS, reader, root, data=data)
    asked, fresh = ask(root, data), ask_new(root, data)
    said, status = "", 200
    if data is not None:
        status = 422
        if form.is_valid() and not (asked.has_errors or fresh.has_errors):
            try:
                conditions, observations = rows_of(asked)
                save_visit(
                    root,
                    form.instance,
                    conditions,
                    [*observations, *new_rows(root, fresh)],
                    version=posted_version(request),
                    by=request.user,  # type: ignore[arg-type]
                    why=form.cleaned_data[WHY] or _("visit of %(when)s") % {"when": form.instance.when},
                )
            except StaleRecord as stale:
                status = 409
                words = _(
                    "%(who)s changed the record meanwhile. Your answers are here; open the page anew beside it."
                )
                said = words % {"who": stale.who}
            except ValidationError as refused:
                said = " ".join(refused.messages)
            else:
                messages.success(request, _("The visit is saved, with every part and every open defect."))
                return redirect("course", reference=reference)
        else:
            said = _("Not saved yet: put right what is marked.")
    context = {
        "root": root,
        "kind": Instrument,
        "form": form,
        "asked": asked,
        "fresh": fresh,
        "said": said,
        "version": data.get(VERSION, "") if data is not None else root.version,
        "choices": asked.class_choices(),
        "knowledge": Knowledge.choices,
        "found": [(value, label) for value, label in DefectObservation.Course.choices if value in FOUND],
    }
    return render(request, "curating/next_visit.html", context, status=status)
