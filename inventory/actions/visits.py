"""The next visit: what was found of every part and every open defect, saved as one new survey in one sitting."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.models import Defect, DefectObservation, Instrument, PartCondition, Survey, User

from .records import change_record


def save_visit(
    instrument: Instrument,
    survey: Survey,
    conditions: Sequence[PartCondition],
    observations: Sequence[DefectObservation],
    *,
    version: int,
    by: User,
    why: str = "",
) -> Instrument:
    """A new survey with its parts and its observations of defects: everything is saved, or nothing.

    A defect seen for the first time comes with its observation. Codes are given here: the survey's from its year, those
    of its rows from what they speak of.
    """
    survey.instrument = instrument
    survey.code = free_code(instrument, survey.when)
    for condition in conditions:
        condition.survey, condition.code = survey, condition.part.code
    new: list[Defect] = []
    for observation in observations:
        defect = observation.defect
        if defect.pk is None:
            known = {*instrument.defects.values_list("code", flat=True), *(one.code for one in new)}
            defect.instrument, defect.code = instrument, _free(defect.kind.code, known)
            new.append(defect)
        taken = set(defect.observations.values_list("code", flat=True)) if defect.pk else set()
        observation.survey, observation.code = survey, _free(survey.code, taken)
    changed: Any = change_record(
        instrument,
        version=version,
        by=by,
        why=why,
        put=[survey, *conditions, *new, *observations],
        action="visit",
    )
    return changed


def free_code(instrument: Instrument, when: str) -> str:
    """A code for a survey: the year of the visit, with a number if another has it."""
    wanted = "".join(sign for sign in when[:4] if sign.isdecimal() and sign.isascii()) or "visit"
    return _free(wanted, set(instrument.surveys.values_list("code", flat=True)))


def _free(wanted: str, taken: set[str]) -> str:
    code, more = wanted, 2
    while code in taken:
        code, more = f"{wanted}-{more}", more + 1
    return code
