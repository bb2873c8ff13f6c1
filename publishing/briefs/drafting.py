"""Passages drafted from the record: each stays a draft until a person accepts it.

Only what the record says, in plain words, without blame. Where the record says nothing, the
passage says that, or what has to be agreed.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.estimates.wilson import wilson_interval
from inventory.models.choices import RecordingLevel
from publishing.catalogue.instrument_page import made_in_words
from publishing.catalogue.record_texts import told as in_this_language
from publishing.catalogue.scheme_words import listed, sharing_sentences
from publishing.catalogue.shared_pipes_page import pattern_name
from publishing.disclosure.briefs import BriefFacts
from publishing.editions import EditionFigures

from .words import amount, option_chosen, percent, prices_in_words, tax_in_words


@dataclass(frozen=True)
class PassageText:
    """A passage as it is printed: somebody's text, or the draft."""

    text: str
    accepted: bool


def passage(section: str, facts: BriefFacts, figures: EditionFigures | None) -> PassageText:
    """The text of a passage: as people left it, else drafted from the record."""
    found = facts.passages.get(section)
    if found is not None and found.text.strip():
        return PassageText(found.text, found.accepted)
    return PassageText(draft(section, facts, figures), False)


def draft(section: str, facts: BriefFacts, figures: EditionFigures | None) -> str:
    """The draft of a passage in the language that is active."""
    return "\n\n".join(part for part in DRAFTS[section](facts, figures) if part)


Draft = Callable[[BriefFacts, EditionFigures | None], list[str]]


