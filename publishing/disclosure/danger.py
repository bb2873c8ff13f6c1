"""What everybody may know of instruments in danger: only where a consent for danger stands, and only rows for everybody.

The public list is worked out from these rows alone, so that a confidential row changes no byte of it. Nobody is
named, no place is given for what lies in pieces, and no day of today enters: deadlines are printed, not counted.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import Any

from inventory.danger_list import DangerList, make_danger_list
from inventory.models import Criterion, Danger, Decision, Instrument, Judgement, Term

from .danger_values import CriterionValue, DangerValue, DecisionValue, JudgementValue, ThreatValue
from .door import Row, check_column, consenting, public_ids, read_rows

CRITERION = ("code", "version", "judgement", "name", "more_means", "names", "meanings")
NO_DAY = date.min
"""The public list counts no days: its bytes are those of its data."""


def read_criteria() -> tuple[CriterionValue, ...]:
    """All criteria of all versions."""
    for column in CRITERION:
        check_column(Criterion, column)
    return tuple(
        _criterion(row) for row in Criterion.objects.order_by("version", "code").values_list(*CRITERION)
    )


def read_dangers(ids: Iterable[int]) -> dict[int, DangerValue]:
    """What is public of the danger of these instruments, by key; nothing where no consent stands."""
    agreed = consenting(ids, "danger")
    judgements = read_rows(
        Judgement, agreed, "code", *(f"criterion__{one}" for one in CRITERION), "low", "high", "because", "interests",
        "when", "when_sort", consented="danger", order=("code",),
    )  # fmt: skip
    threats = read_rows(
        Danger, agreed, "code", "kind__names", "text", "noticed", "deadline", "deadline_earliest", "who_can_avert",
        "asked", "ended", "outcome", consented="danger", order=("code",),
    )  # fmt: skip
    decisions = read_rows(
        Decision, agreed, "code", "when", "when_sort", "advice", "step", "decision", "departs", "because",
        "reply_printed_as", "next_review", consented="danger", order=("code",),
    )  # fmt: skip
    found = {}
    for pk in agreed:
        value = DangerValue(
            tuple(_judgement(row) for row in judgements.get(pk, [])),
            tuple(_threat(row) for row in threats.get(pk, [])),
            tuple(
                sorted(
                    (DecisionValue(**_without_key(row)) for row in decisions.get(pk, [])),
                    key=lambda one: (one.when_sort or 0, one.code),
                    reverse=True,
                )
            ),
        )
        if value != DangerValue():
            found[pk] = value
    return found


def read_public_dangers() -> dict[str, DangerValue]:
    """The same of every published instrument, by reference: for what is printed."""
    ids = public_ids(Instrument)
    references = dict(Instrument.objects.filter(pk__in=ids).values_list("pk", "reference"))
    return {references[pk]: value for pk, value in read_dangers(ids).items()}


def public_list(values: Mapping[str, DangerValue], criteria: Iterable[CriterionValue]) -> DangerList:
    """The list from public values alone: rows that exist nowhere, made for the sum and let go."""
    known = {(one.version, one.code): Criterion(**vars(one)) for one in criteria}
    judgements, dangers, decisions = [], [], []
    for reference, value in sorted(values.items()):
        organ = Instrument(reference=reference)
        for number, one in enumerate(value.judgements):
            # Assessors are not published: each judgement counts as another person's, and differences stay open.
            judgements.append(
                Judgement(
                    instrument=organ, code=one.code, criterion=known[one.criterion.version, one.criterion.code],
                    low=one.low, high=one.high, because=one.because, assessor=str(number), interests=one.interests,
                    when=one.when, when_sort=one.when_sort,
                )
            )  # fmt: skip
        for threat in value.threats:
            dangers.append(
                Danger(
                    instrument=organ, code=threat.code, kind=Term(names=dict(threat.kind)), text=threat.text,
                    noticed=threat.noticed, deadline=threat.deadline, deadline_earliest=threat.deadline_earliest,
                    who_can_avert=threat.who_can_avert, asked=threat.asked, ended=threat.ended, outcome=threat.outcome,
                )
            )  # fmt: skip
        decisions += [Decision(instrument=organ, **vars(decided)) for decided in value.decisions]
    return make_danger_list(judgements, dangers, decisions, today=NO_DAY, criteria=known.values())


def _without_key(row: Row) -> Row:
    return {name: value for name, value in row.items() if name != "pk"}


def _criterion(row: Sequence[Any]) -> CriterionValue:
    """A criterion from its columns; what is said by language as pairs, which cannot change any more."""
    *plain, names, meanings = row
    return CriterionValue(*plain, tuple(sorted(names.items())), tuple(sorted(meanings.items())))


def _judgement(row: Row) -> JudgementValue:
    criterion = _criterion([row[f"criterion__{one}"] for one in CRITERION])
    return JudgementValue(
        row["code"],
        criterion,
        row["low"],
        row["high"],
        row["because"],
        row["interests"],
        row["when"],
        row["when_sort"],
    )


def _threat(row: Row) -> ThreatValue:
    told = _without_key(row)
    names = told.pop("kind__names")
    return ThreatValue(kind=tuple(sorted(names.items())), **told)
