"""Findings over records: what does not fit together, said plainly; never a refusal, never a verdict.

Rules look at one record at a time and are told everything they need as rows, so that they can be tried
on rows made by hand. Findings of schemes come from `inventory.organ.findings`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from inventory.finding_rules import dates, evidence, numbers, parts
from inventory.models import Instrument, Maker, Place, Root, Source, Specification
from inventory.models.choices import RecordState
from inventory.organ.findings import find_findings
from inventory.organ.footages import PitchError
from inventory.saying_anew import in_words
from inventory.schemes import schemes_of


@dataclass(frozen=True)
class RecordFinding:
    """One thing that does not fit, where it stands, and what to do about it."""

    reference: str
    code: str
    severity: str
    """``error``: the record contradicts itself; ``warning``: likely a slip; ``note``: worth a look."""
    where: str
    """A row as `about` names it (``event:built``), or a specification; empty for the whole record."""
    message: str


# A rule yields (code, severity, where, message).
Said = tuple[str, str, str, str]
INSTRUMENT_RULES: tuple[Callable[[Instrument], Iterator[Said]], ...] = (
    dates.check_order_of_dates,
    dates.check_makers_alive,
    parts.check_movements,
    parts.check_work_documented,
    numbers.check_pitch,
    numbers.check_pressure,
    numbers.check_ranges,
    numbers.check_pipe_numbers,
    numbers.check_counts,
    numbers.check_chests,
    numbers.check_trials,
    evidence.check_abouts,
    evidence.check_photographs,
    evidence.check_consents,
    evidence.check_cures,
)
MAKER_RULES: tuple[Callable[[Maker], Iterator[Said]], ...] = (dates.check_life, evidence.check_abouts)
PLACE_RULES: tuple[Callable[[Place], Iterator[Said]], ...] = (evidence.check_abouts,)

RELATED = (
    "layers__maker",
    "events__maker",
    "events__kind",
    "parts__movements",
    "surveys__trials__specification",
    "defects__observations__survey",
    "dangers",
    "consents",
    "photographs__regions",
    "citations",
    "claims",
    "fieldstates",
    "specifications__ranks__ranges",
    "specifications__ranks__readings",
    "specifications__ranks__gifts",
    "specifications__counts",
    "specifications__chests",
    "specifications__keyboards",
    "specifications__stops",
    "specifications__couplers",
)


class NoSuchReference(LookupError):
    """A reference names no record."""


def find_all(reference: str | None = None) -> list[RecordFinding]:
    """Findings of one record, or of all that are not withdrawn, by reference, in the order of the rules.

    Raises NoSuchReference for a reference nothing bears.
    """
    found: list[RecordFinding] = []
    known = False
    for model, rules in (
        (Place, PLACE_RULES),
        (Maker, MAKER_RULES),
        (Source, ()),
        (Instrument, INSTRUMENT_RULES),
    ):
        rows = _chosen(model, reference)
        for row in rows.iterator(chunk_size=100):
            known = True
            found += [RecordFinding(row.reference, *said) for rule in rules for said in rule(row)]
        if model is Instrument:
            found += find_in_schemes(rows)
            found += find_doubles(rows)
    if reference and not known:
        raise NoSuchReference(
            _("%(reference)s is no record; without a reference check_records goes over all of them.")
            % {"reference": reference}
        )
    return sorted(found, key=lambda one: one.reference)


def _chosen(model: type[Root], reference: str | None) -> QuerySet:
    """Records to look at: one, withdrawn or not, or all that stand."""
    rows = model._default_manager.order_by("reference")
    if model is Instrument:
        rows = rows.select_related("place").prefetch_related(*RELATED)
    elif model in (Maker, Place):
        rows = rows.prefetch_related("citations", "claims", "fieldstates")
    return rows.filter(reference=reference) if reference else rows.exclude(state=RecordState.WITHDRAWN)


def find_in_schemes(instruments: QuerySet) -> Iterator[RecordFinding]:
    """What does not add up in the scheme of every specification."""
    specifications = {
        row.pk: row
        for row in Specification.objects.filter(instrument__in=instruments.values("pk")).select_related(
            "instrument"
        )
    }
    ids = list(specifications)
    for start in range(0, len(ids), 100):
        for pk, scheme in schemes_of(ids[start : start + 100]).items():
            specification = specifications[pk]
            where = specification.path_in_root()
            try:
                found: Iterable[tuple[str, str, str]] = [
                    (one.code, one.severity, in_words(one.message)) for one in find_findings(scheme)
                ]
            except PitchError as error:
                found = [("pitch-contradicts-label", "error", in_words(error.message))]
            for code, severity, message in found:
                yield RecordFinding(specification.instrument.reference, code, severity, where, message)


def find_doubles(instruments: QuerySet) -> Iterator[RecordFinding]:
    """Records of one place whose first layer has one maker and year: perhaps one instrument twice."""
    seen: dict[tuple[int, int, int], str] = {}
    for row in instruments:
        if row.place_id is None or row.state == RecordState.WITHDRAWN:
            continue
        for layer in row.layers.all():
            if layer.maker_id is None or layer.when_earliest is None:
                continue
            key = (row.place_id, layer.maker_id, layer.when_earliest.year)
            other = seen.setdefault(key, row.reference)
            if other != row.reference:
                yield RecordFinding(
                    row.reference,
                    "perhaps-a-double",
                    "note",
                    f"layer:{layer.code}",
                    _(
                        "same place, maker and year as %(other)s; compare them and merge, or say how they differ"
                    )
                    % {"other": other},
                )
