"""The sections of a brief: each a heading and blocks, the same facts whoever reads."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from publishing.catalogue.instrument_page import couplers, stoplist
from publishing.catalogue.plates import plates
from publishing.catalogue.rendering import named, word
from publishing.catalogue.scheme_words import sharing_sentences, totals_in_words
from publishing.disclosure.briefs import BriefFacts, ConditionValue, DefectValue
from publishing.disclosure.values import PictureValue
from publishing.editions import EditionFigures

from . import money
from .drafting import PassageText, figures_in_words, passage
from .money import Block, table
from .pictures import PrintPictures
from .typesetting import flat_svg, may_break
from .words import phase_name

MOST_EVENTS = (14, 12, 6)
MOST_DEFECTS = (12, 10, 4)
COURSES = ("worse", "new", "same", "better", "cured", "not looked at again")


@dataclass
class Maker:
    """Makes sections of one brief; remembers its pictures and whether drafts are left."""

    facts: BriefFacts
    figures: EditionFigures | None
    tightness: int = 0
    """0 to 2: how much is left to the record so that the brief keeps to six pages."""
    prints: PrintPictures = field(default_factory=PrintPictures)
    pictures: dict[str, bytes] = field(default_factory=dict)
    drafts: list[str] = field(default_factory=list)

    def make(self, name: str, heading: str) -> dict[str, Any] | None:
        """A section, or None where there is nothing to say."""
        blocks = getattr(self, f"_{name}")()
        return {"heading": heading, "blocks": blocks} if blocks else None

    def passage(self, section: str) -> PassageText:
        """A passage; drafts are counted."""
        found = passage(section, self.facts, self.figures)
        if not found.accepted and section not in self.drafts:
            self.drafts.append(section)
        return found

    def _text(self, section: str) -> Block:
        found = self.passage(section)
        return {"kind": "passage", "text": found.text, "draft": not found.accepted}

    def _instrument(self) -> list[Block]:
        return [self._text("instrument")]

    def _significance(self) -> list[Block]:
        return [
            self._text("significance"),
            {"kind": "text", "text": figures_in_words(self.facts, self.figures)},
        ]

    def _mechanism(self) -> list[Block]:
        """How its sharing works: sentences and one drawing."""
        current = self.facts.organ.current
        if current is None:
            return []
        sentences = sharing_sentences(current, self.facts.devices)
        if self.tightness > 1:
            sentences = sentences[:3]
        blocks: list[Block] = [{"kind": "text", "text": " ".join(sentences)}]
        if not current.answer["families"]:
            return blocks
        made = plates(current)
        plate = next((one for one in made if one.name.startswith("section")), made[0] if made else None)
        if plate is not None:
            drawing = plate.wide
            self.pictures["mechanism.svg"] = flat_svg(drawing.svg)
            caption = _("%(caption)s Drawn to a nominal scale from pitch.") % {"caption": drawing.caption}
            blocks.append(
                {
                    "kind": "picture", "file": "mechanism.svg", "alt": f"{drawing.title}. {drawing.description}"[:900],
                    "caption": caption, "height": (108, 96, 62)[self.tightness],
                }
            )  # fmt: skip
        return blocks

    def _timeline(self) -> list[Block]:
        events = [event for event in self.facts.organ.events if event.when]
        most = MOST_EVENTS[self.tightness]
        rows = [
            [
                event.when.words if event.when else "",
                ": ".join(
                    part
                    for part in (word(event.kind), _shortened(event.text, (260, 200, 100)[self.tightness]))
                    if part
                )
                + (f" ({event.maker.name})" if event.maker else "")
                + (f" [{named(event.certainty, 'Certainty')}]" if event.certainty != "certain" else ""),
            ]
            for event in events[:most]
        ]
        if not rows:
            return []
        blocks = [table([_("When"), _("What happened")], rows, columns=[1.6, 7])]
        return blocks + _left_out(len(events) - most)

    def _stoplist(self) -> list[Block]:
        """Knobs beside the rows of pipes they stand on."""
        current = self.facts.organ.current
        if current is None:
            return []
        groups = [
            {
                "name": group["name"],
                "compass": group["compass"],
                "stops": [
                    may_break(stop["label"]) + (f" {stop['feet']}" if stop["feet"] else "")
                    for stop in group["stops"]
                ],
            }
            for group in stoplist(current)
        ]
        ranks = [
            _("%(rank)s: %(pipes)s pipes") % {"rank": rank.name or rank.code, "pipes": rank.pipes}
            if rank.pipes is not None
            else _("%(rank)s: not counted") % {"rank": rank.name or rank.code}
            for rank in current.ranks
        ]
        counted = _("%(stops)s stops stand on %(ranks)s independent rows of pipes.") % {
            "stops": len(current.stops),
            "ranks": len(current.ranks),
        }
        blocks: list[Block] = [
            {"kind": "stoplist", "groups": groups},
            {"kind": "text", "text": f"{counted} {totals_in_words(current.answer)}"},
            {"kind": "small", "text": "; ".join(ranks) + "."},
        ]
        joined = couplers(current)
        if joined:
            blocks.append({"kind": "small", "text": _("Couplers: %(couplers)s.") % {"couplers": joined}})
        return blocks

    def _condition(self) -> list[Block]:
        blocks = [self._text("condition")]
        found = self.facts.condition
        if found is not None:
            blocks += _parts(found)
            shown = sorted(found.defects, key=lambda one: COURSES.index(one.course))
            most = MOST_DEFECTS[self.tightness]
            if shown:
                heads = [_("What was found"), _("Where"), _("Course"), _("Extent")]
                rows = [defect_row(one) for one in shown[:most]]
                blocks.append(table(heads, rows, columns=[2.4, 4, 1.4, 1.4]))
                blocks += _left_out(len(shown) - most)
        return blocks + self._photographs()

    def _photographs(self) -> list[Block]:
        """Up to two pictures beside the one of the first page."""
        items = []
        for number, value in enumerate(self.facts.organ.pictures[1:3] if self.tightness < 2 else ()):
            made = self.prints.make(value)
            if made is not None:
                name = f"picture-{number}.jpg"
                self.pictures[name] = made
                items.append({"file": name, "alt": value.shows, "caption": caption_of(value)})
        return [{"kind": "pictures", "items": items}] if items else []

    def _why_now(self) -> list[Block]:
        return [self._text("why now")]

    def _options(self) -> list[Block]:
        return money.options_blocks(self.facts)

    def _unchanged(self) -> list[Block]:
        return [self._text("unchanged")]

    def _works(self) -> list[Block]:
        cautions: list[Block] = []
        if self.facts.works.cautions:
            cautions = [
                {"kind": "text", "text": _("Before money is spent:")},
                {"kind": "list", "items": list(self.facts.works.cautions)},
            ]
        return money.works_blocks(self.facts) + cautions

    def _budget(self) -> list[Block]:
        return money.budget_blocks(self.facts, short=self.tightness > 1)

    def _funding(self) -> list[Block]:
        return money.funding_blocks(self.facts, gifts=False)

    def _gifts(self) -> list[Block]:
        return money.funding_blocks(self.facts, gifts=True)

    def _tests(self) -> list[Block]:
        return [self._text("tests")]

    def _upkeep(self) -> list[Block]:
        return [self._text("upkeep")]

    def _benefit(self) -> list[Block]:
        return [self._text("benefit")]

    def _adviser(self) -> list[Block]:
        return [self._text("adviser")]

    def _sources(self) -> list[Block]:
        """Sources cited, and how to cite the record."""
        organ = self.facts.organ
        named = dict.fromkeys(
            one.source.name + (f", {one.locator}" if one.locator else "") for one in organ.citations
        )
        most = (12, 10, 5)[self.tightness]
        items = list(named)[:most]
        blocks: list[Block] = [{"kind": "list", "items": items}] if items else []
        blocks += _left_out(len(named) - most)
        return [*blocks, {"kind": "small", "text": how_to_cite(self.facts, self.figures)}]


def how_to_cite(facts: BriefFacts, figures: EditionFigures | None) -> str:
    """The record with its version, and the edition whose figures are quoted."""
    from django.conf import settings

    organ = facts.organ
    cited = _("Cite as: %(collection)s, %(name)s, record %(reference)s, version %(version)s.") % {
        "collection": settings.COLLECTION_NAME, "name": organ.name, "reference": organ.reference,
        "version": organ.version,
    }  # fmt: skip
    if figures is None:
        return cited
    quoted = _("Figures of the collection: edition “%(name)s”, %(date)s.") % {
        "name": figures.name,
        "date": figures.made_on,
    }
    return f"{cited} {quoted}"


def caption_of(value: PictureValue) -> str:
    """What stands below a picture, its credit and licence among it."""
    said = [value.caption or value.shows, value.when.words if value.when else ""]
    if value.is_drawn:
        said.append(_("drawn, not photographed"))
    said += [value.credit, value.licence]
    return " · ".join(part for part in said if part)


def defect_row(one: DefectValue) -> list[str]:
    """A defect as the last survey found it."""
    courses = {
        "new": _("new"), "worse": _("worse"), "same": _("the same"), "better": _("better"), "cured": _("cured"),
        "not looked at again": _("not looked at again"),
    }  # fmt: skip
    extent = "–"
    if one.affected is not None:
        extent = str(one.affected)
        if one.out_of is not None:
            extent = _("%(n)s of %(all)s") % {"n": one.affected, "all": one.out_of}
    return [word(one.kind), one.where, courses[one.course], extent]


def _parts(found: ConditionValue) -> list[Block]:
    """Parts with their classes, said to be classes; not judged is a dash."""
    if not found.parts:
        return []
    rows = [
        [name, *("–" if value is None else str(value) for value in classes), played or "–"]
        for name, *classes, played in found.parts[:8]
    ]
    heads = [_("Part"), _("Condition"), _("Urgency"), _("Measures"), _("Plays")]
    note = _("Classes 0 to 3, from nothing to do to urgent and major; each judged by itself.")
    return [
        table(heads, rows, columns=[3, 1.1, 1.1, 1.1, 3], right=[1, 2, 3]),
        {"kind": "small", "text": note},
    ]


def _left_out(number: int) -> list[Block]:
    if number <= 0:
        return []
    text = ngettext("%(n)s more in the record.", "%(n)s more in the record.", number) % {"n": number}
    return [{"kind": "small", "text": text}]


def _shortened(text: str, most: int) -> str:
    """The text to the end of a word within its room."""
    if len(text) <= most:
        return text
    return text[:most].rsplit(" ", 1)[0].rstrip(",;:. ") + "…"


__all__ = ["Maker", "caption_of", "how_to_cite", "phase_name"]
