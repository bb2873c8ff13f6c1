"""The blank field sheet: this organ's stops, keys and chests in the order of work, to be filled in on site."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from inventory.curating.loft_plans import chest_orders, names_of_parts, plan_of, steps_of
from inventory.management.fault_words import cautions
from inventory.models import Instrument
from inventory.organ.schemes import Scheme
from inventory.organ.trial_writing import key_name, stop_name
from inventory.schemes import NoSuchRecord, find_specification, scheme_of

from .typesetting import may_break, typeset


def make_field_sheet(instrument: Instrument, language: str) -> bytes:
    """The sheet as a PDF; it holds nothing but names of stops, keys, chests and parts."""
    with translation.override(language):
        return typeset("field_sheet", sheet_data(instrument), language)


def sheet_data(instrument: Instrument) -> dict[str, Any]:
    """What the template prints."""
    try:
        scheme = scheme_of(find_specification(instrument.reference))
    except NoSuchRecord:
        scheme = None
    data: dict[str, Any] = {
        "title": _("%(name)s: field sheet") % {"name": instrument.name},
        "name": instrument.name,
        "kicker": _("Field sheet"),
        "blanks": [
            _("Date, from when to when"), _("Who looked, who played"), _("Recording level, 0 to 5"),
            _("Not reached, and why"), _("°C at the pipes: before, after"),
            _("Relative humidity, %: before, after"), _("Wind at the chest, mm of water"),
            _("a′ of a flue stop, Hz, which stop"),
        ],
        "cautions_heading": _("Before anything else"),
        "cautions": cautions(),
        "order_heading": _("Order of work"),
        "order": [
            _("Photograph everything as it is. Clean, tune and move nothing."),
            _(
                "Note temperature, humidity and, where the organ is winded as a habit, the pressure after "
                "fifteen minutes."
            ),
            _("No stop, nothing held: listen. Then each stop with nothing held."),
            _(
                "Each stop alone, every key, from the lowest up. Write what does not speak and the range that "
                "was tried."
            ),
            _("Two and three stops together, for shared pipes and neighbours."),
            _("Couplers one by one, then chords."),
            _("Note the air again, and sign what was moved: nothing, if possible."),
        ],
        "alone_heading": _("Each stop alone"),
        "alone_hint": _(
            "Strike out what speaks; write w for weak, x for silent, a circle round a note that sounds unasked. "
            "An empty box was not tried."
        ),
        "held": _("nothing held: silent"),
        "tried": _("tried from … to …"),
        "several_heading": _("Several stops together"),
        "several_heads": [_("Hold"), _("Should stay silent: listen"), _("Silent"), _("What was heard")],
        "chests_heading": _("The chests, seen from above"),
        "front": _("Stops from front to back"),
        "unknown": _("The order of its channels is not recorded: draw it here."),
        "parts_heading": _("Part by part"),
        "parts_heads": [
            _("Part"), _("Looked at"), _("Condition 0–3"), _("Urgency 0–3"), _("Measures 0–3"), _("Playability"),
            _("Integrity"),
        ],
        "parts": [may_break(name) for name in names_of_parts(instrument)],
        "stops": [], "several": [], "chests": [],
        "running": f"{settings.COLLECTION_NAME} · {instrument.reference}",
        "foot": _("%(reference)s, version %(version)s") % {
            "reference": instrument.reference, "version": instrument.version,
        },
        "page_word": _("page %(n)s of %(total)s") % {"n": "%n", "total": "%total"},
    }  # fmt: skip
    return data if scheme is None else data | _of_scheme(scheme)


def _of_scheme(scheme: Scheme) -> dict[str, Any]:
    steps = steps_of(scheme, plan_of(scheme))
    single = [step.codes[0] for step in steps if len(step.codes) == 1]
    order = dict.fromkeys([*single, *(stop.id for stop in scheme.stops)])
    stops = []
    for one in order:
        stop, board = scheme.stop[one], scheme.keyboard_of(one)
        first, last = stop.keys or (1, board.keys)
        if stop.state == "present":
            keys = [key_name(board, key) for key in range(first, last + 1)]
            stops.append({"name": may_break(f"{board.id} · {stop_name(scheme, one)}"), "keys": keys})
    return {
        "stops": stops,
        "several": [
            {
                "name": may_break(step.stops),
                "rows": [[line.keys, may_break(line.listen) or "–"] for line in step.lines],
            }
            for step in steps
            if len(step.codes) > 1
        ],
        "chests": chest_orders(scheme),
    }
