"""The restoration brief: one instrument, one reader, one language, two to six pages."""

from __future__ import annotations

import re
from typing import Any

from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from publishing.disclosure.briefs import BriefFacts, NotForBrief, read_brief_facts
from publishing.editions import EditionFigures, last_edition_figures

from .pictures import PrintPictures
from .readers import ORDER, first_answers, heading_of, reader_line
from .record_language import marked, record_texts
from .sections import Maker, caption_of
from .typesetting import typeset
from .words import LANGUAGES, READERS, amount, never_a_tender

MOST_PAGES = 6
TIGHTEST = 2
_PAGES = re.compile(rb"/Type\s*/Pages\s*/Count (\d+)")


def make_brief(
    reference: str, *, reader: str = "owner", language: str = "en", confidential: bool = False
) -> bytes:
    """The brief as a PDF. Where it would be longer than six pages, more is left to the record."""
    if reader not in READERS or language not in LANGUAGES:
        raise NotForBrief(
            _("A brief is for %(readers)s, in %(languages)s.")
            % {"readers": ", ".join(READERS), "languages": ", ".join(LANGUAGES)}
        )
    facts = read_brief_facts(reference, language, confidential=confidential)
    figures, prints = last_edition_figures(), PrintPictures()
    with translation.override(language):
        made = _typeset(facts, figures, reader, language, 0, prints)
        for tightness in range(1, TIGHTEST + 1):
            tighter = _typeset(facts, figures, reader, language, tightness, prints)
            # A little tighter where that saves a page that would stand nearly empty; more only where it has to be.
            if count_pages(made) > MOST_PAGES or (
                tightness == 1 and count_pages(tighter) < count_pages(made)
            ):
                made = tighter
            else:
                break
    return made


def _typeset(
    facts: BriefFacts,
    figures: EditionFigures | None,
    reader: str,
    language: str,
    tightness: int,
    prints: PrintPictures,
) -> bytes:
    data, pictures = brief_data(facts, figures, reader, tightness, prints)
    texts = record_texts(facts.organ, facts.works, facts.condition)
    return typeset("brief", marked(data, language, texts), language, pictures=pictures)


def count_pages(pdf: bytes) -> int:
    """Pages of a PDF as our typesetting writes them."""
    found = _PAGES.findall(pdf)
    return int(found[0]) if found else 0


def brief_data(
    facts: BriefFacts,
    figures: EditionFigures | None,
    reader: str,
    tightness: int = 0,
    prints: PrintPictures | None = None,
) -> tuple[dict[str, Any], dict[str, bytes]]:
    """Everything the template prints, in the language that is active, and the pictures it names."""
    maker = Maker(facts, figures, tightness, prints or PrintPictures())
    organ = facts.organ
    ask = maker.passage("ask")
    front = organ.pictures[0] if organ.pictures else None
    shown = maker.prints.make(front) if front is not None else None
    if shown is not None:
        maker.pictures["front.jpg"] = shown
    sections = [made for name in ORDER[reader] if (made := maker.make(name, heading_of(name, reader)))]
    data = {
        "title": _("%(name)s: %(reader)s") % {"name": organ.name, "reader": reader_line(reader)},
        "name": organ.name,
        "place": organ.place.name if organ.place else "",
        "reader": reader_line(reader),
        "ask": {"text": ask.text, "draft": not ask.accepted},
        "key_figures": _key_figures(facts),
        "answers": [list(pair) for pair in first_answers(reader, facts, figures)],
        "front": {"file": "front.jpg", "alt": front.shows, "caption": caption_of(front)}
        if front is not None and shown is not None
        else None,
        "sections": sections,
        "tight": tightness,
        "draft_word": _("draft"),
        "running": f"{organ.name} · {reader_line(reader)}",
        "mark": _mark(facts, len(maker.drafts)),
        "foot": _("%(collection)s · %(reference)s, version %(version)s · %(never)s") % {
            "collection": settings.COLLECTION_NAME, "reference": organ.reference, "version": organ.version,
            "never": never_a_tender(),
        },
        "page_word": _("page %(n)s of %(total)s") % {"n": "%n", "total": "%total"},
    }  # fmt: skip
    return data, maker.pictures


def _mark(facts: BriefFacts, drafts: int) -> str:
    """What every page is marked with: confidential, drafts left."""
    marks = []
    if facts.confidential:
        marks.append(_("Confidential: for the owner and the team"))
    if drafts:
        marks.append(
            ngettext(
                "Draft: %(n)s passage not yet accepted", "Draft: %(n)s passages not yet accepted", drafts
            )
            % {"n": drafts}
        )
    return " · ".join(marks)


def _key_figures(facts: BriefFacts) -> list[list[str]]:
    """The sums of the first page: expected, secured, still to be found."""
    works = facts.works
    if not works.chosen:
        return []
    left = (
        [_("more than needed"), amount(works.surplus, works)]
        if works.surplus
        else [_("still to be found"), amount(works.gap, works)]
    )
    return [
        [_("expected total"), amount(works.total, works)],
        [_("secured"), amount(works.secured, works)],
        left,
    ]
