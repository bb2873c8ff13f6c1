"""The danger register on paper, and a notice of one page for the church door.

Two registers: the public one holds what the catalogue holds and nothing else; the team's holds what one person may
read, and every page says that it is confidential. The notice is always public.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from inventory.danger_list import JUDGEMENTS, MOST_CHANGES, DangerList
from inventory.danger_reading import read_danger_list
from inventory.danger_words import (
    JudgementInWords,
    band_in_words,
    judgement_in_words,
    rules_in_words,
    title_of,
)
from inventory.edtf import date_in_words
from inventory.models import Danger, Decision, Term, User
from publishing.disclosure.danger import public_list, read_criteria, read_public_dangers
from publishing.disclosure.instruments import open_collection

from .record_language import marked, record_texts
from .typesetting import may_break, typeset

MOST_ON_NOTICE = 3
"""Threats printed on one sheet; the others are counted."""


class NoNotice(LookupError):
    """There is nothing about this instrument that may hang on a door."""


@dataclass(frozen=True)
class Register:
    """A list with the names it is printed with."""

    found: DangerList
    names: Mapping[str, str]
    ended: list[tuple[str, Danger]]
    today: date | None = None
    """The day of a team's copy; None: the public one, which counts no days."""

    @property
    def is_public(self) -> bool:
        """Whether everybody may read it."""
        return self.today is None


def make_public_register(language: str) -> bytes:
    """What everybody may know, as a PDF: the same bytes for the same data."""
    with translation.override(language):
        return _typeset("register", register_data, read_public_register(), language)


def make_team_register(user: User, language: str, *, today: date) -> bytes:
    """What this person may read, as a PDF marked confidential."""
    read = read_danger_list(user, today=today)
    names = {reference: organ.name for reference, organ in read.instruments.items()}
    ended = [(row.instrument.reference, row) for row in read.ended]
    with translation.override(language):
        return _typeset("register", register_data, Register(read.found, names, ended, today), language)


def make_notice(reference: str, language: str) -> bytes:
    """The notice of one instrument as a PDF of one page."""
    with translation.override(language):
        return _typeset("notice", partial(notice_data, reference), read_public_register(), language)


def _typeset(
    template: str, make: Callable[[Register], dict[str, Any]], read: Register, language: str
) -> bytes:
    """A document of the register, with texts of the record in their own language."""
    texts = record_texts(read.found, read.ended)
    return typeset(template, marked(make(read), language, texts), language)


def read_public_register() -> Register:
    """The public list with its names."""
    values = read_public_dangers()
    links = {link.reference: link.name for link in open_collection().instruments.values()}
    found = public_list(values, read_criteria())
    ended = [
        (reference, Danger(kind=Term(names=dict(one.kind)), ended=one.ended, outcome=one.outcome))
        for reference, value in sorted(values.items())
        for one in value.threats
        if one.ended != Danger.Ended.OPEN
    ]
    return Register(found, links, ended)


def register_data(register: Register) -> dict[str, Any]:
    """What the template prints."""
    found, names = register.found, register.names
    told = len(found.entries) <= MOST_CHANGES
    order = sorted(found.entries.values(), key=lambda one: (one.deadline or date.max, one.reference))
    entries = [_entry(one.reference, register, told) for one in order]
    if register.is_public:
        lead = _(
            "What is published with the consent of those who keep the instruments. The bands are worked out from "
            "this alone; the body knows more, and its decisions may rest on it."
        )
    else:
        lead = _(
            "As of %(when)s, worked out from what the reader of this copy may read. It is not for the public: tell the "
            "owner first; a listing may itself draw thieves."
        ) % {"when": _day(register.today.isoformat() if register.today else "")}
    return {
        "title": _("Register of instruments in danger"),
        "kicker": str(settings.COLLECTION_NAME),
        "lead": lead,
        "empty": _("No instrument stands on this list."),
        "list_heading": _("The list, by deadline"),
        "heads": [
            _("Instrument"), *(may_break(_up(title_of(code))) for code in JUDGEMENTS), _("Deadline"), _("Decision"),
        ],
        "rows": [_row(one.reference, register) for one in order],
        "entries": entries,
        "why_heading": _("Why here, and what would change it"),
        "decision_heading": _("What the body decided"),
        "undecided": _("No decision yet."),
        "ended_heading": _("Off the list, and why"),
        "ended": [
            {"name": names[reference], "kind": row.kind.name, "how": str(row.get_ended_display()), "why": row.outcome}
            for reference, row in register.ended
        ],
        "how_heading": _("How it is worked out"),
        "rules": [list(pair) for pair in rules_in_words()],
        "criteria_heading": _("Criteria, version %(n)s") % {"n": found.version},
        "criteria": [
            [criterion.name_here, _("a higher figure means: %(means)s") % {"means": criterion.means_here}]
            for code in JUDGEMENTS
            if code in found.judgements
            for criterion in found.judgements[code].criteria
        ],
        "mark": "" if register.is_public else _("Confidential"),
        "running": str(settings.COLLECTION_NAME),
        "foot": _("The list advises; the body decides."),
        "page_word": _("page %(n)s of %(total)s") % {"n": "%n", "total": "%total"},
    }  # fmt: skip


