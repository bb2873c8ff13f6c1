"""Makers: persons and firms, the forms of their names, their ties and works."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import AuthorityId, Instrument, Maker, MakerName, MakerTie, Root
from inventory.visibility import WIDENING, readable

from .values import FieldGroup, Part, Reader, RowKind

MAKER = Part(
    "identity",
    _("Who"),
    Maker,
    groups=(
        FieldGroup(
            "main",
            _("Name and dates"),
            (
                "name",
                "sort_name",
                "kind",
                "began",
                "ended",
                "active",
                "workshop_place",
                "note",
                "note_fr",
                "note_es",
            ),
        ),
        FieldGroup("private", _("Named persons only"), ("private_note",), says_why_empty=False),
        FieldGroup("audience", _("Who may know of it"), ("audience",), says_why_empty=False),
    ),
    template="curating/parts/identity.html",
)
MAKER_NAMES = Part(
    "names",
    _("Names and ties"),
    Maker,
    rows=(
        RowKind(
            "names",
            MakerName,
            _("Other forms of the name"),
            _("a form of the name"),
            ("name", "language", "where_found"),
        ),
        RowKind(
            "ties",
            MakerTie,
            _("Ties to other makers"),
            _("a tie to another maker"),
            ("kind", "other", "when", "certainty", "said_by"),
            related=("other",),
            help=_("Never merged by a machine: say “perhaps the same as” and on whose word."),
        ),
        RowKind(
            "numbers",
            AuthorityId,
            _("Numbers in public lists of names"),
            _("a number in a public list"),
            ("code", "value"),
        ),
    ),
)


def works(root: Root, reader: Reader) -> Mapping[str, Any]:
    """Instruments of this maker the reader may know of."""
    audiences = WIDENING[: WIDENING.index(reader.audience) + 1]
    found = Instrument.objects.filter(readable(reader.user, "instrument")).by_maker(root, audiences)
    return {"instruments": found.order_by("reference")[:200]}


MAKER_WORKS = Part(
    "instruments", _("Instruments"), Maker, template="curating/parts/instruments.html", gather=works
)
