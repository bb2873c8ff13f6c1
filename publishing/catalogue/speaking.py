"""The pages of one language but those of the instruments, in stages."""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from django.utils import translation
from django.utils.translation import gettext as _

from publishing.disclosure.instruments import read_instruments
from publishing.disclosure.values import PublicPlace
from publishing.formats.addresses import Address

from .around_pages import ConditionPage, around_pages
from .danger_page import DangerPages
from .kept import Kept
from .languages import Languages
from .list_words import instrument_list_words, list_words
from .long_lists import in_parts
from .making import FREE_PARTS, drawings_of
from .map_page import Maps
from .method_page import method_context
from .packing import digest_of, pack
from .page_scripts import page_script
from .plate_files import ShownPlate
from .record_pages import RecordPages
from .rendering import Renderer, WantedPage, open_site
from .row_of_pipes import row_of_pipes
from .search_page import SearchData, search_context
from .shared_pipes_page import SharedPipes
from .stages import Stage
from .survival_page import SurvivalPage
from .time_pages import TimePages
from .ways_pages import WaysPages

if TYPE_CHECKING:
    from .pages import Catalogue

Page = tuple[str, bytes | None]
Wanted = tuple[str, str, dict[str, Any]]
"""Template, path, context."""


MOST_ON_FRONT = 60
"""Instruments of a kind that the front page shows; all stand in the list."""


class KeepingRenderer(Renderer):
    """Renders a page only if its frozen values are not those it was last made from; else gives no bytes."""

    def __init__(self, kept: Kept, address: Address | None, languages: Languages) -> None:
        super().__init__(open_site(), address, languages)
        self.kept = kept

    def page(self, template: str, path: str, **context: Any) -> bytes | None:  # type: ignore[override]
        """One page as bytes, or None where the site has it."""
        try:
            digest = digest_of(pack((template, context)))
        except (pickle.PicklingError, AttributeError, TypeError):
            return super().page(template, path, **context)  # holds a function: nobody can say what it was
        place = self.languages.path(path)
        if self.kept.page(place) == digest:
            return None
        made = super().page(template, path, **context)
        self.kept.put_page(place, digest)
        return made

    def wanted_page(self, wanted: WantedPage) -> bytes | None:
        """The same for a page that tells what it is made from: its context is made only if that changed."""
        if not wanted.made_from:
            return super().wanted_page(wanted)
        place = self.languages.path(wanted.path)
        if self.kept.page(place) == wanted.made_from:
            return None
        made = super().page(wanted.template, wanted.path, **wanted.context())
        self.kept.put_page(place, wanted.made_from)
        return made