def _ask(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    works = facts.works
    if not works.chosen:
        return [
            _(
                "No option is chosen yet for %(name)s. This brief sets out what is known, so that one can be chosen."
            )
            % {"name": facts.organ.name}
        ]
    low, high = works.correlated
    asked = _(
        "%(option)s: the works are expected to cost %(total)s, most likely between %(low)s and %(high)s."
    ) % {
        "option": option_chosen(facts), "total": amount(works.total, works),
        "low": amount(low, works), "high": amount(high, works),
    }  # fmt: skip
    if works.gap:
        money = _("%(secured)s are secured; %(gap)s are still to be found.") % {
            "secured": amount(works.secured, works),
            "gap": amount(works.gap, works),
        }
    else:
        money = _("With what is secured, pledged and applied for, the sum is covered.")
    return [f"{asked} {money}", f"{tax_in_words(works)} {prices_in_words(works)}"]


def _instrument(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    organ, current = facts.organ, facts.organ.current
    made = made_in_words(organ)
    counts = ""
    if current is not None:
        ranks = [rank.pipes for rank in current.ranks if rank.pipes is not None]
        counts = ngettext(
            "%(stops)s stop on %(ranks)s rows of pipes; %(pipes)s pipes recorded.",
            "%(stops)s stops on %(ranks)s rows of pipes; %(pipes)s pipes recorded.",
            len(current.stops),
        ) % {"stops": len(current.stops), "ranks": len(current.ranks), "pipes": sum(ranks)}
    return [
        in_this_language(organ.summary, organ.summary_in),
        " ".join(part for part in (f"{made}." if made else "", counts) if part),
    ]


def _significance(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    current = facts.organ.current
    sentences = sharing_sentences(current, facts.devices) if current is not None else []
    return sentences[:1] or [
        _("The record does not say yet why it matters; say here to whom, and compared with what.")
    ]


def figures_in_words(facts: BriefFacts, figures: EditionFigures | None) -> str:
    """What the last edition counts over the whole collection: always computed, never edited."""
    if figures is None:
        return _("No edition of the collection is published yet, so no figures of it are quoted.")
    told = []
    interval = wilson_interval(figures.sharing, figures.described) if figures.described else None
    if interval is not None:
        told.append(
            _(
                "Of %(n)s instruments of the collection whose stoplist is known, %(sharing)s share pipes between "
                "stops (95 %% interval %(low)s–%(high)s)."
            )
            % {
                "n": figures.described, "sharing": figures.sharing,
                "low": percent(f"{100 * interval.low:.0f}"), "high": percent(f"{100 * interval.high:.0f}"),
            }
        )  # fmt: skip
    told += _patterns_counted(facts, figures)
    told.append(
        _("Figures of the edition “%(name)s” of %(date)s, %(n)s instruments.")
        % {"name": figures.name, "date": figures.made_on, "n": figures.instruments}
    )
    return " ".join(told)


def _patterns_counted(facts: BriefFacts, figures: EditionFigures) -> list[str]:
    """How many others show what this one shows."""
    current = facts.organ.current
    if current is None or not figures.sharing:
        return []
    own = sorted({one["pattern"] for family in current.answer["families"] for one in family["patterns"]})
    counted = [
        _("%(pattern)s in %(n)s") % {"pattern": pattern_name(pattern), "n": figures.patterns.get(pattern, 0)}
        for pattern in own[:4]
    ]
    if not counted:
        return [_("This one does not: every stop stands on pipes of its own.")]
    return [
        _("Of those %(sharing)s, it is found: %(counted)s.")
        % {"sharing": figures.sharing, "counted": listed(counted)}
    ]


def _condition(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    if not facts.tells_condition:
        return [
            _(
                "The condition is not described here: no consent for it is recorded. A confidential "
                "brief for the owner can describe it."
            )
        ]
    found = facts.condition
    if found is None:
        return [_("No survey is recorded yet; the first step is one.")]
    visit = _("Last survey: %(date)s, %(level)s.") % {
        "date": found.when.words if found.when else _("without a date"),
        "level": RecordingLevel(found.level).label,
    }
    heard = ""
    if found.tried:
        heard = _("Of %(tried)s note-stops tried, %(heard)s spoke.") % {
            "tried": found.tried,
            "heard": found.heard,
        }
    limits = _("Not reached: %(limits)s") % {"limits": found.limits} if found.limits else ""
    return [" ".join(part for part in (visit, heard, limits) if part), found.findings]


def _why_now(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    worse = [one for one in facts.condition.defects if one.course == "worse"] if facts.condition else []
    told = []
    if worse:
        told.append(
            ngettext(
                "%(n)s thing was found worse at the last survey than at the one before.",
                "%(n)s things were found worse at the last survey than at the one before.",
                len(worse),
            )
            % {"n": len(worse)}
        )
    first = next((p for package in facts.works.chosen for p in package.phases if p.when), None)
    if first is not None and first.when is not None:
        told.append(_("The first phase is planned for %(date)s.") % {"date": first.when.words})
    if not told:
        told.append(_("The record does not say what waiting would cost; say here what is known of it."))
    return [" ".join(told)]


def _unchanged(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    current = facts.organ.current
    shares = current is not None and bool(current.answer["families"])
    if shares:
        first = _(
            "The sharing stays as found: no pipes are added to complete a stop, and no device is "
            "simplified or replaced by a switch."
        )
    else:
        first = _("Every stop keeps the pipes it stands on; none is made to share.")
    return [
        first
        + " "
        + _(
            "Voicing, pitch and marks are kept; wear that tells of use is kept. What is taken out is "
            "labelled and kept. Whatever is done can be told from the old work, and undone."
        )
    ]


def _tests(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    current = facts.organ.current
    tried = _(
        "Every key of every stop is tried and the result written down, beside the survey before the work."
    )
    if current is not None and current.answer["families"]:
        tried = _(
            "All %(calls)s calls of the scheme are tried: every key of every stop alone, and stops that "
            "share pipes two at a time, for a valve that lets wind back is heard only then."
        ) % {"calls": current.answer["calls"]}
    return [
        tried,
        _(
            "The wind holds its pressure with nothing held; pitch and temperature are written down "
            "together. The record of what was touched, found, kept and changed, with reasons, is handed "
            "over in several copies. An adviser who took no part in the work accepts it."
        ),
    ]


def _upkeep(_facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    return [
        _(
            "A visit each year by the same builder, with a written list of keys; humidity and "
            "temperature written down all year; a look under the board at stated times. A reserve of "
            "%(range)s of the replacement value a year is a range that is quoted (common practice); "
            "agree it with whoever keeps the organ."
        )
        % {"range": "0.2–0.5\u00a0%"}
    ]


def _benefit(facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    return [
        _(
            "Agreed with the owner, and written here: who will play it, who will hear it, who will learn "
            "on it, and when it can be seen. The record of %(name)s is published in the catalogue, free "
            "to read, cite and download."
        )
        % {"name": facts.organ.name}
    ]


def _adviser(_facts: BriefFacts, _figures: EditionFigures | None) -> list[str]:
    return [
        _(
            "An adviser who is independent of the builder, and says who pays the fee, accompanies the "
            "work. The owner’s consent and the permissions of the authorities come before the contract; "
            "several funds do not pay for work that began before their answer."
        ),
        _(
            "Work inside the organ is for organ builders; electricity, scaffolds, structure and "
            "hazardous substances are for people licensed for them. Local codes and licensed practice "
            "prevail. This brief is no legal, safety or structural advice, and clears nobody to open, "
            "touch or wind anything."
        ),
    ]


DRAFTS: Mapping[str, Draft] = {
    "ask": _ask,
    "instrument": _instrument,
    "significance": _significance,
    "condition": _condition,
    "why now": _why_now,
    "unchanged": _unchanged,
    "tests": _tests,
    "upkeep": _upkeep,
    "benefit": _benefit,
    "adviser": _adviser,
}