def notice_data(reference: str, register: Register) -> dict[str, Any]:
    """What hangs on the door; `NoNotice` where nothing public is open."""
    entry = register.found.entries.get(reference)
    if entry is None or not entry.dangers:
        raise NoNotice(
            _("Nothing of %(reference)s may hang on a door: it needs an open danger for everybody, a released record "
              "and a standing consent for danger.") % {"reference": reference}
        )  # fmt: skip
    shown, more = entry.dangers[:MOST_ON_NOTICE], entry.dangers[MOST_ON_NOTICE:]
    length = len(register.names[reference]) + sum(len(one.text) + len(one.asked) for one in shown)
    contact = str(settings.CATALOGUE_CONTACT)
    return {
        "title": _("%(name)s: in danger") % {"name": register.names[reference]},
        "size": 13 if length < 900 else 11 if length < 1800 else 9,
        "kicker": _("This organ is in danger"),
        "name": register.names[reference],
        "lead": _("It can still be helped. This is what threatens it, until when, and what is asked."),
        "threats": [_threat(one) for one in shown],
        "more": _("And %(n)s more, in the register.") % {"n": len(more)} if more else "",
        "decision_heading": _("What the body decided"),
        "decision": _decision(entry.decision),
        "asked": _("Whoever can help, or knows more: %(contact)s.") % {"contact": contact}
        if contact
        else _("Whoever can help, or knows more, speaks to those who keep this house."),
        "fair": _(
            "This notice was put up with the consent of those who keep the instrument. Please "
            "do not touch, play or enter it without their leave."
        ),
        "running": str(settings.COLLECTION_NAME),
        "foot": reference,
        "page_word": " ",
    }  # fmt: skip


def _row(reference: str, register: Register) -> list[str]:
    entry, found = register.found.entries[reference], register.found
    deadline = _day(entry.dangers[0].deadline) if entry.dangers else ""
    decision = entry.decision
    return [
        may_break(f"{register.names[reference]} ({reference})"),
        *(
            may_break(band_in_words(entry.bands[code], len(found.judgements[code].judged.bands)))
            if code in entry.bands
            else "–"
            for code in JUDGEMENTS
        ),
        may_break(deadline or "–"),
        may_break((str(decision.get_step_display()) or decision.decision) if decision else "–"),
    ]


def _entry(reference: str, register: Register, told: bool) -> dict[str, Any]:
    found = register.found
    entry = found.entries[reference]
    judged = [
        judgement_in_words(found, reference, code, with_change=told)
        for code in JUDGEMENTS
        if code in found.judgements
    ]
    return {
        "name": f"{register.names[reference]} ({reference})",
        "mark": _("Advice today: %(advice)s.") % {"advice": found.advice_for(reference).label}
        if not register.is_public
        else "",
        "threats": [_threat(one) for one in entry.dangers],
        "judged": [_judged(one) for one in judged],
        "decision": _decision(entry.decision),
    }


def _judged(one: JudgementInWords) -> dict[str, Any]:
    known = [
        reason for reason in one.reasons if reason.judged != _("%(low)s to %(high)s") % {"low": 0, "high": 5}
    ]
    return {
        "stands": _("%(judgement)s: %(band)s.") % {"judgement": _up(one.title), "band": one.stands},
        "chance": one.chance,
        "reasons": [
            _("%(criterion)s %(judged)s (%(says)s)")
            % {"criterion": reason.name, "judged": reason.judged, "says": reason.says}
            for reason in known
        ],
        "change": one.change,
    }


def _threat(one: Danger) -> dict[str, Any]:
    facts = [
        [_("Deadline"), _day(one.deadline)],
        [_("Who can avert it"), one.who_can_avert],
        [_("What is asked"), one.asked],
        [_("Noticed"), _day(one.noticed)],
    ]
    return {
        "kind": _up(one.kind.name),
        "text": one.text,
        "facts": [[word, said] for word, said in facts if said],
    }


def _decision(one: Decision | None) -> list[list[str]]:
    if one is None:
        return []
    rows = [
        [_("Decided"), ": ".join(part for part in (_day(one.when), str(one.get_step_display())) if part)],
        [_("In words"), one.decision],
        [_("Advice of the day"), one.advice_in_words],
        [_("Departs from it because"), one.because if one.departs else ""],
        [_("The custodian replies"), one.reply_printed_as],
        [_("Next review"), _day(one.next_review)],
    ]
    return [[word, said] for word, said in rows if said]


def _up(text: str) -> str:
    return text[:1].upper() + text[1:]


def _day(text: str) -> str:
    return date_in_words(text, _) if text else ""
