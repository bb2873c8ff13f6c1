"""What a brief may say of one instrument: the public record, and what is made to be printed in a brief.

Without being asked, a brief tells no more than the catalogue could, and sums of the estimate,
for a brief without an amount asks for nothing. Texts on condition and works come with the
consent that stands for them. Asked for with `confidential`, those texts and the lines' own words
come along and every page is marked; owners, values, stores, access, sizes and persons never do.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.db import models
from django.utils.translation import gettext as _

from inventory.models import (
    CostLine,
    Defect,
    DefectObservation,
    Funding,
    Instrument,
    Package,
    PartCondition,
    Passage,
    Phase,
    Survey,
)
from inventory.models.choices import Audience, RecordState
from inventory.planning import PackageEstimate, Works, read_works
from inventory.planning.cautions import cautions_of
from inventory.planning.voices import read_given_pipes
from inventory.planning.works import PhaseEstimate
from inventory.visibility import group_of

from .door import CONSENT_GROUPS, consenting, without_control_signs
from .instruments import open_collection, read_instruments
from .parts import link, plain_number, when
from .values import DeviceValue, Names, PublicInstrument, When

ASKED = frozenset({"condition", "works", "costs"})
"""Groups a confidential brief may print beside what is public."""
Money = tuple[int, int, int]
"""Low, expected, high."""


class NotForBrief(LookupError):
    """No brief can be made of this record so; the message says what to do."""


@dataclass(frozen=True)
class LineValue:
    step: str
    """Code of the step of work."""
    text: str
    """Empty where only the step may be told."""
    quantity: str
    unit: str
    kind: str
    money: Money


@dataclass(frozen=True)
class PhaseValue:
    number: int
    name: str
    """Empty where it may not be told."""
    when: When | None
    leaves: str
    lines: tuple[LineValue, ...]
    contingency: int
    inflation: int
    tax: int
    total: int


@dataclass(frozen=True)
class PackageValue:
    option: str
    name: str
    target_state: str
    note: str
    chosen: bool
    total: int
    phases: tuple[PhaseValue, ...]


@dataclass(frozen=True)
class GivenValue:
    rank: str
    pipe: int
    note: str
    voices: tuple[str, ...]
    printed_as: str


@dataclass(frozen=True)
class WorksValue:
    """The estimate as a brief prints it: whole units of currency that add up."""

    currency: str
    level: int | None
    contingency_percent: str
    inflation_percent: str
    """Empty: not known, left out."""
    tax_percent: str
    """Empty: not known, left out."""
    price_years: tuple[int, ...]
    packages: tuple[PackageValue, ...]
    total: int
    works: int
    contingency: int
    inflation: int
    tax: int
    low_high: tuple[int, int]
    """Lines at all low and at all high prices."""
    correlated: tuple[int, int]
    independent: tuple[int, int]
    repeated_extra: int
    secured: int
    pledged: int
    applied: int
    gap: int
    surplus: int
    gifts: tuple[tuple[int | None, int, int], ...]
    """So many, each, together; None: many small ones."""
    givers: tuple[tuple[str, str], ...]
    """As they agreed to be printed, with how sure the money is."""
    pipe_gift: int | None
    given: tuple[GivenValue, ...]
    cautions: tuple[str, ...]

    @property
    def chosen(self) -> tuple[PackageValue, ...]:
        return tuple(package for package in self.packages if package.chosen)


@dataclass(frozen=True)
class DefectValue:
    kind: Names
    where: str
    course: str
    affected: int | None
    out_of: int | None


@dataclass(frozen=True)
class ConditionValue:
    """The last survey, as far as it may be told."""

    when: When | None
    level: int
    limits: str
    heard: int | None
    tried: int | None
    findings: str
    parts: tuple[tuple[str, int | None, int | None, int | None, str], ...]
    """Part; condition, urgency and recommendation class 0 to 3; playability."""
    defects: tuple[DefectValue, ...]


@dataclass(frozen=True)
class PassageValue:
    text: str
    accepted: bool


@dataclass(frozen=True)
class BriefFacts:
    """Everything a brief is made from."""

    organ: PublicInstrument
    devices: Mapping[str, DeviceValue]
    works: WorksValue
    condition: ConditionValue | None
    """None: no survey, or nothing of it may be told."""
    tells_condition: bool
    passages: Mapping[str, PassageValue]
    confidential: bool


def read_brief_facts(
    reference: str, language: str, *, confidential: bool = False, for_drafts: bool = False
) -> BriefFacts:
    """The facts of one instrument; `language` chooses the passages.

    Passages are drafted for whoever works on the record, released or not, from what any brief may tell.
    """
    row = Instrument.objects.filter(reference=reference).first()
    if row is None:
        raise NotForBrief(_("There is no instrument %(reference)s.") % {"reference": reference})
    if not (confidential or for_drafts) and (
        row.state != RecordState.RELEASED or row.audience != Audience.PUBLIC
    ):
        raise NotForBrief(
            _("%(reference)s is not released for everybody: release it, or ask for a confidential brief.")
            % {"reference": reference}
        )
    consented = frozenset(group for group in CONSENT_GROUPS if consenting([row.pk], group))
    door = _Door(consented, confidential)
    collection = open_collection()
    if row.pk not in collection.instruments:
        own = link("instrument", {"reference": row.reference, "name": without_control_signs(row.name)})
        collection = replace(collection, instruments={**collection.instruments, row.pk: own})
    (organ,) = read_instruments([row.pk], collection)
    passages = Passage.objects.filter(instrument=row, language=language)
    tells = door.opens(Survey, "notes_heard")
    return BriefFacts(
        organ,
        collection.devices,
        _read_works(read_works(row), row, door),
        _read_condition(row, door) if tells else None,
        tells,
        {one.section: PassageValue(without_control_signs(one.text), one.accepted) for one in passages},
        confidential,
    )


@dataclass(frozen=True)
class _Door:
    """Which fields this brief may print: the one rule of visibility, and the groups asked for."""

    consented: frozenset[str]
    confidential: bool

    def opens(self, model: type[models.Model], field: str) -> bool:
        group = group_of(model, field)
        if group.audience == Audience.PUBLIC:
            allowed = not group.needs_consent or group.name in self.consented
        else:
            allowed = group.name == "briefs"
        return allowed or (self.confidential and group.name in ASKED)

    def text(self, row: models.Model, field: str) -> str:
        """The text of a field, or nothing where it may not be told."""
        if not self.opens(type(row), field):
            return ""
        return without_control_signs(str(getattr(row, field) or ""))


def _read_works(works: Works, instrument: Instrument, door: _Door) -> WorksValue:
    plan, budget, position = works.plan, works.budget, works.position
    return WorksValue(
        currency=works.currency,
        level=works.level,
        contingency_percent=f"{works.terms.contingency_percent:g}",
        inflation_percent=plain_number(plan.inflation_percent),
        tax_percent=plain_number(plan.tax_percent),
        price_years=works.price_years,
        packages=tuple(_package(package, door) for package in works.packages),
        total=budget.total,
        works=budget.works,
        contingency=budget.contingency,
        inflation=budget.inflation,
        tax=budget.tax,
        low_high=(budget.low, budget.high),
        correlated=budget.correlated,
        independent=budget.independent,
        repeated_extra=budget.repeated_extra,
        secured=position.secured,
        pledged=position.pledged,
        applied=position.applied,
        gap=position.gap,
        surplus=position.surplus,
        gifts=tuple((level.count, level.each, level.sum) for level in works.gifts),
        givers=tuple(
            (name, one.state)
            for one in works.funding
            if (name := _giver(one, door)) and one.state != "applied for"
        ),
        pipe_gift=None if plan.pipe_gift is None else round(plan.pipe_gift),
        given=_given(instrument, door),
        cautions=tuple(caution.text for caution in cautions_of(works)) if door.confidential else (),
    )


def _given(instrument: Instrument, door: _Door) -> tuple[GivenValue, ...]:
    """Pipes given, where the works may be told at all."""
    if not door.opens(Funding, "printed_as"):
        return ()
    return tuple(
        GivenValue(one.gift.rank.name, one.gift.pipe, one.note, one.voices, _giver(one.gift.funding, door))
        for one in read_given_pipes(instrument)
    )


def _giver(funding: Funding, door: _Door) -> str:
    """The giver's own consent is asked for by `printed_as`; works need one of their own besides."""
    return door.text(funding, "printed_as")


