"""Photographs: what there is, with credit, licence and consent."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import Instrument, Photograph

from .values import Part, RowKind

PICTURES = RowKind(
    "photographs",
    Photograph,
    _("Photographs and drawings"),
    _("a photograph"),
    (
        "shows", "caption", "order", "is_drawn", "when", "direction", "credit", "licence", "consent",
        "private_note", "audience",
    ),
    shown=("when", "direction", "credit", "licence", "consent", "audience"),
)  # fmt: skip

PHOTOGRAPHS = Part("photographs", _("Photographs"), Instrument, rows=(PICTURES,), is_fetched_later=True)
