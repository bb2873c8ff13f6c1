"""Who reads a brief: the order of its sections, its headings, and the first questions, answered on page one."""

from __future__ import annotations

from django.utils.translation import gettext as _

from publishing.disclosure.briefs import BriefFacts
from publishing.editions import EditionFigures

from .money import phases_of, work_of
from .words import amount, option_name, percent, phase_name, tax_in_words

ORDER = {
    "owner": (
        "why_now", "works", "budget", "funding", "condition", "options", "unchanged", "instrument", "mechanism",
        "significance", "timeline", "stoplist", "tests", "upkeep", "adviser", "benefit", "sources",
    ),
    "donor": (
        "instrument", "mechanism", "significance", "gifts", "why_now", "condition", "unchanged", "works", "budget",
        "benefit", "timeline", "stoplist", "options", "upkeep", "tests", "adviser", "sources",
    ),
    "grant": (
        "significance", "instrument", "mechanism", "timeline", "stoplist", "condition", "why_now", "options",
        "unchanged", "works", "tests", "budget", "funding", "benefit", "upkeep", "adviser", "sources",
    ),
}  # fmt: skip

AROUND = ("advice", "record", "access", "climate", "open", "other")

Answers = list[tuple[str, str]]


def heading_of(section: str, reader: str) -> str:
    """The heading of a section in the words of its reader."""
    own = {
        ("owner", "why_now"): _("Why it is asked now"),
        ("owner", "funding"): _("Who pays"),
        ("owner", "works"): _("What is done, and when"),
        ("owner", "budget"): _("What it costs"),
        ("owner", "upkeep"): _("What it costs to keep"),
        ("donor", "mechanism"): _("The idea inside"),
        ("donor", "significance"): _("Why it is worth it"),
        ("donor", "gifts"): _("What a gift does"),
        ("donor", "budget"): _("Where the money goes"),
        ("donor", "benefit"): _("Who will hear it"),
        ("grant", "significance"): _("Significance"),
        ("grant", "unchanged"): _("Approach: what will not be changed"),
        ("grant", "tests"): _("How the result is judged"),
        ("grant", "funding"): _("Funding plan"),
    }
    plain = {
        "instrument": _("The instrument"), "significance": _("Why it matters"), "mechanism": _("How it works"),
        "timeline": _("Its history"), "stoplist": _("Stops and rows of pipes"), "condition": _("Its condition"),
        "why_now": _("Why now"), "options": _("Options"), "unchanged": _("What will not be changed"),
        "works": _("Works by phase"), "budget": _("Budget"), "funding": _("Funding"), "gifts": _("Gifts"),
        "tests": _("How the work is accepted"), "upkeep": _("Upkeep afterwards"), "benefit": _("Public benefit"),
        "adviser": _("Adviser, permissions, cautions"), "sources": _("Sources and citation"),
    }  # fmt: skip
    return own.get((reader, section)) or plain[section]


def reader_line(reader: str) -> str:
    """Whom the brief is for."""
    return {
        "owner": _("A brief for the owner"),
        "donor": _("A brief for those who give"),
        "grant": _("A brief for a grant body"),
    }[reader]


def first_answers(reader: str, facts: BriefFacts, figures: EditionFigures | None) -> Answers:
    """The reader's first questions with their answers."""
    return {"owner": _owner, "donor": _donor, "grant": _grant}[reader](facts, figures)


def _owner(facts: BriefFacts, _figures: EditionFigures | None) -> Answers:
    return [
        (_("What is to be done?"), _what(facts)),
        (_("By when?"), _by_when(facts)),
        (_("How much?"), _how_much(facts)),
        (_("Who helps, who decides?"), _who_helps(facts)),
    ]


def _donor(facts: BriefFacts, _figures: EditionFigures | None) -> Answers:
    works = facts.works
    does = _("Every gift goes to the works of this brief and to nothing else.")
    if works.gap:
        does += " " + _("%(gap)s are still to be found.") % {"gap": amount(works.gap, works)}
    if works.pipe_gift:
        does += " " + _(
            "%(amount)s stand for one pipe. A pipe that several stops share is one pipe with several voices, and is "
            "given once."
        ) % {"amount": amount(works.pipe_gift, works)}
    names = ", ".join(dict.fromkeys(name for name, _state in works.givers))
    gave = _("%(secured)s are secured and %(pledged)s pledged.") % {
        "secured": amount(works.secured, works),
        "pledged": amount(works.pledged, works),
    }
    if names:
        gave += " " + _("Among those who give: %(names)s.") % {"names": names}
    return [
        (_("What does my gift do?"), does),
        (_("Who else gave?"), gave),
        (_("What is done with it?"), _what(facts)),
        (_("What stays as it is?"), _stays(facts)),
    ]


