"""Tables of what stands at the console besides stops: controls, couplers, accessories, and counts."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import choices
from publishing.disclosure.values import PublicInstrument, SpecificationValue

from .columns import Table, text, to, truth, whole
from .scheme_tables import IN_SPECIFICATION, INSTRUMENT, OF_SPECIFICATION, SPECIFICATION, Rows, joined

CONTROLS = Table(
    "controls",
    _("Controls"),
    _("Knobs, tablets and levers, one row a position. Positions of one control exclude each other."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("control", _("Code of the control within the specification."), required=True),
        whole("position", _("Number of the position, from 1."), required=True, lowest=1),
        text("label", _("As written at the console.")),
        text("kind", _("Kind of control.")),
        text("stops", _("Codes of the stops this position draws, separated by spaces.")),
    ),
    (*IN_SPECIFICATION, "control", "position"),
    (OF_SPECIFICATION,),
)
COUPLERS = Table(
    "couplers",
    _("Couplers"),
    _("A coupler takes a key of one keyboard to the key with its note plus the shift on another (or the same) one."),
    (
        INSTRUMENT,
        SPECIFICATION,
        text("coupler", _("Code of the coupler within the specification."), required=True),
        text("label", _("As written at the console, else its code.")),
        text("from_keyboard", _("Keyboard that is played."), required=True),
        text("to_keyboard", _("Keyboard that answers."), required=True),
        whole("shift_semitones", _("From the key played to the key that answers."), unit=_("semitones"), required=True),
        text("moves", _("The key (its own couplers follow) or the channel (they do not)."), required=True,
             values=("key", "channel")),
        truth("is_permanent", _("Always on, such as a pull-down pedal: never sharing."), required=True),
    ),
    (*IN_SPECIFICATION, "coupler"),
    (
        to(*IN_SPECIFICATION, "from_keyboard", table="keyboards", there=(*IN_SPECIFICATION, "keyboard")),
        to(*IN_SPECIFICATION, "to_keyboard", table="keyboards", there=(*IN_SPECIFICATION, "keyboard")),
    ),
)  # fmt: skip
ACCESSORIES = Table(
    "accessories",
    _("Accessories"),
    _("Tremulants, bells, winds: named at the console, no stops."),
    (
        INSTRUMENT,
        SPECIFICATION,
        whole("row", _("Number of the row within the specification."), required=True, lowest=1),
        text("label", _("As written at the console."), required=True),
    ),
    (*IN_SPECIFICATION, "row"),
    (OF_SPECIFICATION,),
)
COUNTS = Table(
    "counts",
    _("Counts"),
    _("Numbers kept with how they were counted; counts that disagree stand side by side."),
    (
        INSTRUMENT,
        SPECIFICATION,
        whole("row", _("Number of the row within the specification."), required=True, lowest=1),
        text("what", _("What was counted."), required=True, values=("knobs", "stops", "ranks", "pipes")),
        whole("number", _("How many."), required=True, lowest=0),
        text("how", _("How they were counted."), required=True, values=tuple(choices.HowCounted.values)),
        text("note", _("Note.")),
    ),
    (*IN_SPECIFICATION, "row"),
    (OF_SPECIFICATION,),
)


def control_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a position of a control."""
    for (label, kind, _drawn), control in zip(spec.knobs, spec.scheme.controls, strict=True):
        for position, stops in enumerate(control.positions, start=1):
            yield (
                organ.reference, spec.code, control.id, position, label, kind, joined(sorted(stops)),
            )  # fmt: skip


def coupler_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a coupler."""
    for told, coupler in zip(spec.couplers, spec.scheme.couplers, strict=True):
        yield (
            organ.reference, spec.code, coupler.id, told[0], coupler.origin, coupler.target, coupler.shift,
            coupler.moves, coupler.always,
        )  # fmt: skip


def accessory_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row an accessory."""
    for row, label in enumerate(spec.accessories, start=1):
        yield organ.reference, spec.code, row, label


def count_rows(organ: PublicInstrument, spec: SpecificationValue) -> Rows:
    """One row a count."""
    for row, one in enumerate(spec.counts, start=1):
        yield organ.reference, spec.code, row, one.what, one.number, one.how, one.note
