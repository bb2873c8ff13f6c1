"""Shared pipes: what the scheme of the current stoplist adds up to."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import Instrument, Root
from inventory.organ.answers import evaluate_answer
from inventory.organ.errors import OrganError
from inventory.saying_anew import in_words
from inventory.schemes import NoSuchRecord, find_specification, scheme_of

from .values import Part, Reader


def gather(root: Root, _reader: Reader) -> Mapping[str, Any]:
    """The sums and families, with the labels people know the stops by."""
    try:
        scheme = scheme_of(find_specification(root.reference))
        sums = evaluate_answer(scheme)
    except NoSuchRecord:
        return {"sums": None}
    except OrganError as error:
        return {"sums": None, "unreadable": in_words(error.message)}
    if not scheme.segments:
        return {"sums": None}
    labels = {stop.id: stop.name or stop.id for stop in scheme.stops}
    families = [
        {
            "stops": [labels.get(stop, stop) for stop in family["stops"]],
            "ranks": family["ranks"],
            "patterns": sorted({pattern["pattern"] for pattern in family["patterns"]}),
        }
        for family in sums["families"]
    ]
    return {"sums": sums, "families": families, "labels": labels}


PIPES = Part(
    "pipes",
    _("Shared pipes"),
    Instrument,
    template="curating/parts/pipes.html",
    gather=gather,
    is_fetched_later=True,
)
