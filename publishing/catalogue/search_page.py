"""Search that needs no server: a compact file of what everybody may know, and the page that reads it."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from django.utils.translation import gettext as _

from publishing.disclosure.instruments import Collection
from publishing.disclosure.values import Link, PublicInstrument

from .page_scripts import hashed_path, page_script
from .shared_pipes_page import pattern_name

FOLDERS = ("instruments", "makers", "places", "sources")
Lists = tuple[Iterable[str], Iterable[str], Iterable[str], Iterable[str], Iterable[str]]
"""Places, makers, stops, patterns and other names of one record."""


class SearchData:
    """Rows of the search file, gathered while instruments pass by; each word is written once."""

    def __init__(self) -> None:
        self.words: dict[str, int] = {}
        self.rows: list[list[Any]] = []

    def add(self, found: tuple[Link, Lists]) -> None:
        """Take what one instrument is found by."""
        self.add_row(*found)

    @staticmethod
    def words_of(organ: PublicInstrument) -> tuple[Link, Lists]:
        """What one instrument is found by."""
        current = organ.current
        place = organ.place
        makers = {event.maker.name for event in organ.events if event.maker}
        makers |= {layer.maker.name for layer in organ.layers if layer.maker}
        patterns = {
            pattern["pattern"]
            for family in (current.answer["families"] if current else ())
            for pattern in family["patterns"]
        }
        return (
            organ.link,
            (
                (place.name, *(one.name for one in place.within)) if place else (),
                sorted(makers),
                tuple(dict.fromkeys(stop.name or stop.label for stop in current.stops)) if current else (),
                sorted(pattern_name(pattern) for pattern in patterns),
                (),
            ),
        )

    def add_records(self, collection: Collection) -> None:
        """Take makers, places and sources."""
        for maker in collection.makers.values():
            shop = (maker.workshop.name,) if maker.workshop else ()
            self.add_row(maker.link, (shop, (), (), (), (name for name, _where in maker.variants)))
        for place in collection.places.values():
            self.add_row(place.link, ((one.name for one in place.within), (), (), (), place.other_names))
        for source in collection.sources.values():
            others = (text for text in (source.author, source.shelfmark) if text)
            self.add_row(source.link, ((), (), (), (), others))

    def add_row(self, link: Link, lists: Lists) -> None:
        """One record: its kind, reference, heading, and numbers of the words that lead to it."""
        numbers = [[self._number(word) for word in words] for words in lists]
        while numbers and not numbers[-1]:
            numbers.pop()
        self.rows.append([FOLDERS.index(link.folder), link.reference, link.name, *numbers])

    def _number(self, word: str) -> int:
        return self.words.setdefault(word, len(self.words))

    def file(self) -> tuple[str, bytes]:
        """The data as a script, for pages opened from a disk may not read any other file."""
        document = json.dumps(
            {"words": list(self.words), "rows": self.rows}, ensure_ascii=False, separators=(",", ":")
        )
        content = f"self.searchData={document};\n".encode()
        return hashed_path("search-data", content), content


def search_context(data_path: str, records: int) -> dict[str, Any]:
    """What the template `search.html` prints."""
    words = {
        "folders": FOLDERS,
        "kinds": [_("instrument"), _("maker"), _("place"), _("source")],
        "fields": [
            _("name"), _("reference"), _("place"), _("maker"), _("stop"), _("shared by"), _("other name"),
        ],
        "near": _("spelt alike"),
        "none": _("Nothing holds these words, nor words spelt alike. Fewer letters find more."),
        "one": _("One record found."),
        "some": _("{n} records found."),
        "many": _("{n} records found; the first {shown} are shown. More letters find fewer."),
    }  # fmt: skip
    return {
        "title": _("Search"),
        "description": _("Instruments, makers, places and sources, found by any word of theirs."),
        "words": json.dumps(words, ensure_ascii=False),
        "records": records,
        "data_script": data_path,
        "scripts": [page_script("searching"), page_script("search")],
    }
