"""Findings with their answers: which are open, which somebody looked at, and where each is mended."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import Any

from django.db import models
from django.http import Http404
from django.urls import reverse
from django.utils.translation import override

from inventory.actions.answers import digest_of
from inventory.findings import RecordFinding, find_all
from inventory.languages import active_language
from inventory.models import FindingAnswer, Instrument, Root, Specification
from inventory.organ.errors import OrganError
from inventory.past import Past
from inventory.saying_anew import in_words

from .pages import find_row
from .parts import PARTS, Reader
from .parts.values import RowKind
from .saying import split_path

SEVERITIES = {"error": 0, "warning": 1, "note": 2}


@dataclass(frozen=True)
class ShownFinding:
    """One finding as the page shows it."""

    key: str
    code: str
    severity: str
    about: str
    message: str
    facts: str
    mend: str
    """The address where it is mended."""
    answer: FindingAnswer | None = None


def gather_findings(root: Instrument, reader: Reader) -> tuple[list[ShownFinding], list[ShownFinding], str]:
    """Open findings, answered ones, and what could not be read at all."""
    answers = {
        (row.finding, row.about, row.facts): row
        for row in FindingAnswer.objects.filter(instrument=root).select_related("who")
    }
    try:
        found = [one for one in find_all(root.reference) if one.reference == root.reference]
    except OrganError as error:
        return [], [], in_words(error.message)
    still_open, answered = [], []
    plain = _in_english(root)
    past = Past(root, reader.user, ((_path(one.where), ()) for one in found), ever=False)
    for place, one in enumerate(found):
        row = _row(root, one.where)
        if not (not one.where or past.may_tell(_path(one.where))) or not _may_know_all(row, reader):
            continue
        facts = digest_of([one.code, one.where, plain.get(place, one.message), _facts(row)])
        about = one.where[:200]
        answer = answers.get((one.code, about, facts))
        key = hashlib.sha256(f"{one.code}|{about}|{facts}".encode()).hexdigest()[:24]
        shown = ShownFinding(
            key, one.code, one.severity, about, one.message, facts, mend_url(root, one), answer
        )
        (answered if answer else still_open).append(shown)
    still_open.sort(key=lambda shown: SEVERITIES.get(shown.severity, 3))
    return still_open, answered, ""


def _path(where: str) -> str:
    """The field a finding speaks of; of a row its code, which whoever may know of the row may read."""
    return where if "#" in where or ":" not in where else f"{where}#code"


def mend_url(root: Instrument, finding: RecordFinding) -> str:
    """The form of the row a finding speaks of, or the part of the page it stands in."""
    page = reverse("record", kwargs={"kind": Instrument, "reference": root.reference})
    kind, code, name = split_path(finding.where if "#" in finding.where else f"{finding.where}#")
    if not kind:
        for part in PARTS[Instrument]:
            for group in part.groups:
                if name in group.fields or finding.where in group.fields:
                    return reverse("fields-edit", kwargs=_address(root, group=group.code))
        return page
    if kind == Specification._meta.model_name:
        return f"{page}#stoplist"
    row_kind = _row_kind(kind)
    if row_kind is None:
        return f"{page}#stoplist"
    return reverse("row-edit", kwargs=_address(root, rows=row_kind.name, code=code))


def _address(root: Instrument, **more: str) -> dict[str, Any]:
    return {"kind": Instrument, "reference": root.reference, **more}


def _row_kind(model_name: str) -> RowKind | None:
    for part in PARTS[Instrument]:
        for kind in part.rows:
            if kind.model._meta.model_name == model_name:
                return kind
    return None


def _row(root: Instrument, where: str) -> models.Model | None:
    """The row a finding speaks of, if it speaks of one row."""
    kind, code, _name = split_path(where if "#" in where else f"{where}#")
    row_kind = _row_kind(kind)
    if row_kind is None or kind == Specification._meta.model_name:
        return None
    try:
        return find_row(root, row_kind, code)
    except Http404:
        return None


def _may_know_all(row: models.Model | None, reader: Reader) -> bool:
    """A finding may name the maker or place of its row: it is shown to those who may know of them."""
    if row is None:
        return True
    named = (
        getattr(row, field.name)
        for field in row._meta.concrete_fields
        if isinstance(field, models.ForeignKey) and issubclass(field.related_model, Root)
    )
    own = row.get_root()  # type: ignore[attr-defined]
    return all(one is None or one == own or reader.may_know(one) for one in named)


def _facts(row: models.Model | None) -> list[str]:
    """The row's own values: an answer holds until one of them changes."""
    return [] if row is None else [str(field.value_from_object(row)) for field in row._meta.concrete_fields]


def _in_english(root: Instrument) -> dict[int, str]:
    """The messages as they are in English: an answer given in one language stands in all."""
    if active_language() == "en":
        return {}
    with override("en"):
        found = [one for one in find_all(root.reference) if one.reference == root.reference]
    return {place: one.message for place, one in enumerate(found)}
