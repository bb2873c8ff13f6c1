"""Everything one instrument gives to the site, made from its frozen value: pages, files, links, and small parts.

A value goes in and values come out, so that any `concurrent.futures.Executor` can do it elsewhere: nothing here
asks the database. Parts are what lists and figures need of an instrument; they are kept, and read again one kind
at a time.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from inventory.organ.scheme_writing import scheme_to_dict
from publishing.disclosure.values import DeviceValue, PublicInstrument
from publishing.editions import EditionFigures
from publishing.formats.addresses import Address

from .around_pages import ConditionPage
from .condition_tables import condition_tables
from .course_plate import course_of
from .danger_page import DangerPages, danger_context
from .instrument_page import idea_in_words, instrument_context, made_in_words
from .languages import Languages
from .link_reading import PageLinks, collect_links
from .list_words import facets_of, year_made
from .map_page import Locators
from .open_data import data_part, edition_line, linked_data
from .packing import pack, unpack
from .page_scripts import page_script
from .pictures import PictureMaker, picture_words
from .plate_files import ShownPlate, shown_plates
from .plates import plates
from .record_pages import RecordPages
from .rendering import Renderer, open_site
from .search_page import SearchData
from .shared_pipes_page import SharedPipes
from .statistics_pages import statistics_part
from .survival_page import SurvivalPage
from .time_pages import TimePages
from .ways_pages import WaysPages

FREE_PARTS = ("danger", "data", "maps", "statistics", "survival")
"""Kinds of parts without words of ours."""
SPOKEN_PARTS = ("cards", "condition", "records", "search", "shared", "time", "ways")
"""Kinds of parts with words, one for each language."""
LINKED = (".html", ".css", ".svg")
"""Endings of files whose links are read."""


@dataclass(frozen=True)
class Facts:
    """What the pages of an instrument need beside its own value; small enough to be sent to every worker."""

    languages: tuple[str, ...]
    address: Address | None
    devices: Mapping[str, DeviceValue]
    figures: EditionFigures | None
    maker_kinds: Mapping[str, str]
    locators: Locators
    pictures: Path
    """Where derived pictures are kept between exports."""


@dataclass(frozen=True)
class Made:
    """Everything of one instrument."""

    reference: str
    files: tuple[tuple[str, bytes], ...]
    links: tuple[PageLinks, ...]
    parts: Mapping[str, bytes]
    """Packed, by kind, and language where it has words: cards:fr."""


def part_names(languages: Sequence[str]) -> tuple[str, ...]:
    """The names of all parts of an instrument, in the order in which their digests are kept."""
    return (*FREE_PARTS, *(f"{kind}:{language}" for language in languages for kind in SPOKEN_PARTS))


@lru_cache(maxsize=1)
def _maker(packed_facts: bytes) -> InstrumentMaker:
    return InstrumentMaker(unpack(packed_facts))


def make_instruments(packed_facts: bytes, organs: Sequence[PublicInstrument]) -> list[Made]:
    """Make some instruments; what a worker is asked for. Templates are compiled once for each worker."""
    maker = _maker(packed_facts)
    return [maker.make(organ) for organ in organs]


class InstrumentMaker:
    """Makes instruments, one after another."""

    def __init__(self, facts: Facts) -> None:
        self.facts = facts
        self.speakers = [Speaker(facts, Languages(facts.languages, code)) for code in facts.languages]

    def make(self, organ: PublicInstrument) -> Made:
        """Everything of one instrument."""
        pictures = PictureMaker(keep=self.facts.pictures)
        statistics = statistics_part(organ)
        stands = (organ.place.reference, organ.link) if organ.place is not None else None
        parts = {"data": pack(data_part(organ)), "maps": pack(stands), "statistics": pack(statistics)}
        parts["danger"] = pack(DangerPages.told_by(organ))
        parts["survival"] = pack(SurvivalPage.told_by(organ))
        files: list[tuple[str, bytes]] = []
        for speaker in self.speakers:
            with translation.override(speaker.languages.here):
                made, spoken = speaker.make(organ, pictures, statistics.pipes_shared)
            files += [(speaker.languages.path(path), content) for path, content in made]
            parts |= {f"{kind}:{speaker.languages.here}": pack(part) for kind, part in spoken.items()}
        files += pictures.fresh_files()
        if organ.current is not None:
            document = json.dumps(scheme_to_dict(organ.current.scheme), ensure_ascii=False, indent=1)
            files.append((f"instruments/{organ.reference}.scheme.json", document.encode() + b"\n"))
        return Made(organ.reference, tuple(files), tuple(read_links(files)), parts)


class Speaker:
    """Makes the page of an instrument in one language, which is active then."""

    def __init__(self, facts: Facts, languages: Languages) -> None:
        self.facts, self.languages = facts, languages
        with translation.override(languages.here):
            self.renderer = Renderer(open_site(), facts.address, languages)
        self.shared, self.ways = SharedPipes(facts.devices), WaysPages(facts.devices)

    def make(
        self, organ: PublicInstrument, pictures: PictureMaker, pipes_shared: int
    ) -> tuple[list[tuple[str, bytes]], dict[str, Any]]:
        """The page with its drawings, and the parts with words."""
        path = f"instruments/{organ.reference}.html"
        context = instrument_context(organ, self.facts.devices, pictures)
        first = context["pictures"][0].src if context["pictures"] else ""
        drawn = shown_plates(context["plates"], organ, self.renderer.site)
        course = course_of(organ)
        # A file as the large drawings are: in the page it would weigh as much as a photograph.
        drawn_course = shown_plates(
            [replace(course.plate, apart=True)] if course else [], organ, self.renderer.site
        )
        context |= {
            "linked": linked_data(organ, self.facts.address, self.facts.maker_kinds, first),
            "edition_line": edition_line(organ, self.facts.figures),
            "locator": self.facts.locators.of(organ.place),
            "pictures_script": page_script("pictures"),
            "pictures_words": picture_words(),
            "plates": [shown for shown, _files in drawn],
            "course": course,
            "condition": condition_tables(organ),
            "course_shown": drawn_course[0][0] if drawn_course else None,
            "danger": danger_context(organ),
        }
        files = [file for _shown, those in (*drawn, *drawn_course) for file in those]
        files.append((path, self.renderer.page("instrument.html", path, **context)))
        return files, {
            "cards": card_of(organ, context) | {"pipes_shared": pipes_shared},
            "condition": ConditionPage.surveys_of(organ),
            "records": RecordPages.said_by(organ),
            "search": SearchData.words_of(organ),
            "shared": self.shared.rows_of(organ),
            "time": TimePages.told_by(organ),
            "ways": self.ways.found_in(organ, context["plates"]),
        }


def read_links(files: Iterable[tuple[str, bytes]]) -> Iterator[PageLinks]:
    """The links of the files that can have any."""
    for path, content in files:
        if path.endswith(LINKED):
            yield collect_links(path, content)


def drawings_of(organ: PublicInstrument, renderer: Renderer) -> dict[str, ShownPlate]:
    """The drawings of one instrument by name, in the language that is active."""
    if organ.current is None:
        return {}
    drawn = shown_plates(plates(organ.current), organ, renderer.site)
    return {shown.plate.name: shown for shown, _files in drawn}


def card_of(organ: PublicInstrument, context: dict[str, Any]) -> dict[str, Any]:
    """What lists print of an instrument."""
    current = organ.current
    first = context["pictures"][0] if context["pictures"] else None
    recorded = current.answer["pipes_recorded"] if current else None
    return {
        "href": f"instruments/{organ.reference}.html",
        "name": organ.name,
        "where": organ.place.name if organ.place else _("place not published"),
        "date": made_in_words(organ),
        "year": year_made(organ),
        "facets": facets_of(organ),
        "idea": idea_in_words(current),
        "thumbnail": first.thumbnail if first else "",
        "stops": len(current.stops) if current else "–",
        "ranks": len(current.ranks) if current else "–",
        "pipes": recorded if recorded is not None else "–",
        "shares": bool(current and current.answer["families"]),
    }
