"""Note trials: typed, or set on a keyboard picture; traced while one types; saved only when saved."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_http_methods, require_POST

from inventory.actions import StaleRecord
from inventory.actions.trials import save_trials
from inventory.models import Instrument, Specification, Survey, Trial
from inventory.organ.schemes import Scheme
from inventory.organ.trial_lines import TrialLines, read_trial_lines
from inventory.organ.trial_writing import held_keys, key_name, stop_name, write_trial_lines
from inventory.roles import is_allowed, require
from inventory.schemes import NoSuchRecord, find_specification, scheme_of

from ..access import find_record, record_url, refuse, signed_in
from ..forms import WHY
from ..tracing import compare_visits, next_of, survey_label, trace, trials_of_rows, visits_with_trials
from ..trying import keyboards_of
from .stoplists import posted_version

LONGEST_TEXT = 60_000
MOST_JUDGED = 12


@require_http_methods(["GET", "HEAD", "POST"])
@signed_in
def edit(request: HttpRequest, reference: str) -> HttpResponse:
    """The trials of one visit. A reader may look and try; only who may change the record may save."""
    root = find_record(request, Instrument, reference)
    if request.method == "POST":
        require(request.user, "change", root)
    surveys = list(Survey.objects.filter(instrument=root).order_by("when_sort", "code"))
    try:
        specification = find_specification(root.reference)
    except NoSuchRecord:
        return render(request, "curating/trials.html", {"root": root, "kind": Instrument, "surveys": surveys})
    scheme = scheme_of(specification)
    survey = _chosen(request, surveys, specification)
    data = request.POST
    said, status = "", 200
    if request.method == "POST":
        lines, step = data.get("lines", ""), data.get("step", "look")
        if len(lines) > LONGEST_TEXT:
            told = _(
                "Nothing was saved: %(length)d characters are more trials than %(most)d hold; split them."
            )
            said, status = told % {"length": len(lines), "most": LONGEST_TEXT}, 422
            lines = lines[:LONGEST_TEXT]
        elif step == "add":
            lines, said = _added(lines, scheme, data)
        elif step == "save":
            answer = _save(request, root, survey, specification, scheme, lines)
            if isinstance(answer, HttpResponse):
                return answer
            said, status = answer
    else:
        saved = (
            Trial.objects.filter(survey=survey, specification=specification)
            if survey
            else Trial.objects.none()
        )
        lines = write_trial_lines(scheme, trials_of_rows(saved, scheme))
    read = read_trial_lines(lines, scheme)
    drawn, held = data.getlist("drawn"), data.getlist("held")
    if data.get("step") == "next" and (following := next_of(scheme, read.trials)):
        drawn, held = list(following.stops), [f"{board}:{key}" for board, key in following.keys]
        said = _("The keyboard is set for the next trial. Choose how it answered, then add it.")
    context = {
        "root": root,
        "kind": Instrument,
        "surveys": [(one, survey_label(one)) for one in surveys],
        "survey": survey,
        "specification": specification,
        "lines": lines,
        "version": posted_version(request) if request.method == "POST" else root.version,
        "said": said,
        "may_change": is_allowed(request.user, "change", root),
        "back": record_url(root, "condition"),
        "compared": compare_visits(scheme, visits_with_trials(root, specification.pk, scheme)),
        **panel(scheme, read, drawn, held, data),
    }
    name = "curating/_trials.html" if request.htmx and request.method == "POST" else "curating/trials.html"
    return render(request, name, context, status=status)


@require_POST
@signed_in
def trace_typed(request: HttpRequest, reference: str) -> HttpResponse:
    """What the text as typed comes to. Nothing is saved."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    try:
        scheme = scheme_of(find_specification(root.reference))
    except NoSuchRecord as missing:
        return refuse(request, str(missing), 404)
    read = read_trial_lines(request.POST.get("lines", "")[:LONGEST_TEXT], scheme)
    data = request.POST
    context = {"root": root, **panel(scheme, read, data.getlist("drawn"), data.getlist("held"), data)}
    return render(request, "curating/_trace.html", context)


