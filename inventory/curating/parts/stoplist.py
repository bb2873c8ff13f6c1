"""Stoplist: the dated specifications; the current one by keyboard."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import Instrument, Root, Specification, Stop

from .values import Part, Reader, RowKind

SPECIFICATIONS = RowKind(
    "specifications",
    Specification,
    _("Dated stoplists"),
    _("a stoplist"),
    ("name", "when", "basis", "layer", "is_current", "as_written", "language"),
    related=("layer",),
    shown=("when", "basis", "layer", "is_current"),
)


def gather(root: Root, _reader: Reader) -> Mapping[str, Any]:
    """The stoplist as it is now, else the latest dated one."""
    found = list(root.specifications.in_order())
    shown = next((one for one in found if one.is_current), found[-1] if found else None)
    if shown is None:
        return {"specification": None}
    stops = (
        Stop.objects.filter(specification=shown)
        .select_related("keyboard", "division")
        .order_by("keyboard__order", "keyboard__code", "order", "code")
    )
    by_keyboard: dict[str, dict[str, Any]] = {}
    for stop in stops:
        group = by_keyboard.setdefault(stop.keyboard.code, {"keyboard": stop.keyboard, "stops": []})
        group["stops"].append(stop)
    return {"specification": shown, "keyboards": list(by_keyboard.values())}


STOPLIST = Part(
    "stoplist",
    _("Stoplist"),
    Instrument,
    rows=(SPECIFICATIONS,),
    template="curating/parts/stoplist.html",
    gather=gather,
)