def _grant(facts: BriefFacts, figures: EditionFigures | None) -> Answers:
    works = facts.works
    eligible = _what(facts)
    if works.chosen:
        eligible += " " + _("Documentation is part of it; nothing is added to the sound or to the action.")
    if works.chosen and works.total:
        own = percent(f"{100 * works.secured / works.total:.0f}")
        eligible += " " + _("Secured so far: %(share)s of the total; the balance asked for is %(gap)s.") % {
            "share": own,
            "gap": amount(works.gap, works),
        }
    return [
        (_("Is it eligible?"), eligible),
        (_("Is it significant?"), _significant(facts, figures)),
        (_("Is it the right method?"), _method(facts)),
        (_("How much, by when?"), f"{_how_much(facts)} {_by_when(facts)}"),
    ]


def _what(facts: BriefFacts) -> str:
    if not facts.works.chosen:
        return _("No option is chosen yet; four are set out in this brief.")
    options = ", ".join(dict.fromkeys(option_name(one.option) for one in facts.works.chosen))
    lines = [line for phase in phases_of(facts.works) for line in phase.lines]
    lines.sort(key=lambda line: line.step in AROUND)  # the work itself first, what stands around it after
    told = "; ".join(list(dict.fromkeys(work_of(line) for line in lines))[:4])
    return _("%(option)s. %(works)s.") % {"option": options, "works": told} if told else f"{options}."


def _by_when(facts: BriefFacts) -> str:
    phases = phases_of(facts.works)
    if not phases:
        return _("Not dated yet.")
    return (
        "; ".join(
            _("%(phase)s, %(when)s") % {"phase": phase_name(one), "when": one.when.words}
            if one.when
            else _("%(phase)s, not dated") % {"phase": phase_name(one)}
            for one in phases[:4]
        )
        + "."
    )


def _how_much(facts: BriefFacts) -> str:
    works = facts.works
    if not works.chosen:
        return _("There is no sum before an option is chosen.")
    low, high = works.correlated
    said = _("Expected %(total)s, most likely %(low)s to %(high)s: an estimate, never a tender.") % {
        "total": amount(works.total, works), "low": amount(low, works), "high": amount(high, works),
    }  # fmt: skip
    return f"{said} {tax_in_words(works)}"


def _who_helps(facts: BriefFacts) -> str:
    works = facts.works
    said = _(
        "Secured %(secured)s, pledged %(pledged)s, applied for %(applied)s; still to be found %(gap)s. An independent "
        "adviser helps; the owner decides."
    )
    return said % {
        "secured": amount(works.secured, works), "pledged": amount(works.pledged, works),
        "applied": amount(works.applied, works), "gap": amount(works.gap, works),
    }  # fmt: skip


def _stays(facts: BriefFacts) -> str:
    current = facts.organ.current
    if current is not None and current.answer["families"]:
        return _("The sharing stays as found: no pipes are added, no device is replaced by a switch.")
    return _("Every stop keeps the pipes it stands on.")


def _significant(facts: BriefFacts, figures: EditionFigures | None) -> str:
    current = facts.organ.current
    shares = current is not None and bool(current.answer["families"])
    if figures is None:
        return _("No edition of the collection is published yet, so no figures of it are quoted.")
    said = (
        _(
            "It is one of %(sharing)s that share pipes, among %(n)s instruments whose stoplist is known (%(edition)s)."
        )
        if shares
        else _("It shares no pipes, as %(rest)s of %(n)s instruments whose stoplist is known (%(edition)s).")
    )
    return said % {
        "sharing": figures.sharing, "n": figures.described, "rest": figures.described - figures.sharing,
        "edition": _("edition “%(name)s”") % {"name": figures.name},
    }  # fmt: skip


def _method(facts: BriefFacts) -> str:
    if facts.works.chosen:
        said = _("Four options were weighed, from leaving it to restoring it.")
        said += " " + _("Chosen: %(option)s.") % {"option": option_name(facts.works.chosen[0].option)}
    else:
        said = _("Four options are set out, from leaving it to restoring it; none is chosen yet.")
    return f"{said} {_stays(facts)} " + _("An independent adviser accepts the work.")
