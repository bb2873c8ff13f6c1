"""The open data of one export: gathered while instruments pass by, written with the pages that explain them."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.utils.translation import gettext as _

from inventory.languages import active_language
from publishing.disclosure.instruments import Collection
from publishing.disclosure.values import PublicInstrument
from publishing.editions import EditionFigures, versions_of
from publishing.formats.addresses import Address
from publishing.formats.datapackage import TABLES, DataPackage, PackagePart, part_of
from publishing.formats.linked import dataset, instrument_page, script_text, years_of
from publishing.formats.release import Release
from publishing.formats.sitemap import robots_text, sitemap_files
from publishing.models import Edition

from .edition_pages import EditionPages, cite_edition
from .languages import plain_path
from .rendering import Renderer

Page = tuple[str, bytes]


@dataclass(frozen=True)
class DataPart:
    """What one instrument gives to the data."""

    reference: str
    version: int
    years: tuple[int, ...]
    package: PackagePart


def data_part(organ: PublicInstrument) -> DataPart:
    """What one instrument gives to the data."""
    return DataPart(organ.reference, organ.version, tuple(years_of(organ)), part_of(organ))


def linked_data(
    organ: PublicInstrument, address: Address | None, maker_kinds: Mapping[str, str], picture: str
) -> str:
    """The JSON-LD of an instrument's page; empty without an address."""
    if address is None:
        return ""
    node = instrument_page(
        organ,
        address,
        licence=settings.CATALOGUE_LICENCE,
        language=active_language(),
        maker_kinds=maker_kinds,
        picture=picture,
    )
    return script_text(node)


class OpenData:
    """Everything other programs read, and how to cite it."""

    def __init__(self, collection: Collection, address: Address | None) -> None:
        self.collection, self.address = collection, address
        self.package = DataPackage(collection)
        self.versions = versions_of(collection)
        self.years: tuple[int, int] | None = None
        self.days = {
            f"{one.link.folder}/{one.reference}.html": one.released_on
            for group in (collection.makers, collection.places, collection.sources)
            for one in group.values()
        }
        """Day of the last release of each record's page; empty where no day is known."""
        self.sizes: dict[str, int] = {}
        """Bytes of every file of the package, once they are made."""
        self.editions: EditionPages | None = None

    def add(self, part: DataPart) -> None:
        """Take what one instrument gives."""
        self.package.take(part.package)
        self.versions["instruments"][part.reference] = part.version
        self.days[f"instruments/{part.reference}.html"] = part.package.released_on
        years = [*part.years, *(self.years or ())]
        self.years = (min(years), max(years)) if years else None

    def files(self) -> Iterator[Page]:
        """Data and feed, which are the same whatever language the pages speak; `pages` comes after them."""
        release = Release(
            str(settings.COLLECTION_NAME), settings.CATALOGUE_LICENCE, "", "", address=self.address
        )
        for path, content in self.package.files(release):
            self.sizes[path] = len(content)
            yield f"data/{path}", content
        assert self.package.release is not None
        self.editions = editions = EditionPages(
            self.collection, self.versions, self.days, self.package.release
        )
        yield from editions.files()
        if self.address is not None:
            yield "changes.atom", editions.feed(self.address, active_language())

    def pages(self, renderer: Renderer) -> Iterator[Page]:
        """The pages about data and editions, in the language that is active."""
        editions = self.editions
        assert editions is not None, "files() comes before pages()"
        release = editions.release
        yield self._data(renderer, release)
        for template, path, context in editions.pages():
            yield path, renderer.page(template, path, **context)
        last = editions.editions[-1] if editions.editions else None
        yield _page(
            renderer,
            "cite.html",
            _("How to cite"),
            editions=editions.editions,
            cited=cite_edition(last, release.publisher) if last else "",
            release=release,
        )

    def _data(self, renderer: Renderer, release: Release) -> Page:
        """The page that lists and explains the files of the package."""
        sizes, counts, linked = self.sizes, self.package.counts(), ""
        if self.address is not None:
            placed = {f"data/{path}": size for path, size in sizes.items()}
            linked = script_text(
                dataset(release, self.address, language=active_language(), bytes_of=placed, years=self.years)
            )
        return _page(
            renderer,
            "data.html",
            _("Data"),
            description=_("All published facts as tables, with the meaning and unit of every column."),
            tables=[
                {"table": one, "rows": counts[one.name], "size": size_of(sizes[one.file])} for one in TABLES
            ],
            others=[(path, size_of(sizes[path])) for path in sizes if not path.endswith(".csv")],
            release=release,
            linked=linked,
        )

    def last(self, paths: Iterable[str]) -> Iterator[Page]:
        """Sitemap and robots.txt, when all pages are known; nothing without an address."""
        if self.address is None:
            return
        editions = Edition.editions.in_order().values_list("number", "made_on")
        known = self.days | {f"editions/{number}.html": day.isoformat() for number, day in editions}
        days = {path: known.get(plain_path(path), "") for path in paths if path.endswith(".html")}
        yield from sitemap_files(days, self.address, languages=tuple(settings.CATALOGUE_LANGUAGES))
        yield "robots.txt", robots_text(self.address)


def edition_line(organ: PublicInstrument, figures: EditionFigures | None) -> str:
    """What the last edition says of the whole collection, for an instrument that shares; and that it says so."""
    if figures is None or organ.current is None or not organ.current.answer["families"]:
        return ""
    words = _(
        "In the whole collection, as edition %(number)s (%(day)s) has it: %(sharing)s of %(all)s instruments whose "
        "stoplist is known share pipes."
    ) % {
        "number": figures.number,
        "day": figures.made_on,
        "sharing": figures.sharing,
        "all": figures.described,
    }
    own = {
        pattern["pattern"] for family in organ.current.answer["families"] for pattern in family["patterns"]
    }
    told = [
        # Names of patterns are words of the whole catalogue, translated where they are explained.
        _("%(pattern)s: %(n)s") % {"pattern": _(name), "n": figures.patterns[name]}
        for name in sorted(own)
        if name in figures.patterns
    ]
    return words + (
        " " + _("Instruments with the same patterns: %(told)s.") % {"told": ", ".join(told)} if told else ""
    )


def _page(renderer: Renderer, template: str, title: str, description: str = "", **context: Any) -> Page:
    return template, renderer.page(
        template, template, title=title, description=description or title, **context
    )


def size_of(count: int) -> str:
    """Bytes for people."""
    return _("%(n)s bytes") % {"n": count} if count < 1000 else _("%(n)s kB") % {"n": round(count / 1000)}
