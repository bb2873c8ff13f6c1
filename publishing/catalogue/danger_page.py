"""Instruments in danger, as far as their keepers consent: the list, and a page for each of the three judgements."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inventory.danger_list import JUDGEMENTS, MOST_CHANGES, DangerList
from inventory.danger_words import band_in_words, judgement_in_words, rules_in_words, title_of
from inventory.edtf import date_in_words
from inventory.models import Danger
from inventory.models.danger import Advice
from publishing.disclosure.danger import public_list, read_criteria
from publishing.disclosure.danger_values import DangerValue, DecisionValue, ThreatValue
from publishing.disclosure.values import Link, PublicInstrument

from .evidence_words import ROWS_ALIKE
from .record_texts import marked
from .rendering import word

PATH = "danger.html"
Wanted = tuple[str, str, dict[str, Any]]
Told = tuple[Link, DangerValue | None]


class DangerPages:
    """Gathers what is public of danger while instruments pass by."""

    def __init__(self) -> None:
        self.links: dict[str, Link] = {}
        self.values: dict[str, DangerValue] = {}
        self.instruments = 0

    @staticmethod
    def told_by(organ: PublicInstrument) -> Told:
        """What one instrument tells: its link, and its danger where that is public."""
        return organ.link, organ.danger

    def add(self, told: Told) -> None:
        """Take what one instrument tells."""
        link, value = told
        self.instruments += 1
        if value is not None:
            self.links[link.reference], self.values[link.reference] = link, value

    def pages(self) -> Iterator[Wanted]:
        """The list, and how each judgement came about."""
        criteria = read_criteria()
        found = public_list(self.values, criteria)
        judged = [(title_of(code), path_of(code)) for code in JUDGEMENTS if code in found.judgements]
        rows = [self._row(reference, found) for reference in found.entries]
        yield (
            "danger.html",
            PATH,
            {
                "title": _("Instruments in danger"),
                "description": _(
                    "What would be lost, how likely and how soon, what help can do: three judgements, never one sum."
                ),
                "instruments": self.instruments,
                "rows": sorted(rows, key=lambda row: (row["sort"], row["link"].reference)),
                "heads": [title_of(code) for code in JUDGEMENTS],
                "judged": judged,
                "ended": self._ended(),
                "rules": rules_in_words(),
                "version": found.version,
                "criteria": [
                    (
                        title_of(code),
                        [
                            (marked(one.name, one.names), marked(one.more_means, one.meanings))
                            for one in found.judgements[code].criteria
                        ],
                    )
                    for code in JUDGEMENTS
                    if code in found.judgements
                ],
            },
        )
        for code in JUDGEMENTS:
            if code in found.judgements:
                yield self._judgement(code, found)

    def _row(self, reference: str, found: DangerList) -> dict[str, Any]:
        entry, value = found.entries[reference], self.values[reference]
        return {
            "link": self.links[reference],
            "bands": _bands(entry.bands, found),
            "threats": threats_in_words(value.open_threats),
            "decision": decision_in_words(value.decisions[0]) if value.decisions else None,
            "sort": entry.deadline or date.max,
        }

    def _ended(self) -> list[dict[str, Any]]:
        return [
            {
                "link": self.links[reference],
                "kind": word(dict(one.kind)),
                "how": _ended(one),
                "why": one.outcome,
            }
            for reference, value in sorted(self.values.items())
            for one in value.threats
            if one.ended != Danger.Ended.OPEN
        ]

    def _judgement(self, code: str, found: DangerList) -> Wanted:
        one = found.judgements[code]
        told = len(found.entries) <= MOST_CHANGES
        bands = [
            *((number, names) for number, names in enumerate(one.judged.bands, start=1)),
            (None, one.judged.unknown),
        ]
        return (
            "danger_judgement.html",
            path_of(code),
            {
                "title": _("In danger: %(judgement)s") % {"judgement": title_of(code)},
                "description": _("Every published instrument of the danger list by band, with the reasons."),
                "section": PATH,
                "bands": [
                    (
                        band_in_words(number, len(one.judged.bands)),
                        [
                            (self.links[name], judgement_in_words(found, name, code, with_change=told))
                            for name in names
                        ],
                    )
                    for number, names in bands
                    if names
                ],
            },
        )


def path_of(code: str) -> str:
    """Where one judgement is explained."""
    return f"danger/{code}.html"


def _bands(bands: Mapping[str, int | None], found: DangerList) -> list[str]:
    return [
        band_in_words(bands[code], len(found.judgements[code].judged.bands))
        if code in bands
        else _("not judged")
        for code in JUDGEMENTS
    ]


def _ended(threat: ThreatValue) -> str:
    return str(Danger.Ended(threat.ended).label)


def _day(text: str) -> str:
    return date_in_words(text, _) if text else ""


def threats_in_words(threats: tuple[ThreatValue, ...]) -> list[dict[str, str]]:
    """What threatens, with deadlines, who can avert it and what is asked."""
    return [
        {
            "kind": word(dict(one.kind)), "text": one.text, "noticed": _day(one.noticed), "deadline": _day(one.deadline),
            "who": one.who_can_avert, "asked": one.asked, "ended": "" if one.ended == "open" else _ended(one),
            "outcome": one.outcome,
        }
        for one in threats
    ]  # fmt: skip


def decision_in_words(one: DecisionValue) -> dict[str, Any]:
    """What the body decided, beside the advice of the day."""
    advice = str(Advice(one.advice).label) if one.advice in Advice.values else one.advice
    return {
        "when": _day(one.when), "step": str(Advice(one.step).label) if one.step else "", "decision": one.decision,
        "advice": advice, "departs": one.departs, "because": one.because, "reply": one.reply_printed_as,
        "review": _day(one.next_review),
    }  # fmt: skip


def danger_context(organ: PublicInstrument) -> dict[str, Any] | None:
    """What the page of an instrument prints of its own danger; bands stand on the list, where they are compared."""
    value = organ.danger
    if value is None:
        return None
    ended = tuple(one for one in value.threats if one.ended != "open")
    judgements: list[dict[str, Any]] = [
        {
            "criterion": marked(one.criterion.name, one.criterion.names),
            "judgement": title_of(one.criterion.judgement),
            "low": one.low,
            "high": one.high,
            "because": one.because,
            "interests": one.interests,
            "when": _day(one.when),
        }
        for one in value.judgements
    ]
    return {
        "threats": threats_in_words((*value.open_threats, *ended)),
        "judgements": judgements,
        "alike": alike_in_all(judgements, "because", "interests", "when"),
        "decisions": [decision_in_words(one) for one in value.decisions],
    }


def alike_in_all(rows: list[dict[str, Any]], *columns: str) -> dict[str, Any]:
    """What these columns say, where they say the same in every row of a long table; it is then told once."""
    if len(rows) < ROWS_ALIKE:
        return {}
    return {name: rows[0][name] for name in columns if all(row[name] == rows[0][name] for row in rows)}
