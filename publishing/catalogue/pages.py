"""What pages there are: gathered through disclosure, rendered, in an order that never changes."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from inventory.organ.scheme_writing import scheme_to_dict
from publishing.disclosure.instruments import Collection, open_collection
from publishing.disclosure.values import PublicInstrument, PublicPlace
from publishing.formats.addresses import Address

from .assets import asset_files
from .instrument_page import idea_in_words, instrument_context, made_in_words
from .languages import Languages, site_languages
from .list_words import facets_of, instrument_list_words, list_words, year_made
from .method_page import method_context
from .more_pages import MorePages
from .open_data import OpenData
from .page_scripts import page_script, page_script_files
from .pictures import PictureMaker, picture_words
from .plate_files import shown_plates
from .record_pages import RecordPages
from .rendering import Renderer, open_site
from .row_of_pipes import row_of_pipes
from .shared_pipes_page import SharedPipes
from .statistics_pages import StatisticsPages

Page = tuple[str, bytes]


class Catalogue:
    """One export: instruments pass by once, in chunks; what lists and figures need is kept aside."""

    def __init__(self, pictures: PictureMaker, address: Address | None = None) -> None:
        self.collection: Collection = open_collection()
        self.data = OpenData(self.collection, address)
        self.pictures = pictures
        self.statistics = StatisticsPages(self.collection.devices)
        self.tongues = []
        for languages in site_languages():
            with translation.override(languages.here):
                self.tongues.append(InLanguage(self, languages, address))

    def __len__(self) -> int:
        """Pages to come, for a progress bar."""
        found = self.collection
        records = len(found.instruments) + len(found.makers) + len(found.places) + len(found.sources)
        return len(self.tongues) * (records + 13)

    def pages(self) -> Iterator[Page]:
        """Every page and file of the site."""
        paths = []
        for path, content in self._pages():
            paths.append(path)
            yield path, content
        yield from self.data.last(paths)

    def _pages(self) -> Iterator[Page]:
        yield from asset_files()
        yield from page_script_files()
        for organ in self.collection.read_instruments():
            yield from self._instrument(organ)
            yield from self.pictures.fresh_files()
        yield from self.statistics.files()
        yield from self.data.files()
        for tongue in self.tongues:
            yield from tongue.spoken(tongue.pages())

    def _instrument(self, organ: PublicInstrument) -> Iterator[Page]:
        for tongue in self.tongues:
            yield from tongue.spoken(tongue.instrument(organ))
        if organ.current is not None:
            document = json.dumps(scheme_to_dict(organ.current.scheme), ensure_ascii=False, indent=1)
            yield f"instruments/{organ.reference}.scheme.json", document.encode() + b"\n"
        self.data.add(organ)
        self.statistics.add(organ)


class InLanguage:
    """The pages of one language, and what its lists need of the instruments that passed by."""

    def __init__(self, whole: Catalogue, languages: Languages, address: Address | None) -> None:
        self.collection, self.data = whole.collection, whole.data
        self.statistics, self.pictures = whole.statistics, whole.pictures
        self.languages = languages
        self.renderer = Renderer(open_site(), address, languages)
        self.shared = SharedPipes(self.collection.devices)
        self.records = RecordPages(self.collection)
        self.more = MorePages(self.collection)
        self.cards: list[dict[str, Any]] = []

    def spoken(self, pages: Iterator[Page]) -> Iterator[Page]:
        """These pages where they stand in the site, each made while this language is active."""
        while True:
            with translation.override(self.languages.here):
                made = next(pages, None)
            if made is None:
                return
            yield self.languages.path(made[0]), made[1]

    def pages(self) -> Iterator[Page]:
        """Every page but those of the instruments."""
        yield from self._lists()
        yield from self.statistics.pages(self.renderer)
        yield from self.more.pages(self.renderer)
        yield from self.data.pages(self.renderer)
        for template, path, context in self.records.pages():
            context["profile"] = self.statistics.profiles.get(path, "")
            if isinstance(context.get("record"), PublicPlace):
                context["locator"] = self.more.locator(context["record"])
            if template == "list.html":
                context |= self._narrowing()
            yield path, self.renderer.page(template, path, **context)
        for gone in self.collection.gone:
            path = f"{gone.link.folder}/{gone.link.reference}.html"
            yield (
                path,
                self.renderer.page(
                    "gone.html",
                    path,
                    gone=gone,
                    title=_("Withdrawn: %(reference)s") % {"reference": gone.link.reference},
                    description=gone.because,
                ),
            )

    def instrument(self, organ: PublicInstrument) -> Iterator[Page]:
        """The page of one instrument and its drawings."""
        path = f"instruments/{organ.reference}.html"
        context = instrument_context(organ, self.collection.devices, self.pictures)
        first = context["pictures"][0].src if context["pictures"] else ""
        context |= {"linked": self.data.linked(organ, first), "edition_line": self.data.edition_line(organ)}
        context |= {
            "locator": self.more.locator(organ.place),
            "pictures_script": page_script("pictures"),
            "pictures_words": picture_words(),
        }
        drawn = shown_plates(context["plates"], organ, self.renderer.site)
        context["plates"] = [shown for shown, _files in drawn]
        for _shown, files in drawn:
            yield from files
        yield path, self.renderer.page("instrument.html", path, **context)
        self.shared.add(organ)
        self.records.add(organ)
        self.more.add(organ, context["plates"])
        self.cards.append(card_of(organ, context))

    def _narrowing(self) -> dict[str, str]:
        """What a list needs to narrow itself in the page."""
        return {"lists_script": page_script("lists"), "list_words": list_words()}

    def _lists(self) -> Iterator[Page]:
        frames = self.statistics.as_found()
        sharing = [card for card in self.cards if card["shares"]]
        figures = {
            "instruments": len(self.cards),
            "sharing": len(sharing),
            "makers": len(self.collection.makers),
            "shared_pipes": int(frames.instruments["pipes_shared"].sum()),
        }
        yield (
            "index.html",
            self.renderer.page(
                "home.html",
                "index.html",
                figures=figures,
                sharing=sharing,
                others=[card for card in self.cards if not card["shares"]],
                pipes=row_of_pipes(),
                title=self.renderer.site.name,
                description=_("An inventory of pipe organs and of the pipes their stops share."),
            ),
        )
        yield (
            "instruments/index.html",
            self.renderer.page(
                "instruments.html",
                "instruments/index.html",
                rows=self.cards,
                gone=[one for one in self.collection.gone if one.link.folder == "instruments"],
                lists_script=page_script("lists"),
                list_words=instrument_list_words(),
                title=_("Instruments"),
                description=_("All published instruments, by reference."),
            ),
        )
        for template, path, context in (
            ("shared_pipes.html", "shared-pipes.html", self.shared.context() | self._narrowing()),
            ("method.html", "method.html", method_context()),
        ):
            yield path, self.renderer.page(template, path, **context)


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
