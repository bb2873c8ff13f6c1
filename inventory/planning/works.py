"""Works of one instrument as budgets: chosen packages together, every other by itself."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal

from django.db.models import Max
from django.utils.translation import gettext as _

from inventory.estimates import budgets
from inventory.estimates.errors import EstimateError
from inventory.estimates.funding import GiftLevel, Position, funding_position, gift_table
from inventory.estimates.pert import ThreePoint
from inventory.models import CostLine, Funding, Instrument, Package, Phase, Survey, WorksPlan

from .quantities import Counted, Quantities

Option = Package.Option


@dataclass(frozen=True)
class LineEstimate:
    """A line with its quantity; its amounts in each phase stand in the budget."""

    row: CostLine
    counted: Counted
    each: ThreePoint

    @property
    def price_year(self) -> int:
        return self.row.rate.price_year if self.row.rate else self.row.price_year

    @property
    def basis(self) -> str:
        return self.row.rate.basis if self.row.rate else self.row.basis


@dataclass(frozen=True)
class PhaseEstimate:
    """A phase, what it costs, and its lines beside their amounts. Without a row: lines in no phase yet."""

    row: Phase | None
    budget: budgets.PhaseBudget
    lines: tuple[tuple[LineEstimate, budgets.LineAmount], ...]


@dataclass(frozen=True)
class PackageEstimate:
    """One package of works and what it costs."""

    row: Package
    phases: tuple[PhaseEstimate, ...]
    lines: tuple[LineEstimate, ...]

    @property
    def total(self) -> int:
        return sum(phase.budget.total for phase in self.phases)


@dataclass(frozen=True)
class Works:
    """Everything about the works of one instrument, in one currency."""

    plan: WorksPlan
    level: int | None
    """Deepest recording level of its surveys."""
    terms: budgets.Terms
    currency: str
    packages: tuple[PackageEstimate, ...]
    budget: budgets.Budget
    """Of the chosen packages together."""
    funding: tuple[Funding, ...]
    position: Position
    gifts: tuple[GiftLevel, ...]
    problem: str = ""
    """Why there are no sums, where the rows do not allow any."""

    @property
    def chosen(self) -> tuple[PackageEstimate, ...]:
        return tuple(package for package in self.packages if package.row.chosen)

    def of_option(self, option: str) -> tuple[PackageEstimate, ...]:
        """Packages under an option; none where it was not worked out."""
        return tuple(package for package in self.packages if package.row.option == option)

    @property
    def price_years(self) -> tuple[int, ...]:
        return tuple(sorted({line.price_year for package in self.chosen for line in package.lines}))


def read_works(instrument: Instrument) -> Works:
    """Read the rows and work out the sums: the one place where money is added up."""
    plan = instrument.works_plans.first() or WorksPlan(instrument=instrument, code="plan")
    level = Survey.objects.filter(instrument=instrument).aggregate(deepest=Max("level"))["deepest"]
    quantities = Quantities(instrument)
    rows = list(instrument.packages.prefetch_related("phases", "lines__rate", "lines__rank", "lines__defect"))
    lines = {package.pk: [_line(line, quantities) for line in package.lines.all()] for package in rows}
    currencies = sorted({line.row.currency for found in lines.values() for line in found})
    terms = _terms(plan, level)
    funding = tuple(
        Funding.objects.filter(package__in=[row for row in rows if row.chosen]).select_related("package")
    )
    problem = ""
    if len(currencies) > 1:
        problem = _("Lines are in several currencies (%(all)s); one estimate has one: correct the lines.") % {
            "all": ", ".join(currencies)
        }
    try:
        chosen = [row for row in rows if row.chosen]
        budget, estimates = _estimate([] if problem else chosen, lines, terms)
        for row in [] if problem else [row for row in rows if not row.chosen]:
            estimates |= _estimate([row], lines, terms)[1]
    except EstimateError as refused:
        problem, estimates = str(refused), {}
        budget = budgets.make_budget([], [], terms)
    position = funding_position(
        budget.total,
        secured=_sum(funding, Funding.Certain.SECURED),
        pledged=_sum(funding, Funding.Certain.PLEDGED),
        applied=_sum(funding, Funding.Certain.APPLIED),
    )
    return Works(
        plan,
        level,
        terms,
        currencies[0] if currencies else "",
        tuple(estimates.get(row.pk, PackageEstimate(row, (), tuple(lines[row.pk]))) for row in rows),
        budget,
        funding,
        position,
        gift_table(position.gap),
        problem,
    )


def contingency_of(plan: WorksPlan, level: int | None) -> float:
    """In per cent: as the plan says, else by the deepest recording level (nobody looked: the highest)."""
    if plan.contingency_percent is not None:
        return float(plan.contingency_percent)
    return budgets.CONTINGENCY_PERCENT[level or 0]


def middle_of(phase: Phase) -> float | None:
    """The middle of a phase's time as a year with its fraction; None where its dates do not say."""
    first, last = phase.when_earliest, phase.when_latest
    if first is None or last is None:
        return None
    return (_as_year(first) + _as_year(last)) / 2


def _as_year(day: date) -> float:
    start = date(day.year, 1, 1)
    return day.year + (day - start).days / (date(day.year, 12, 31) - start).days


def _terms(plan: WorksPlan, level: int | None) -> budgets.Terms:
    return budgets.Terms(
        contingency_of(plan, level), float(plan.inflation_percent or 0), float(plan.tax_percent or 0)
    )


def _line(row: CostLine, quantities: Quantities) -> LineEstimate:
    if row.rate is not None:
        prices = [
            hours * row.rate.hourly + row.rate.material
            for hours in (row.rate.hours_low, row.rate.hours_likely, row.rate.hours_high)
        ]
    else:
        prices = [price or Decimal(0) for price in (row.low, row.likely, row.high)]
    return LineEstimate(row, quantities.of(row), ThreePoint(*(float(price) for price in prices)))


def _estimate(
    packages: Sequence[Package], lines: dict[int, list[LineEstimate]], terms: budgets.Terms
) -> tuple[budgets.Budget, dict[int, PackageEstimate]]:
    """One budget of these packages, and each package's share of it."""
    phases = {(package.code, phase.code): phase for package in packages for phase in package.phases.all()}
    known = {(package.code, line.row.code): line for package in packages for line in lines[package.pk]}
    made = budgets.make_budget(
        [
            budgets.Line(
                code,
                line.row.phase.code if line.row.phase_id and line.row.phase else "",
                float(line.counted.value),
                line.each,
                line.price_year,
                provisional=line.row.kind == CostLine.Kind.PROVISIONAL,
                repeated=line.row.kind == CostLine.Kind.REPEATED,
                package=package,
            )
            for (package, code), line in known.items()
        ],
        [budgets.Phase(code, middle_of(phase), package) for (package, code), phase in phases.items()],
        terms,
    )
    estimates = {}
    for package in packages:
        own = tuple(
            PhaseEstimate(
                phases.get((package.code, phase.code)),
                phase,
                tuple((known[package.code, amount.code], amount) for amount in phase.lines),
            )
            for phase in made.phases
            if phase.package == package.code
        )
        estimates[package.pk] = PackageEstimate(package, own, tuple(lines[package.pk]))
    return made, estimates


def _sum(funding: Sequence[Funding], state: str) -> float:
    return float(sum((one.amount for one in funding if one.state == state), Decimal(0)))
