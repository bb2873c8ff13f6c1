"""Parts and defects visit by visit on an instrument's page, as its keeper consents to; nothing is filled in."""

from __future__ import annotations

from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.courses import last_word
from inventory.models.choices import Certainty, Knowledge
from inventory.models.condition import DefectObservation
from inventory.punctuation import labelled
from publishing.disclosure.condition_values import DefectFound, DefectValue, Names, PartState
from publishing.disclosure.values import PublicInstrument

from .rendering import word


@dataclass(frozen=True)
class Cell:
    """What one visit said: what first, and lines beneath it."""

    said: str
    lines: tuple[str, ...] = ()
    texts: tuple[str, ...] = ()
    """Words of the record, in its language."""


@dataclass(frozen=True)
class ConditionTables:
    """Two tables with the same visits as columns; either may be empty."""

    visits: tuple[str, ...]
    parts: tuple[tuple[str, tuple[Cell, ...]], ...]
    defects: tuple[tuple[str, tuple[str, ...], tuple[Cell, ...]], ...]
    """What and where it belongs, how it is supposed to have come, and a cell for each visit."""


def condition_tables(organ: PublicInstrument) -> ConditionTables | None:
    """None where nothing may be told."""
    value = organ.condition
    if value is None:
        return None
    told = {one.survey for one in value.parts} | {one.survey for d in value.defects for one in d.found}
    surveys = [one for one in organ.surveys if one.code in told]
    codes = [one.code for one in surveys]
    states = {(one.part, one.survey): one for one in value.parts}
    names = {one.part: one.name for one in value.parts}
    return ConditionTables(
        tuple(one.when.words if one.when else _("no date") for one in surveys),
        tuple(
            (name, tuple(_state(states.get((part, code))) for code in codes)) for part, name in names.items()
        ),
        tuple(_defect(one, codes) for one in value.defects),
    )


def open_defects(organ: PublicInstrument) -> dict[str, int]:
    """By visit: defects known and not cured after it. Empty where nothing may be told."""
    if organ.condition is None or not organ.condition.defects:
        return {}
    counts = {}
    for place, survey in enumerate(organ.surveys):
        before = {one.code for one in organ.surveys[: place + 1]}
        counts[survey.code] = sum(_is_open(defect, before) for defect in organ.condition.defects)
    return counts


def _is_open(defect: DefectValue, visits: set[str]) -> bool:
    again, cured = DefectObservation.Course.NOT_LOOKED_AT, DefectObservation.Course.CURED
    known = [one for one in defect.found if one.survey in visits]
    told = [one for one in known if one.course != again] or known
    return bool(told) and last_word([one.course for one in told]) != cured


def _state(state: PartState | None) -> Cell:
    if state is None:
        return Cell(str(Knowledge.NOT_LOOKED_AT.label))
    heads = (_("condition"), _("urgency"), _("recommended"))
    lines = [
        labelled(head, _class_words(*one))
        for head, one in zip(heads, state.classes, strict=True)
        if one is not None
    ]
    lines += [labelled(_("playability"), state.playability)] if state.playability else []
    lines += [labelled(_("integrity"), state.integrity)] if state.integrity else []
    return Cell(str(Knowledge(state.looked_at).label), tuple(lines), (state.note,) if state.note else ())


def _class_words(number: int, names: Names) -> str:
    return f"{number} {word(names)}".strip() if names else str(number)


def _defect(defect: DefectValue, codes: list[str]) -> tuple[str, tuple[str, ...], tuple[Cell, ...]]:
    found = {one.survey: one for one in defect.found}
    first = min((codes.index(code) for code in found if code in codes), default=0)
    beneath = [defect.part] if defect.part else []
    if defect.cause and defect.cause_certainty:
        certainty = str(Certainty(defect.cause_certainty).label)
        beneath.append(_("%(cause)s (%(certainty)s)") % {"cause": defect.cause, "certainty": certainty})
    elif defect.cause:
        beneath.append(defect.cause)
    cells = tuple(_observed(found.get(code), place < first) for place, code in enumerate(codes))
    return word(defect.kind), tuple(beneath), cells


def _observed(found: DefectFound | None, is_before: bool) -> Cell:
    if found is None:
        return Cell(_("not known yet") if is_before else _("not looked at again"))
    extent = ""
    if found.affected is not None:
        extent = (
            _("%(n)d of %(of)d") % {"n": found.affected, "of": found.out_of}
            if found.out_of
            else str(found.affected)
        )
    said = str(DefectObservation.Course(found.course).label)
    return Cell(said, (extent,) if extent else (), (found.note,) if found.note else ())