def _package(package: PackageEstimate, door: _Door) -> PackageValue:
    row: Package = package.row
    return PackageValue(
        row.option,
        door.text(row, "name"),
        door.text(row, "target_state"),
        door.text(row, "audience_note"),
        row.chosen,
        package.total,
        tuple(_phase(number, phase, door) for number, phase in enumerate(package.phases, start=1)),
    )


def _phase(number: int, phase: PhaseEstimate, door: _Door) -> PhaseValue:
    row: Phase | None = phase.row
    lines = []
    for estimate, amount in phase.lines:
        told = door.text(estimate.row, "printed_as") or door.text(estimate.row, "text")
        counted = plain_number(estimate.counted.value) if door.opens(CostLine, "quantity") else ""
        unit = door.text(estimate.row, "unit") if counted else ""
        lines.append(
            LineValue(
                estimate.row.step,
                told,
                counted,
                unit,
                estimate.row.kind,
                (amount.low, amount.expected, amount.high),
            )
        )
    dated = row is not None and door.opens(Phase, "when")
    return PhaseValue(
        number,
        door.text(row, "name") if row else "",
        when(row.when) if row is not None and dated else None,
        door.text(row, "leaves") if row else "",
        tuple(lines),
        phase.budget.contingency,
        phase.budget.inflation,
        phase.budget.tax,
        phase.budget.total,
    )


def _read_condition(instrument: Instrument, door: _Door) -> ConditionValue | None:
    survey = Survey.objects.filter(instrument=instrument).order_by("when_sort", "code").last()
    if survey is None:
        return None
    seen = (
        DefectObservation.objects.filter(survey=survey)
        .select_related("defect__kind")
        .order_by("defect__code")
    )
    parts = PartCondition.objects.filter(survey=survey).select_related("part").order_by("code")
    return ConditionValue(
        when(survey.when),
        survey.level,
        door.text(survey, "limits"),
        survey.notes_heard,
        survey.notes_tried,
        door.text(survey, "findings"),
        tuple(
            (
                door.text(one.part, "name"), one.condition_class, one.urgency_class, one.recommendation_class,
                door.text(one, "playability"),
            )
            for one in parts
        ),
        tuple(
            DefectValue(
                one.defect.kind.names, door.text(one.defect, "where"), one.course, one.affected, one.out_of
            )
            for one in seen
            if isinstance(one.defect, Defect)
        ),
    )  # fmt: skip
