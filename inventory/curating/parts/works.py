"""Works: what would be done, in which phases, at what cost, with whose help."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import CostLine, Funding, Instrument, Package, Phase

from .values import Part, RowKind

PACKAGES = RowKind(
    "packages",
    Package,
    _("Options"),
    _("an option"),
    ("option", "name", "target_state", "chosen", "audience_note"),
)
PHASES = RowKind(
    "phases",
    Phase,
    _("Phases"),
    _("a phase"),
    ("name", "when", "leaves", "order"),
    within="package",
    related=("package",),
)
COST_LINES = RowKind(
    "cost-lines",
    CostLine,
    _("Cost lines"),
    _("a cost line"),
    (
        "phase", "kind", "text", "quantity", "unit", "low", "likely", "high", "currency", "price_year",
        "basis", "defect",
    ),
    within="package",
    related=("package", "phase", "defect"),
    help=_("Always an estimate, never a tender."),
)  # fmt: skip
FUNDING = RowKind(
    "funding",
    Funding,
    _("Money in sight"),
    _("a funding line"),
    ("state", "amount", "giver", "printed_as"),
    within="package",
    related=("package",),
)

WORKS = Part(
    "works",
    _("Works"),
    Instrument,
    rows=(PACKAGES, PHASES, COST_LINES, FUNDING),
    is_fetched_later=True,
)