def panel(scheme: Scheme, read: TrialLines, drawn: list[str], held: list[str], data: Any) -> dict[str, Any]:
    """The keyboard picture and what the trials come to."""
    known = [*(stop.id for stop in scheme.stops), *(coupler.id for coupler in scheme.couplers)]
    return {
        "tried": {
            "knobs": [{"id": one, "label": stop_name(scheme, one), "drawn": one in drawn} for one in known],
            "keyboards": keyboards_of(scheme, held),
        },
        "judged": [
            {
                "name": f"heard|{stop}|{key}",
                "label": f"{stop_name(scheme, stop)} {key_name(scheme.keyboard_of(stop), key)}",
                "as": data.get(f"heard|{stop}|{key}", ""),
            }
            for stop, key in _asked(scheme, drawn, held)
        ],
        "trace": trace(scheme, read),
    }


def _asked(scheme: Scheme, drawn: list[str], held: list[str]) -> list[tuple[str, int]]:
    """Notes of the stops drawn at the keys held on their own keyboards."""
    keys = _keys(scheme, held)
    found = [
        (stop.id, key)
        for stop in scheme.stops
        if stop.id in drawn
        for board, key in keys
        if stop.keyboard == board
    ]
    return found[:MOST_JUDGED]


def _keys(scheme: Scheme, held: list[str]) -> list[tuple[str, int]]:
    found = []
    for one in held[:20]:
        board, _colon, key = one.rpartition(":")
        if board in scheme.keyboard and key.isdecimal() and 1 <= int(key[:4]) <= scheme.keyboard[board].keys:
            found.append((board, int(key)))
    return found


def _added(lines: str, scheme: Scheme, data: Any) -> tuple[str, str]:
    """The trial set on the keyboard picture, written as a line behind the others."""
    drawn = [
        one for one in data.getlist("drawn") if one in scheme.stop or one in {c.id for c in scheme.couplers}
    ]
    keys = _keys(scheme, data.getlist("held"))
    told = []
    for stop, key in _asked(scheme, drawn, data.getlist("held")):
        manner = data.get(f"heard|{stop}|{key}", "")
        if manner in ("speaks", "weak", "silent"):
            told.append(f"{stop} {key_name(scheme.keyboard_of(stop), key)} {manner}")
    also = " ".join(data.get("also", "").split())[:300]
    told += [also] if also else []
    told += ["nothing else"] if data.get("nothing_else") else []
    if not told:
        return lines, _("Say how it answered, or that nothing else sounded.")
    names = " + ".join(stop_name(scheme, one) for one in drawn) or "no stop"
    line = f"{names} | {held_keys(scheme, sorted(keys))}: {'; '.join(told)}"
    return f"{lines.rstrip()}\n{line}".lstrip(), _("Added as a line; not saved yet.")


def _chosen(request: HttpRequest, surveys: list[Survey], specification: Specification) -> Survey | None:
    """The visit asked for, else the last that may still be written, else the last with trials, else the last."""
    code = request.POST.get("survey") or request.GET.get("survey")
    for one in surveys:
        if one.code == code:
            return one
    tried = set(Trial.objects.filter(specification=specification).values_list("survey_id", flat=True))
    order = sorted(surveys, key=lambda s: (not s.signed, s.pk in tried))
    return order[-1] if order else None


def _save(
    request: HttpRequest,
    root: Instrument,
    survey: Survey | None,
    specification: Specification,
    scheme: Scheme,
    lines: str,
) -> HttpResponse | tuple[str, int]:
    read = read_trial_lines(lines, scheme)
    if survey is None:
        return _("There is no survey yet: write the visit down first, then its trials."), 422
    if read.questions:
        return _("Not saved yet: some lines are asked about. Answer or take them out."), 422
    try:
        save_trials(
            root,
            survey,
            specification,
            read.trials,
            version=posted_version(request),
            by=request.user,  # type: ignore[arg-type]
            why=request.POST.get(WHY, "")
            or _("note trials of the visit of %(when)s") % {"when": survey.when},
        )
    except StaleRecord as stale:
        words = _(
            "%(who)s changed the record meanwhile. Your lines are here; open the page anew beside it and save again."
        )
        return words % {"who": stale.who}, 409
    except ValidationError as refused:
        return " ".join(refused.messages[:3]), 422
    messages.success(request, _("Saved."), extra_tags=request.path)
    return redirect(f"{request.path}?survey={survey.code}")
