"""Pages to print for the loft: the shortest test plan, and a blank sheet for a visit."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_GET

from inventory.management.fault_words import cautions
from inventory.models import Instrument, Part
from inventory.organ.schemes import Scheme
from inventory.organ.trial_writing import key_name, stop_name
from inventory.schemes import NoSuchRecord, find_specification, scheme_of

from ..access import find_record, signed_in
from ..loft_plans import chest_orders, left_words, plan_of, steps_of


@require_GET
@signed_in
def show_plan(request: HttpRequest, reference: str) -> HttpResponse:
    """The fewest trials after which every part is cleared, if all goes as it should."""
    root = find_record(request, Instrument, reference)
    scheme = _scheme(root)
    context = {"root": root, "kind": Instrument, "scheme": scheme, "cautions": cautions()}
    if scheme is not None:
        plan = plan_of(scheme)
        context |= {
            "plan": plan,
            "number": len(plan.trials),
            "steps": steps_of(scheme, plan),
            "left": left_words(scheme, plan.left),
            "never": len(plan.never_told),
            "are_knobs_proved": plan.knob_changes == plan.knob_changes_at_least,
        }
    return render(request, "curating/test_plan.html", context)


@require_GET
@signed_in
def show_sheet(request: HttpRequest, reference: str) -> HttpResponse:
    """A blank sheet in the order of work, with this organ's stops, keys and chests."""
    root = find_record(request, Instrument, reference)
    scheme = _scheme(root)
    context = {
        "root": root,
        "kind": Instrument,
        "scheme": scheme,
        "cautions": cautions(),
        "parts": Part.objects.filter(instrument=root).select_related("kind"),
    }
    if scheme is not None:
        steps = steps_of(scheme, plan_of(scheme))
        single = [step.codes[0] for step in steps if len(step.codes) == 1]
        order = [*dict.fromkeys(single), *(s.id for s in scheme.stops if s.id not in single)]
        context |= {
            "stops": [_stop(scheme, one) for one in order if scheme.stop[one].state == "present"],
            "several": [step for step in steps if len(step.codes) > 1],
            "chests": chest_orders(scheme),
        }
    return render(request, "curating/field_sheet.html", context)


def _stop(scheme: Scheme, one: str) -> dict[str, object]:
    """A stop with the keys that should speak."""
    stop, board = scheme.stop[one], scheme.keyboard_of(one)
    first, last = stop.keys or (1, board.keys)
    return {
        "name": stop_name(scheme, one),
        "board": board.id,
        "keys": [key_name(board, key) for key in range(first, last + 1)],
    }


def _scheme(root: Instrument) -> Scheme | None:
    try:
        return scheme_of(find_specification(root.reference))
    except NoSuchRecord:
        return None