class InLanguage:
    """The pages of one language; it is active when this is made, and when its stages are."""

    def __init__(self, whole: Catalogue, languages: Languages) -> None:
        self.whole, self.collection, self.languages = whole, whole.collection, languages
        self.renderer = KeepingRenderer(whole.kept, whole.address, languages)

    def stages(self) -> Iterator[Stage]:
        """Every stage, with what it is made from."""
        here = self.languages.here
        records = ("makers", "places", "sources")
        yield self._stage("home", (f"cards:{here}", "gone", "counts"), self._lists)
        yield self._stage("shared", (f"shared:{here}", "devices"), self._shared)
        yield self._stage("method", (), self._method)
        yield self._stage("search", (f"search:{here}", *records), self._search)
        yield self._stage("map", ("maps", "places"), self._map)
        yield self._stage("ways", (f"ways:{here}", "devices"), self._ways)
        yield self._stage("time", (f"time:{here}",), self._time)
        yield self._stage("survival", ("survival",), self._survival)
        yield self._stage("danger", ("danger", "vocabularies"), self._danger)
        yield self._stage("around", (f"condition:{here}", "vocabularies"), self._around)
        yield self._stage("data", ("package",), lambda: self.whole.data.pages(self.renderer))
        yield self._stage("records", (f"records:{here}", *records, "figures"), self._records)
        yield self._stage("gone", ("gone",), self._gone)

    def _stage(self, name: str, inputs: tuple[str, ...], make: Callable[[], Iterator[Page]]) -> Stage:
        return Stage(f"{name}:{self.languages.here}", inputs, lambda: self._spoken(make))

    def _spoken(self, make: Callable[[], Iterator[Page]]) -> Iterator[Page]:
        """These pages where they stand in the site, each made while this language is active."""
        with translation.override(self.languages.here):
            pages = make()
        while True:
            with translation.override(self.languages.here):
                made = next(pages, None)
            if made is None:
                return
            yield self.languages.path(made[0]), made[1]

    def _rendered(self, pages: Iterator[Wanted]) -> Iterator[Page]:
        for template, path, context in pages:
            yield path, self.renderer.page(template, path, **context)

    def _fed(self, collector: Any, kind: str) -> Any:
        """A collector that has taken every instrument's part of a kind."""
        for part in self.whole.parts(kind if kind in FREE_PARTS else f"{kind}:{self.languages.here}"):
            collector.add(part)
        return collector

    def _lists(self) -> Iterator[Page]:
        cards = list(self.whole.parts(f"cards:{self.languages.here}"))
        sharing = [card for card in cards if card["shares"]]
        others = [card for card in cards if not card["shares"]]
        figures = {
            "instruments": len(cards),
            "sharing": len(sharing),
            "makers": len(self.collection.makers),
            "shared_pipes": sum(card["pipes_shared"] for card in cards),
        }
        home = {
            "figures": figures,
            "sharing": sharing[:MOST_ON_FRONT],
            "others": others[:MOST_ON_FRONT],
            "more": max(len(sharing), len(others)) > MOST_ON_FRONT,
            "pipes": row_of_pipes(),
            "title": self.renderer.site.name,
            "description": _("An inventory of pipe organs and of the pipes their stops share."),
        }
        yield "index.html", self.renderer.page("home.html", "index.html", **home)
        gone = [one for one in self.collection.gone if one.link.folder == "instruments"]
        for part in in_parts(cards, "instruments/index.html"):
            listed = {
                "section": "instruments/index.html",
                "rows": part.rows,
                "parts": part.parts,
                "gone": gone if part.number == 1 else [],
                "lists_script": page_script("lists"),
                "list_words": instrument_list_words(),
                "title": _("Instruments"),
                "description": _("All published instruments, by reference."),
            }
            yield part.path, self.renderer.page("instruments.html", part.path, **listed)

    def _shared(self) -> Iterator[Page]:
        for path, context in self._fed(SharedPipes(self.collection.devices), "shared").pages():
            yield path, self.renderer.page("shared_pipes.html", path, **context, **_narrowing())

    def _method(self) -> Iterator[Page]:
        yield "method.html", self.renderer.page("method.html", "method.html", **method_context())

    def _search(self) -> Iterator[Page]:
        search = self._fed(SearchData(), "search")
        search.add_records(self.collection)
        path, content = search.file()
        yield path, content
        context = search_context(path, len(search.rows))
        yield "search.html", self.renderer.page("search.html", "search.html", **context)

    def _map(self) -> Iterator[Page]:
        maps = self._fed(Maps(self.collection), "maps")
        yield from maps.files()
        yield "map.html", self.renderer.page("map.html", "map.html", **maps.context())

    def _ways(self) -> Iterator[Page]:
        keys = {link.reference: pk for pk, link in self.collection.instruments.items()}

        @lru_cache(maxsize=100)
        def drawn(reference: str) -> dict[str, ShownPlate]:
            (organ,) = read_instruments([keys[reference]], self.collection)
            return drawings_of(organ, self.renderer)

        return self._rendered(self._fed(WaysPages(self.collection.devices), "ways").pages(drawn))

    def _time(self) -> Iterator[Page]:
        return self._rendered(self._fed(TimePages(), "time").pages())

    def _survival(self) -> Iterator[Page]:
        return self._rendered(self._fed(SurvivalPage(), "survival").pages())

    def _danger(self) -> Iterator[Page]:
        return self._rendered(self._fed(DangerPages(), "danger").pages())

    def _around(self) -> Iterator[Page]:
        return self._rendered(around_pages(self._fed(ConditionPage(), "condition")))

    def _records(self) -> Iterator[Page]:
        for template, path, context in self._fed(RecordPages(self.collection), "records").pages():
            context["profile"] = self.whole.statistics.profiles.get(path, "")
            if isinstance(context.get("record"), PublicPlace):
                context["locator"] = self.whole.maps.locators.of(context["record"])
            if template == "list.html":
                context |= _narrowing()
            yield path, self.renderer.page(template, path, **context)

    def _gone(self) -> Iterator[Page]:
        for gone in self.collection.gone:
            path = f"{gone.link.folder}/{gone.link.reference}.html"
            title = _("Withdrawn: %(reference)s") % {"reference": gone.link.reference}
            yield (
                path,
                self.renderer.page("gone.html", path, gone=gone, title=title, description=gone.because),
            )


def _narrowing() -> dict[str, str]:
    """What a list needs to narrow itself in the page."""
    return {"lists_script": page_script("lists"), "list_words": list_words()}
