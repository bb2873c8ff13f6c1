"""Frozen values of what everybody may know of instruments in danger; nothing here asks the database."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from inventory.languages import in_language


@dataclass(frozen=True)
class CriterionValue:
    """A criterion, with its direction."""

    code: str
    version: int
    judgement: str
    name: str
    more_means: str
    names: tuple[tuple[str, str], ...] = ()
    """The name in other languages, as far as it was put in them."""
    meanings: tuple[tuple[str, str], ...] = ()

    @property
    def name_here(self) -> str:
        """The name in the language of the page."""
        return in_language(self.name, self.names)

    @property
    def means_here(self) -> str:
        """What a higher figure means, in the language of the page."""
        return in_language(self.more_means, self.meanings)


@dataclass(frozen=True)
class JudgementValue:
    """One instrument under one criterion; whoever judged stays unnamed."""

    code: str
    criterion: CriterionValue
    low: int
    high: int
    because: str
    interests: str
    when: str
    when_sort: int | None


@dataclass(frozen=True)
class ThreatValue:
    """What threatens it."""

    code: str
    kind: tuple[tuple[str, str], ...]
    """Its name by language."""
    text: str
    noticed: str
    deadline: str
    deadline_earliest: date | None
    who_can_avert: str
    asked: str
    ended: str
    outcome: str


@dataclass(frozen=True)
class DecisionValue:
    """What the body decided; the custodian's reply only in the words that may be printed."""

    code: str
    when: str
    when_sort: int | None
    advice: str
    step: str
    decision: str
    departs: bool
    because: str
    reply_printed_as: str
    next_review: str


@dataclass(frozen=True)
class DangerValue:
    """Everything public of one instrument's danger."""

    judgements: tuple[JudgementValue, ...] = ()
    threats: tuple[ThreatValue, ...] = ()
    decisions: tuple[DecisionValue, ...] = ()
    """The last one first."""

    @property
    def open_threats(self) -> tuple[ThreatValue, ...]:
        """Those that have not ended, the nearest deadline first."""
        found = (one for one in self.threats if one.ended == "open")
        return tuple(sorted(found, key=lambda one: (one.deadline_earliest or date.max, one.code)))
