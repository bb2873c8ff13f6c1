"""The tables of a stoplist: keyboards, stops, controls, couplers, accessories."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from inventory.models import Accessory, Control, Coupler, Keyboard, Stop
from inventory.models.choices import KeyboardKind, StopState

from ..cells import Column
from ..grids import Sheet

HALVES = [("", _("whole")), ("bass", _("bass")), ("treble", _("treble"))]

KEYBOARDS = Sheet(
    "keyboard",
    Keyboard,
    _("Keyboards"),
    _("keyboard"),
    (
        Column("name", _("Name"), size=14),
        Column("kind", _("Kind"), "choice", choices=KeyboardKind.choices),
        Column("keys", _("Keys"), "number", 4),
        Column("low_note", _("Lowest key"), "note", 5),
        Column("notes", _("Notes, if there are gaps"), "notes", 12),
        Column("compass_as_written", _("Compass as written"), size=14),
    ),
)
STOPS = Sheet(
    "stop",
    Stop,
    _("Stops"),
    _("stop"),
    (
        Column("keyboard", _("Keyboard"), "row"),
        Column("label", _("Label as written"), size=18),
        Column("name", _("Name"), size=14),
        Column("footage", _("Footage"), size=6),
        Column("half", _("Half"), "choice", choices=HALVES),
        Column("first_key", _("From key"), "number", 4),
        Column("last_key", _("To key"), "number", 4),
        Column("state", _("State"), "choice", choices=StopState.choices),
        Column(
            "composition",
            _("Composition of a mixture"),
            "composition",
            22,
            is_further=True,
            hint=_("C: 2, 1 1/3, 1; c: 4, 2 2/3, 2"),
        ),
        Column("family", _("Family"), "row", is_further=True),
        Column("layer", _("Layer"), "row", is_further=True),
        Column("earlier_name", _("Earlier name"), size=14, is_further=True),
        Column("note", _("Note"), size=16, is_further=True),
    ),
    can_divide=True,
)
CONTROLS = Sheet(
    "control",
    Control,
    _("Knobs that draw several stops, or have several positions"),
    _("control"),
    (
        Column("label", _("Label as written"), size=14),
        Column("kind", _("Kind"), "choice", choices=Control.Kind.choices),
        Column(
            "draws",
            _("Draws, position by position"),
            size=30,
            hint=_("Flute 8 | Flute 8 + Flute 4"),
        ),
    ),
)
COUPLERS = Sheet(
    "coupler",
    Coupler,
    _("Couplers"),
    _("coupler"),
    (
        Column("label", _("Label as written"), size=14),
        Column("from_keyboard", _("From keyboard"), "row"),
        Column("to_keyboard", _("To keyboard"), "row"),
        Column("shift", _("Semitones"), "number", 4),
        Column("moves", _("Moves"), "choice", choices=Coupler.Moves.choices),
        Column(
            "always",
            pgettext_lazy("a coupler", "Works"),
            "yes",
            choices=[("", _("when it is drawn")), ("yes", _("permanently"))],
        ),
    ),
)
ACCESSORIES = Sheet(
    "accessory",
    Accessory,
    _("Accessories"),
    _("accessory"),
    (Column("label", _("Label as written"), size=24),),
)
STOPLIST_SHEETS = (KEYBOARDS, STOPS, CONTROLS, COUPLERS, ACCESSORIES)
