"""Sources: what each statement rests on, and what sources say against each other."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import Citation, Claim, Consent, Instrument, Maker, Place, Root, Source
from inventory.visibility import readable

from .values import FieldGroup, Part, Reader, RowKind

CITATIONS = RowKind(
    "citations",
    Citation,
    _("What rests on which source"),
    _("a citation"),
    ("about", "source", "locator", "certainty", "quote", "note", "audience"),
    related=("source",),
)
CLAIMS = RowKind(
    "claims",
    Claim,
    _("What sources say against each other"),
    _("a claim"),
    ("about", "value", "source", "locator", "certainty", "preferred", "because", "audience"),
    related=("source",),
)
CONSENTS = RowKind(
    "consents",
    Consent,
    _("Consents to publish"),
    _("a consent"),
    ("group", "given_by", "when", "until", "withdrawn"),
)

SOURCES = Part(
    "sources",
    _("Sources"),
    Instrument,
    rows=(CITATIONS, CLAIMS, CONSENTS),
    is_fetched_later=True,
)
SOURCES_OF_MAKER = Part("sources", _("Sources"), Maker, rows=(CITATIONS, CLAIMS))
SOURCES_OF_PLACE = Part("sources", _("Sources"), Place, rows=(CITATIONS, CLAIMS))

SOURCE = Part(
    "identity",
    _("The source"),
    Source,
    groups=(
        FieldGroup(
            "main",
            _("Title and place"),
            ("name", "kind", "author", "when", "held_at", "shelfmark", "quality"),
            says_why_empty=False,
        ),
        FieldGroup("text", _("Its words"), ("transcription", "translation"), says_why_empty=False),
        FieldGroup("private", _("Named persons only"), ("informant",), says_why_empty=False),
        FieldGroup("audience", _("Who may know of it"), ("audience",), says_why_empty=False),
    ),
    template="curating/parts/identity.html",
)


def uses(root: Root, reader: Reader) -> Mapping[str, Any]:
    """Instruments the reader may know of that rest on this source."""
    found = Instrument.objects.filter(readable(reader.user, "instrument"), citations__source=root)
    return {"instruments": found.distinct().order_by("reference")[:200]}


SOURCE_USES = Part("uses", _("Cited by"), Source, template="curating/parts/instruments.html", gather=uses)
