"""On what a scheme rests: who saw or sounded what and when, and the sums of what is certain only."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.drawings.evidence import Evidence, Grounds
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Call, Scheme, asked_pipes
from inventory.organ.sums import SchemeSums, sum_scheme
from inventory.punctuation import in_figures, semicolons
from publishing.disclosure.values import PublicInstrument, SegmentValue, SpecificationValue, SurveyValue

from .record_texts import marked
from .rendering import fill, level, named
from .scheme_words import joined, labels_of, listed, segments_in_order

FIRM = ("seen", "sounded")
"""Evidence of somebody who was there; what a source tells or somebody inferred is not."""


def is_certain(value: SegmentValue) -> bool:
    """Whether a line of the scheme was seen or sounded, and the record is certain of it."""
    return value.evidence in FIRM and value.certainty == "certain"


def evidence_of(specification: SpecificationValue, scheme: Scheme) -> Evidence:
    """What each call rests on; `scheme` is the specification's own or the same with readers' names."""
    found: dict[Call, Grounds] = {}
    own = specification.scheme
    drawn = dict(zip(map(id, own.segments), scheme.segments, strict=True))
    for value, segment in zip(specification.segments, segments_in_order(specification), strict=True):
        grounds = Grounds(value.evidence, value.certainty == "certain")
        rank = drawn[id(segment)].rank
        for key, pipe in asked_pipes(own, segment):
            if pipe is not None:
                found.setdefault(Call(segment.stop, key, rank, pipe), grounds)
    return found


def evidence_in_a_cell(value: SegmentValue, organ: PublicInstrument) -> str:
    """Evidence, certainty, and the visit: proved by playing (probable), October 2012, conservator."""
    words = named(value.evidence, "Evidence")
    if value.certainty != "certain":
        words = _("%(evidence)s (%(certainty)s)") % {
            "evidence": words,
            "certainty": named(value.certainty, "Certainty"),
        }
    survey = _visit_of(value, organ)
    return joined([words, *_when_and_who(survey)]) if survey else words


def same_in_all(rows: list[dict[str, Any]]) -> dict[str, str]:
    """Columns that say the same in every row of a table, each as one sentence in place of the column."""
    if len(rows) < ROWS_ALIKE:
        return {}
    found = {}
    if all(row["device"] == "–" for row in rows):
        found["device"] = ""
    if len({row["evidence"] for row in rows}) == 1:
        found["evidence"] = _("Evidence of all: %(evidence)s.") % {"evidence": rows[0]["evidence"]}
    if len({row["layer"] for row in rows}) == 1:
        layer = rows[0]["layer"]
        found["layer"] = fill(_("Layer of all: %(layer)s."), layer=marked(layer)) if layer else ""
    return found


ROWS_ALIKE = 4


def _visit_of(value: SegmentValue, organ: PublicInstrument) -> SurveyValue | None:
    return next((one for one in organ.surveys if one.code == value.survey), None) if value.survey else None


def _when_and_who(survey: SurveyValue) -> list[str]:
    return [words for words in (survey.when.words if survey.when else "", survey.surveyor) if words]


@dataclass(frozen=True)
class VisitRow:
    """One visit and what of the scheme it saw or sounded."""

    when: str
    who: str
    depth: str
    seen: str
    sounded: str


def visit_rows(organ: PublicInstrument, specification: SpecificationValue) -> list[VisitRow]:
    """Who lifted which board and when: only visits that lines of the scheme name, in their order."""
    boards = {
        chest.id: name
        for chest, (name, *_rest) in zip(specification.scheme.chests, specification.chests, strict=True)
    }
    rows = []
    for survey in organ.surveys:
        lines = [one for one in specification.segments if one.survey == survey.code]
        if not lines:
            continue
        rows.append(
            VisitRow(
                survey.when.words if survey.when else _("no date"),
                survey.surveyor or _("not said"),
                level(survey.level),
                _boards_in_words(lines, boards, "seen", specification),
                _boards_in_words(lines, boards, "sounded", specification),
            )
        )
    return rows


def _boards_in_words(
    lines: list[SegmentValue], boards: dict[str, str], evidence: str, specification: SpecificationValue
) -> str:
    labels = labels_of(specification)
    stops: dict[str, list[str]] = {}
    for one in lines:
        if one.evidence == evidence:
            listing = stops.setdefault(boards.get(one.chest, ""), [])
            listing += [labels[one.stop]] if labels[one.stop] not in listing else []
    told = []
    for board, names in stops.items():
        words = (
            listed(names)
            if len(names) <= MOST_NAMES
            else ngettext("%(n)s stop", "%(n)s stops", len(names)) % {"n": len(names)}
        )
        told.append(_("%(board)s: %(stops)s") % {"board": board or _("chest not said"), "stops": words})
    return semicolons(told) or "–"


MOST_NAMES = 8


def unnamed_visits(specification: SpecificationValue) -> str:
    """How many lines were seen or sounded at a visit nobody names; empty where none."""
    lines = sum(one.evidence in FIRM and not one.survey for one in specification.segments)
    if not lines:
        return ""
    return ngettext(
        "Of %(n)s line the record says that it was seen or sounded, and not at which visit.",
        "Of %(n)s lines the record says that they were seen or sounded, and not at which visit.",
        lines,
    ) % {"n": lines}


def certain_sums(specification: SpecificationValue) -> dict[str, Any] | None:
    """The sums of the whole scheme beside those of its certain lines; None where there is no line.

    The scheme is computed anew with only what somebody saw or sounded and is certain of.
    """
    if not specification.segments:
        return None
    left = Counter(
        Grounds(one.evidence, one.certainty == "certain")
        for one in specification.segments
        if not is_certain(one)
    )
    if not left:
        return {"rows": [], "left_out": _nothing_left_out(len(specification.segments))}
    return {
        "rows": _rows(*_both_sums(specification)),
        "left_out": _left_out(left, len(specification.segments)),
    }


@remember_recent(AT_ONCE)
def _both_sums(specification: SpecificationValue) -> tuple[SchemeSums, SchemeSums]:
    """The sums of the whole scheme, and of its certain lines."""
    pairs = zip(specification.segments, segments_in_order(specification), strict=True)
    kept = tuple(segment for value, segment in pairs if is_certain(value))
    scheme = specification.scheme
    return sum_scheme(scheme), sum_scheme(replace(scheme, segments=kept))


def _rows(whole: SchemeSums, some: SchemeSums) -> list[tuple[str, str, str]]:
    def per_pipe(sums: SchemeSums) -> str:
        return in_figures(f"{sums.calls / sums.pipes_called:.2f}") if sums.pipes_called else "–"

    def economy(sums: SchemeSums) -> str:
        return "–" if sums.economy is None else in_figures(f"{100 * sums.economy:.1f}\u00a0%")

    def sharing(sums: SchemeSums) -> str:
        return str(sum(stop.shared > 0 for stop in sums.stops))

    return [
        (_("Calls"), str(whole.calls), str(some.calls)),
        (_("Pipes called"), str(whole.pipes_called), str(some.pipes_called)),
        (_("Shared pipes"), str(whole.pipes_shared), str(some.pipes_shared)),
        (_("Stops that share"), sharing(whole), sharing(some)),
        (_("Calls per pipe"), per_pipe(whole), per_pipe(some)),
        (_("Economy: 1 − pipes called / calls"), economy(whole), economy(some)),
    ]


def _nothing_left_out(lines: int) -> str:
    return ngettext(
        "The one line of the scheme was seen or proved by playing, and is certain: the sums of the certain are "
        "those of all.",
        "All %(n)s lines of the scheme were seen or proved by playing, and are certain: the sums of the certain "
        "are those of all.",
        lines,
    ) % {"n": lines}


def _left_out(left: Counter[Grounds], lines: int) -> str:
    parts = []
    for grounds, n in sorted(left.items(), key=lambda item: (-item[1], item[0])):
        evidence = named(grounds.evidence, "Evidence") or _("evidence not said")
        words = {"n": n, "evidence": evidence}
        parts.append(
            _("%(n)s %(evidence)s") % words
            if grounds.certain
            else _("%(n)s %(evidence)s but not certain") % words
        )
    return ngettext(
        "Left out of the certain: %(n)s of %(all)s line of the scheme (%(parts)s).",
        "Left out of the certain: %(n)s of %(all)s lines of the scheme (%(parts)s).",
        lines,
    ) % {"n": sum(left.values()), "all": lines, "parts": ", ".join(parts)}
