"""Places: what and where, and what stands there."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import Instrument, Place, Root
from inventory.visibility import readable

from .values import FieldGroup, Part, Reader

PLACE = Part(
    "identity",
    _("The place"),
    Place,
    groups=(
        FieldGroup(
            "main",
            _("Name"),
            ("name", "other_names", "kind", "parent", "note", "note_fr", "note_es", "grid_degrees"),
        ),
        FieldGroup(
            "private",
            _("Never published"),
            ("latitude", "longitude", "access", "custodian"),
            says_why_empty=False,
        ),
        FieldGroup("audience", _("Who may know of it"), ("audience",), says_why_empty=False),
    ),
    template="curating/parts/identity.html",
)


def standing(root: Root, reader: Reader) -> Mapping[str, Any]:
    """Instruments here, or in a place inside it, that the reader may know of."""
    found = Instrument.objects.filter(readable(reader.user, "instrument")).standing_in(root)
    return {"instruments": found.order_by("reference")[:200]}


PLACE_INSTRUMENTS = Part(
    "instruments", _("Instruments here"), Place, template="curating/parts/instruments.html", gather=standing
)
