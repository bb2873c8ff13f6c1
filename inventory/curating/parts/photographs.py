"""Photographs: what there is, with credit, licence and consent."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import Instrument, Photograph, Root

from .values import Part, Reader, RowKind

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


def gather(root: Root, reader: Reader) -> Mapping[str, Any]:
    """The pictures this reader may see."""
    return {"pictures": [row for row in root.photographs.all() if reader.may_read_row(row)]}


PHOTOGRAPHS = Part(
    "photographs",
    _("Photographs"),
    Instrument,
    rows=(PICTURES,),
    template="curating/parts/photographs.html",
    gather=gather,
    is_fetched_later=True,
)
