"""Works: what would be done, in which phases, at what cost, with whose help."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import CostLine, Funding, Instrument, Package, Phase, Rate, WorksPlan

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
        "phase", "kind", "step", "text", "printed_as", "quantity", "unit", "quantity_from", "defect", "rank",
        "pipe_state", "rate", "low", "likely", "high", "currency", "price_year", "basis",
    ),
    within="package",
    related=("package", "phase", "defect__kind", "rank", "rate"),
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

RATES = RowKind(
    "rates",
    Rate,
    _("Rates"),
    _("a rate"),
    (
        "name", "unit", "hours_low", "hours_likely", "hours_high", "hourly", "material", "price_year", "basis",
    ),
    help=_("Hours for one unit, and what an hour costs. Never printed in a brief."),
)  # fmt: skip
PLAN = RowKind(
    "works-plan",
    WorksPlan,
    _("What the estimate rests on"),
    _("the plan of works"),
    (
        "tax_percent", "tax_note", "inflation_percent", "contingency_percent", "pipe_gift", "money_to_put_back",
        "dry_store", "ownership", "solvency", "climate",
    ),
    help=_("One for each instrument."),
)  # fmt: skip

WORKS = Part(
    "works",
    _("Works"),
    Instrument,
    rows=(PACKAGES, PHASES, COST_LINES, FUNDING, RATES, PLAN),
    template="curating/parts/works.html",
    is_fetched_later=True,
)
