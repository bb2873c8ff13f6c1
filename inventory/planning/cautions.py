"""What to settle before money is spent: computed from the plan and the lines, said in words."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.models import CostLine, WorksPlan
from inventory.models.choices import Knowledge

from .money import say_amount
from .works import PackageEstimate, Works

Step = CostLine.Step
SETTLED = (WorksPlan.Settled.YES, WorksPlan.Settled.NOT_NEEDED)


@dataclass(frozen=True)
class Caution:
    """One caution: a code for programs, a sentence for people."""

    code: str
    text: str


def cautions_of(works: Works) -> list[Caution]:
    """Cautions of the chosen packages, the gravest first; each stands once."""
    found: dict[str, Caution] = {}
    for package in works.chosen:
        for caution in (*_dismantling(works, package), *_order(package), *_lines(package)):
            found.setdefault(caution.code + caution.text, caution)
    if works.chosen:
        for caution in _always(works):
            found.setdefault(caution.code, caution)
    return list(found.values())


def _steps(package: PackageEstimate) -> list[set[str]]:
    """Steps of each phase, in the order of the phases."""
    return [{line.row.step for line, _amount in phase.lines} for phase in package.phases]


def _dismantling(works: Works, package: PackageEstimate) -> Iterator[Caution]:
    """Nothing is taken down before the money to put it back, a dry store, ownership and solvency."""
    steps = _steps(package)
    first = next((n for n, found in enumerate(steps) if Step.DISMANTLE in found), None)
    if first is None:
        return
    needed = sum(phase.budget.total for phase in package.phases[: _last_erecting(steps, first) + 1])
    if works.position.secured < needed and works.plan.money_to_put_back != WorksPlan.Settled.YES:
        yield Caution(
            "money-to-put-back",
            _(
                "Do not dismantle yet: %(needed)s %(currency)s would take it down and put it back, "
                "%(secured)s are secured. Organs in pieces without money are those most often lost."
            )
            % {
                "needed": say_amount(needed),
                "currency": works.currency,
                "secured": say_amount(works.position.secured),
            },
        )
    if not any(Step.ERECT in found for found in steps[first:]):
        yield Caution(
            "no-putting-back",
            _("It is taken down and no line puts it back: add the putting back, with its money."),
        )
    for name, text in (
        ("dry_store", _("A dry, locked store with a list of the parts comes first, before anything is taken down.")),
        ("ownership", _("Settle in writing who owns the parts while they are away.")),
        ("solvency", _("Make sure of the builder’s solvency, and that parts and materials paid for are yours.")),
    ):  # fmt: skip
        if getattr(works.plan, name) not in SETTLED:
            yield Caution(name.replace("_", "-"), text)


def _last_erecting(steps: list[set[str]], first: int) -> int:
    return max((n for n, found in enumerate(steps) if Step.ERECT in found), default=len(steps) - 1)


def _order(package: PackageEstimate) -> Iterator[Caution]:
    """Safe, dry, wind, chests, action, pipes, tuning: each step after what it stands on."""
    steps = _steps(package)

    def last(step: str) -> int:
        return max((n for n, found in enumerate(steps) if step in found), default=-1)

    def first(step: str) -> int:
        return next((n for n, found in enumerate(steps) if step in found), len(steps))

    if first(Step.TUNE) < max(last(Step.WIND), last(Step.CHESTS)):
        yield Caution(
            "tuning-early",
            _("No tuning before the wind is tight: it stands in a phase before wind or chests."),
        )
    if first(Step.PIPES) < last(Step.CHESTS):
        yield Caution("pipes-early", _("Pipes are paid for before the chests they stand on are sound."))
    for number, found in enumerate(steps):
        if Step.OPEN in found and found - {
            Step.OPEN,
            Step.RECORD,
            Step.ACCESS,
            Step.ADVICE,
            Step.SAFE,
            Step.CLIMATE,
        }:
            name = package.phases[number].row
            yield Caution(
                "opening-with-work",
                _("Opening up is a phase of its own: what is found decides the rest (%(phase)s).")
                % {"phase": name.name if name else _("without a phase")},
            )  # fmt: skip


def _lines(package: PackageEstimate) -> Iterator[Caution]:
    """What nobody opened is a provisional sum; a line stands in a phase."""
    for line in package.lines:
        part = line.row.defect.part if line.row.defect else None
        unseen = part is not None and part.looked_at in (Knowledge.NOT_LOOKED_AT, Knowledge.NOT_ACCESSIBLE)
        if unseen and line.row.kind == CostLine.Kind.WORK:
            yield Caution(
                "not-opened",
                _("“%(part)s” has not been opened: make its line a provisional sum.") % {"part": part},
            )
    if any(phase.row is None and phase.lines for phase in package.phases):
        yield Caution("no-phase", _("Some lines stand in no phase yet."))
    if any(phase.row is not None and phase.row.when_latest is None for phase in package.phases):
        yield Caution("no-date", _("A phase has no dates: its prices are not carried forward."))


def _always(works: Works) -> Iterator[Caution]:
    """Documentation always; climate before return; what the sums leave out."""
    steps = {line.row.step for package in works.chosen for line in package.lines}
    kinds = {line.row.kind for package in works.chosen for line in package.lines}
    if Step.RECORD not in steps and CostLine.Kind.DOCUMENTATION not in kinds:
        yield Caution(
            "no-documentation", _("There is no line for documentation before, during and after the work.")
        )
    if Step.ERECT in steps and works.plan.climate not in SETTLED and Step.CLIMATE not in steps:
        yield Caution("climate", _("Cure the climate that did the harm before the organ comes back into it."))
    if works.plan.tax_percent is None:
        yield Caution("tax-unknown", _("Tax is not known and not included."))
    if works.plan.inflation_percent is None:
        yield Caution("inflation-unknown", _("Rising prices are left out: the plan gives no rate."))
