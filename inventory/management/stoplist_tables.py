"""A read stoplist as plain text: what was understood, then what is asked."""

from __future__ import annotations

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.management.scheme_tables import wrap, write_table
from inventory.organ.notes import note_name
from inventory.organ.stoplists import DivisionProposal, Stoplist, StopProposal


def stoplist_lines(document: Stoplist) -> list[str]:
    """The whole answer in tables and sentences."""
    lines = [_("UNDERSTOOD")]
    for division in document.divisions:
        lines += ["", _heading(division)]
        if division.stops:
            lines += write_table(_heads(), [_row(stop) for stop in division.stops], right=(0,))
    if not document.divisions:
        lines += ["", _("No stops.")]
    if document.couplers:
        rows = [
            (coupler.line, coupler.text.strip(), coupler.origin or "?", coupler.target or "?", coupler.shift)
            for coupler in document.couplers
        ]
        heads = (_("Line"), _("Coupler"), _("Played on"), _("Sounds"), _("Shift"))
        lines += ["", *write_table(heads, rows, right=(0, 4))]
    if document.accessories:
        heads = (_("Line"), _("Accessory"))
        rows_of_two = [(accessory.line, accessory.text.strip()) for accessory in document.accessories]
        lines += ["", *write_table(heads, rows_of_two, right=(0,))]
    return [*lines, "", *_questions(document)]


def _heading(division: DivisionProposal) -> str:
    """Name, kind and compass of a division."""
    kinds = {"manual": _("manual"), "pedal": _("pedal"), "unknown": _("manual or pedal not said")}
    name = division.name or _("(no heading)")
    shown = f"{name} · {kinds[division.kind]}"
    return f"{shown} · {division.compass.text}" if division.compass else shown


def _heads() -> tuple[str, ...]:
    return (_("Line"), _("Stop"), _("Feet"), _("Ranks"), _("Keys"), _("More"), _("Because"))


def _row(stop: StopProposal) -> tuple[str, ...]:
    """One stop; what is plain needs no words."""
    name = f"{stop.number}. {stop.name}" if stop.number else stop.name or "?"
    feet = stop.footage or ""
    ranks = "" if stop.ranks is None else str(stop.ranks)
    return (str(stop.line), name, feet, ranks, _keys(stop), _more(stop), stop.reason)


def _keys(stop: StopProposal) -> str:
    """Limits and halves."""
    halves = {"bass": _("bass half"), "treble": _("treble half"), "both": _("two halves")}
    parts = [halves[stop.half]] if stop.half else []
    low = "" if stop.from_note is None else note_name(stop.from_note)
    high = "" if stop.to_note is None else note_name(stop.to_note)
    if low or high:
        parts.append(f"{low}–{high}")
    return ", ".join(parts)


def _more(stop: StopProposal) -> str:
    """Pipes, borrowing, state and remarks."""
    states = {
        "prepared": _("prepared"), "missing": _("missing"), "earlier": _("earlier"), "derived": _("derived"),
        None: _("state asked"), "present": "",
    }  # fmt: skip
    parts = [states[stop.state]]
    if stop.pipes is not None:
        parts.append(ngettext("%d pipe", "%d pipes", stop.pipes) % stop.pipes)
    if stop.borrowed_from:
        parts.append(_("pipes of %s") % stop.borrowed_from)
    parts += [
        f"{'' if row.from_note is None else note_name(row.from_note) + ': '}{' + '.join(row.footages) or '?'}"
        for row in stop.composition
    ]
    parts.append(stop.notes or "")
    return "; ".join(part for part in parts if part)


def _questions(document: Stoplist) -> list[str]:
    """What is asked, in the order of the lines."""
    if not document.questions:
        return [_("Nothing is asked.")]
    count = len(document.questions)
    lines = [ngettext("ASKED: %d question", "ASKED: %d questions", count) % count, ""]
    for question in document.questions:
        place = _("line %(line)d, column %(column)d") % {"line": question.line, "column": question.column}
        lines += wrap(f"{place}: “{question.text.strip()}” – {question.why}", "", "    ")
        if question.candidates:
            lines += wrap(_("either %s") % _(" · or ").join(question.candidates), "    ", "        ")
    return lines
