"""The form of the next visit: what is known of parts and defects, what is answered, and the rows it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _

from inventory.courses import Course, read_course, state_of_part
from inventory.models import Defect, DefectObservation, Instrument, Part, PartCondition
from inventory.models.choices import Knowledge
from inventory.models.vocabularies import Vocabulary

NOT_AGAIN, SAME, CHANGED = "not", "same", "changed"
CLASSES = {
    "condition_class": Vocabulary.CONDITION_CLASS,
    "urgency_class": Vocabulary.URGENCY_CLASS,
    "recommendation_class": Vocabulary.RECOMMENDATION_CLASS,
}
TEXTS = ("playability", "integrity", "note")
JUDGED = (*CLASSES, *TEXTS, "looked_at")
FOUND = ("same", "worse", "better", "cured")
MOST_DIGITS = 6


@dataclass
class PartAsked:
    """One part with its last known state, and what the form says of it."""

    part: Part
    last: PartCondition | None
    when: str
    """When it was last looked at; empty if never."""
    state: dict[str, Any]
    answer: str = NOT_AGAIN
    values: dict[str, str] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The name of its fields in the form."""
        return f"part-{self.part.code}"


@dataclass
class DefectAsked:
    """One open defect with what was last seen of it, and what the form says of it."""

    defect: Defect
    last: DefectObservation | None
    answer: str = NOT_AGAIN
    values: dict[str, str] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The name of its fields in the form."""
        return f"defect-{self.defect.code}"


@dataclass
class Asked:
    """Everything the next visit is asked for."""

    course: Course
    parts: list[PartAsked]
    defects: list[DefectAsked]

    @property
    def has_errors(self) -> bool:
        """Whether something must be put right before it can be saved."""
        return any(one.errors for one in [*self.parts, *self.defects])

    def class_choices(self) -> dict[str, list[tuple[str, str]]]:
        """Classes 0 to 3 of each judgement, with their words."""
        return {
            name: [
                (str(number), f"{number} {self.course.classes.get((vocabulary, number), '')}".strip())
                for number in range(4)
            ]
            for name, vocabulary in CLASSES.items()
        }


def ask(root: Instrument, data: Mapping[str, str] | None = None) -> Asked:
    """What the next visit is asked for; with `data`, as it was answered."""
    course = read_course(root)
    parts = []
    for one in course.parts:
        seen = [state for state in one.states if state and state.looked_at != Knowledge.NOT_LOOKED_AT]
        last = seen[-1] if seen else None
        parts.append(
            PartAsked(
                one.part,
                last,
                last.survey.when if last else "",
                state_of_part(last, course.classes),
                values=_last_values(last),
            )
        )
    again = DefectObservation.Course.NOT_LOOKED_AT
    defects = [
        DefectAsked(one.defect, next((f for f in reversed(one.found) if f and f.course != again), None))
        for one in course.defects
        if one.is_open
    ]
    asked = Asked(course, parts, defects)
    if data is not None:
        for part in asked.parts:
            _answer_part(part, data)
        for defect in asked.defects:
            _answer_defect(defect, data)
    return asked


def rows_of(asked: Asked) -> tuple[list[PartCondition], list[DefectObservation]]:
    """The rows the answers come to: every part and every open defect has one, looked at or not."""
    conditions = []
    for one in asked.parts:
        row = PartCondition(part=one.part)
        if one.answer == SAME and one.last is not None:
            for name in JUDGED:
                setattr(row, name, getattr(one.last, name))
        elif one.answer == CHANGED:
            row.looked_at = one.values["looked_at"]
            for name in CLASSES:
                setattr(row, name, int(one.values[name]) if one.values[name] else None)
            for name in TEXTS:
                setattr(row, name, one.values[name])
        conditions.append(row)
    observations = [
        DefectObservation(
            defect=one.defect,
            course=one.answer if one.answer != NOT_AGAIN else DefectObservation.Course.NOT_LOOKED_AT,
            affected=read_number(one.values.get("affected", "")) if one.answer != NOT_AGAIN else None,
            out_of=read_number(one.values.get("out_of", "")) if one.answer != NOT_AGAIN else None,
            note=one.values.get("note", "") if one.answer != NOT_AGAIN else "",
        )
        for one in asked.defects
    ]
    return conditions, observations


def _last_values(last: PartCondition | None) -> dict[str, str]:
    if last is None:
        return dict.fromkeys(JUDGED, "") | {"looked_at": str(Knowledge.PRESENT)}
    values = {name: getattr(last, name) for name in JUDGED}
    return {name: "" if value is None else str(value) for name, value in values.items()}


def _answer_part(one: PartAsked, data: Mapping[str, str]) -> None:
    answer = data.get(one.name, NOT_AGAIN)
    one.answer = answer if answer in (NOT_AGAIN, SAME, CHANGED) else NOT_AGAIN
    one.values = {name: data.get(f"{one.name}-{name}", "").strip() for name in JUDGED}
    if one.answer == SAME and one.last is None:
        one.errors.append(_("Nobody has judged it yet: say how it is."))
    if one.answer != CHANGED:
        return
    if one.values["looked_at"] not in Knowledge.values:
        one.errors.append(_("Say whether it was looked at."))
    if any(one.values[name] not in ("", "0", "1", "2", "3") for name in CLASSES):
        one.errors.append(_("Classes go from 0 to 3; leave out what was not judged."))


def _answer_defect(one: DefectAsked, data: Mapping[str, str]) -> None:
    answer = data.get(one.name, NOT_AGAIN)
    one.answer = answer if answer in FOUND else NOT_AGAIN
    one.values = {name: data.get(f"{one.name}-{name}", "").strip() for name in ("affected", "out_of", "note")}
    for name in ("affected", "out_of"):
        text = one.values[name]
        if text and read_number(text) is None:
            one.errors.append(
                _("“%(text)s” is no whole number: write digits, or nothing.") % {"text": text[:40]}
            )


def read_number(text: str) -> int | None:
    """A count as it was typed; None for nothing, and for what is no count."""
    return int(text) if text.isascii() and text.isdecimal() and len(text) <= MOST_DIGITS else None
