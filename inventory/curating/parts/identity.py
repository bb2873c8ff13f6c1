"""What and where."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext_lazy as _

from inventory.models import FieldState, Instrument, Root, Tie

from .values import FieldGroup, Part, Reader, RowKind

TIES = RowKind(
    "ties",
    Tie,
    _("Ties to other instruments"),
    _("a tie to another instrument"),
    ("kind", "other", "certainty", "note"),
    related=("other",),
    help=_("Parts that live on elsewhere, a copied idea, a twin."),
)


def gather(root: Root, _reader: Reader) -> Mapping[str, Any]:
    return {"why_empty": dict(FieldState.objects.filter(instrument=root).values_list("about", "state"))}


IDENTITY = Part(
    "identity",
    _("What and where"),
    Instrument,
    groups=(
        FieldGroup(
            "main",
            _("Name and place"),
            ("name", "status", "status_since", "place", "summary", "summary_fr", "summary_es"),
        ),
        FieldGroup(
            "voice",
            _("Action, pitch and wind"),
            ("action", "pitch_hz", "pitch_temperature_c", "temperament", "wind_pressure_mm"),
        ),
        FieldGroup(
            "private",
            _("Never published"),
            ("owner", "contact", "value_estimate", "store", "access_note", "working_note"),
            help=_(
                "Owner, value, store and ways in help a thief as much as a friend: they stay with the team."
            ),
            says_why_empty=False,
        ),
        FieldGroup(
            "audience",
            _("Who may know of it"),
            ("audience",),
            says_why_empty=False,
        ),
    ),
    rows=(TIES,),
    template="curating/parts/identity.html",
    gather=gather,
)
