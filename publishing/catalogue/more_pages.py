"""The pages around the records: search, map, ways of sharing, time, words, condition, errors."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from publishing.disclosure.instruments import Collection
from publishing.disclosure.values import PublicInstrument, PublicPlace

from .around_pages import ConditionPage, around_pages
from .map_page import Locator, Maps
from .plate_files import ShownPlate
from .rendering import Renderer
from .search_page import SearchData, search_context
from .time_pages import TimePages
from .ways_pages import WaysPages

Page = tuple[str, bytes]


class MorePages:
    """Takes instruments as they pass by and yields its pages at the end."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection
        self.search = SearchData()
        self.maps = Maps(collection)
        self.ways = WaysPages(collection.devices)
        self.time = TimePages()
        self.condition = ConditionPage()

    def add(self, organ: PublicInstrument, plates: Sequence[ShownPlate] = ()) -> None:
        """Take one instrument and its drawings."""
        self.search.add(organ)
        self.ways.add(organ, plates)
        self.time.add(organ)
        self.condition.add(organ)
        self.maps.add(organ)

    def locator(self, place: PublicPlace | None) -> Locator | None:
        """The small map of a record."""
        return self.maps.locator(place)

    def pages(self, renderer: Renderer) -> Iterator[Page]:
        """Every page and every file with words in it."""
        self.search.add_records(self.collection)
        path, content = self.search.file()
        yield path, content
        context = search_context(path, len(self.search.rows))
        yield "search.html", renderer.page("search.html", "search.html", **context)
        yield from self.maps.files()
        yield "map.html", renderer.page("map.html", "map.html", **self.maps.context())
        for pages in (self.ways.pages(), self.time.pages(), around_pages(self.condition)):
            for template, path, context in pages:
                yield path, renderer.page(template, path, **context)
