"""History: what happened, in which layers it left its mark, what parts there are and where they went."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import Event, Instrument, Layer, Movement
from inventory.models import Part as PartRow

from .values import Part, RowKind

EVENTS = RowKind(
    "events",
    Event,
    _("What happened"),
    _("an event"),
    (
        "kind", "when", "maker", "role", "attribution", "certainty", "place", "from_place", "layer", "silenced_by",
        "text",
        "documented_before", "audience",
    ),
    related=("kind", "maker", "role", "layer", "place", "from_place", "silenced_by"),
)  # fmt: skip
LAYERS = RowKind(
    "layers",
    Layer,
    _("Layers"),
    _("a layer"),
    ("name", "when", "maker", "attribution", "certainty", "older_than", "note"),
    related=("maker", "older_than"),
    help=_("A time and a hand. Pipes, parts and sharing are given to layers."),
)
PARTS_OF_IT = RowKind(
    "parts",
    PartRow,
    _("Parts"),
    _("a part"),
    ("name", "kind", "layer", "certainty", "looked_at", "description", "materials", "opening"),
    related=("kind", "layer"),
    help=_("Case, console, chests, bellows, sets of pipes: each with a life of its own."),
)
MOVEMENTS = RowKind(
    "movements",
    Movement,
    _("Movement register"),
    _("a movement"),
    ("when", "came_from", "went_to", "because", "on_whose_word", "return_expected"),
    within="part",
    related=("part",),
    help=_("No part leaves its place without a line here."),
)

HISTORY = Part(
    "history",
    _("History"),
    Instrument,
    rows=(EVENTS, LAYERS, PARTS_OF_IT, MOVEMENTS),
    template="curating/parts/history.html",
)
