"""What pages there are: instruments one by one, then stages that tell of many; what did not change is taken over.

Instruments are gathered and made in chunks; what lists and figures need of them is kept aside in parts. A stage
is made anew only if what it is made from changed, and within it a page only if its frozen values did.
"""

from __future__ import annotations

import hashlib
import json
from collections import deque
from collections.abc import Iterator, Mapping
from concurrent.futures import Executor, Future
from functools import cached_property
from itertools import chain
from typing import Any

from django.utils import translation

from publishing.disclosure.door import in_chunks
from publishing.disclosure.instruments import Collection, open_collection, read_instruments
from publishing.disclosure.stamps import (
    authority_digests,
    instrument_stamps,
    instruments_naming,
    vocabularies_digest,
)
from publishing.disclosure.words import shown_words
from publishing.editions import last_edition_figures
from publishing.formats.addresses import Address
from publishing.models import Edition

from .assets import asset_files
from .kept import Kept
from .languages import site_languages
from .link_reading import PageLinks, collect_links
from .making import LINKED, Facts, Made, make_instruments, part_names
from .map_page import Maps
from .open_data import OpenData
from .packing import digest_of, pack
from .page_scripts import page_script_files
from .pictures import PictureMaker
from .rendering import Renderer
from .speaking import InLanguage
from .stages import Stage
from .statistics_pages import StatisticsPages
from .survival_page import SurvivalPage

Page = tuple[str, bytes | None]
"""A path and its bytes; None for what stands in the site already."""
CHUNK = 200
"""Instruments gathered at once."""
TASK = 8
"""Instruments made by a worker at a time; as few wait in memory for each worker."""


class Catalogue:
    """One export: instruments pass by once, in chunks; what lists and figures need is kept aside."""

    def __init__(
        self,
        pictures: PictureMaker | None = None,
        address: Address | None = None,
        *,
        kept: Kept | None = None,
        executor: Executor | None = None,
        waiting: int = 2,
    ) -> None:
        self.address, self.executor, self.waiting = address, executor, waiting
        self.pictures = pictures or PictureMaker()
        self.kept = kept or Kept(None, "", "")
        self.collection: Collection = open_collection()
        self.languages = site_languages()
        self.codes = tuple(one.here for one in self.languages)
        self.figures = last_edition_figures()
        self.maps = Maps(self.collection)
        self.references = [link.reference for link in self.collection.instruments.values()]
        self.seen: dict[str, None] = {}
        """Every path so far, in order."""
        self.fresh: set[str] = set()
        """Paths of this export that were made anew."""
        self.lost: set[str] = set()
        """Pages that lost an id which links of pages that were taken over may lead to."""
        self.digests: dict[str, bytes] = {}
        self.seconds: dict[str, float] = {}
        self.other_pages = 0

    def __len__(self) -> int:
        """Pages of the site, as far as they are known: all of them when the last has been made."""
        alone = len(self.references) * len(self.codes)
        return max(alone + self.other_pages, sum(path.endswith(".html") for path in self.seen))

    def pages(self) -> Iterator[Page]:
        """Every page and file of the site, each once."""
        for path, content in self._pages():
            if path in self.seen and path.startswith("pictures/"):
                continue  # one picture of two instruments
            self.seen[path] = None
            if content is not None:
                self.fresh.add(path)
            yield path, content

    def _pages(self) -> Iterator[Page]:
        yield from self._instruments()
        inputs = self._inputs()
        stages = [*self._free_stages(), *(stage for tongue in self.tongues for stage in tongue.stages())]
        for stage in stages:
            yield from self._stage(stage, inputs)
        if self.address is not None:
            paths = sorted(path for path in self.seen if path.endswith(".html"))
            inputs["paths"] = hashlib.sha256("\n".join(paths).encode()).digest()
            stage = Stage("sitemap", ("data", "paths"), lambda: self.data.last(paths))
            yield from self._stage(stage, inputs)

    def _free_stages(self) -> Iterator[Stage]:
        """What is the same in every language."""
        collection = ("makers", "places", "sources", "devices", "gone", "editions")
        yield Stage("assets", (), lambda: chain(asset_files(), page_script_files()))
        yield Stage(
            "figures", ("statistics", "devices"),
            lambda: self.statistics.pages(*self.renderers()),
            lambda: self.statistics.profiles,
            self._recall_profiles,
        )  # fmt: skip
        yield Stage("spells", ("survival",), self._spells)
        yield Stage("package", ("data", *collection), lambda: self.data.files())

    def renderers(self) -> list[Renderer]:
        """One for each language, in their order."""
        return [tongue.renderer for tongue in self.tongues]

    def _recall_profiles(self, profiles: dict[str, str]) -> None:
        self.statistics.profiles = profiles

    def _spells(self) -> Iterator[Page]:
        survival = SurvivalPage()
        for part in self.parts("survival"):
            survival.add(part)
        yield survival.file()

    # Instruments

    @cached_property
    def facts(self) -> Facts:
        """What the pages of instruments need beside their values."""
        return Facts(
            self.codes,
            self.address,
            self.collection.devices,
            self.figures,
            {one.reference: one.kind for one in self.collection.makers.values()},
            self.maps.locators,
            self.pictures.keep,
        )

    def _instruments(self) -> Iterator[Page]:
        names = part_names(self.codes)
        known, stamps = self.kept.instruments(), instrument_stamps(self.collection)
        stale = self._stale(known, stamps)
        self.kept.drop_instruments(known.keys() - set(self.references), names)
        columns: list[bytes] = []
        made = self._made([pk for pk in self.collection.instruments if pk in stale])
        for pk, link in self.collection.instruments.items():
            if pk not in stale:
                _stamp, digests, paths = known[link.reference]
                columns.append(digests)
                for path in json.loads(paths):
                    yield path, None
                continue
            one = next(made)
            assert one.reference == link.reference, "instruments are made in the order they were given"
            digests = b"".join(digest_of(one.parts[name]) for name in names)
            columns.append(digests)
            for links in one.links:
                self.note_links(links)
            paths = [path for path, _content in one.files]
            self.kept.put_instrument(one.reference, stamps[pk], digests, paths, one.parts)
            yield from one.files
        order = "\n".join(self.references).encode()
        for place, name in enumerate(names):
            whole = hashlib.sha256(order)
            whole.update(b"".join(column[8 * place : 8 * place + 8] for column in columns))
            self.digests[name] = whole.digest()

    def _stale(self, known: Mapping[str, tuple[str, bytes, str]], stamps: Mapping[int, str]) -> set[int]:
        """Keys of the instruments that must be made anew."""
        facts = hashlib.sha256(
            repr((self.codes, self.address, self.figures, self.maps.locators)).encode()
        ).hexdigest()
        common, authorities = f"{facts} {vocabularies_digest()}", authority_digests(self.collection)
        before = json.loads(self.kept.told("authorities") or "{}")
        everything = self.kept.told("common") != common
        naming = set() if everything else instruments_naming(before, authorities)
        self.kept.tell("common", common)
        self.kept.tell("authorities", json.dumps(authorities))
        return {
            pk
            for pk, link in self.collection.instruments.items()
            if everything
            or pk in naming
            or link.reference not in known
            or known[link.reference][0] != stamps[pk]
        }

    def _made(self, keys: list[int]) -> Iterator[Made]:
        """These instruments, made in this order, here or by workers; a few at a time are in hand."""
        facts = pack(self.facts)
        values = (read_instruments(ids, self.collection) for ids in in_chunks(keys, CHUNK))
        tasks = (organs[start : start + TASK] for organs in values for start in range(0, len(organs), TASK))
        if self.executor is None:
            for organs in tasks:
                for organ in organs:
                    yield from make_instruments(facts, [organ])
            return
        running: deque[Future[list[Made]]] = deque()
        for organs in tasks:
            running.append(self.executor.submit(make_instruments, facts, organs))
            if len(running) >= self.waiting:
                yield from running.popleft().result()
        while running:
            yield from running.popleft().result()

    # Stages

    @cached_property
    def tongues(self) -> list[InLanguage]:
        """The pages of each language but those of instruments."""
        made = []
        for languages in self.languages:
            with translation.override(languages.here):
                made.append(InLanguage(self, languages))
        return made

    @cached_property
    def statistics(self) -> StatisticsPages:
        """The statistics, which read the rows of every instrument when they are made."""
        return StatisticsPages(self.collection.devices, lambda: self.parts("statistics"))

    @cached_property
    def data(self) -> OpenData:
        """The open data, with the rows of every instrument."""
        made = OpenData(self.collection, self.address)
        for part in self.parts("data"):
            made.add(part)
        return made

    def parts(self, name: str) -> Iterator[Any]:
        """The parts of one kind of every instrument."""
        return self.kept.parts(name, self.references)

    def _inputs(self) -> dict[str, bytes]:
        """Digests of everything that stages are made from, by name."""
        found = self.collection
        whole = {
            "devices": found.devices, "makers": found.makers, "places": found.places, "sources": found.sources,
            "gone": found.gone, "counts": len(found.makers),
            # A body's own words come and go with the public records that show them.
            "vocabularies": f"{vocabularies_digest()} {sorted(shown_words())}",
            "editions": list(Edition.editions.in_order().values_list("number", "digest")),
        }  # fmt: skip
        return self.digests | {
            name: hashlib.sha256(repr(value).encode()).digest() for name, value in whole.items()
        }

    def _stage(self, stage: Stage, inputs: dict[str, bytes]) -> Iterator[Page]:
        """A stage's pages: taken over if nothing it is made from changed."""
        digest = hashlib.sha256(b"".join(inputs[name] for name in stage.inputs)).digest()
        before = self.kept.stage(stage.name)
        if before is not None and before[0] == digest:
            stage.recall(before[2])
            inputs[stage.name] = _digest_of_result(before[2], digest)
            for path in before[1]:
                self.other_pages += path.endswith(".html")
                yield path, None
            return
        paths = []
        for path, content in stage.make():
            paths.append(path)
            self.other_pages += path.endswith(".html")
            if content is not None and path.endswith(LINKED):
                self.note_links(collect_links(path, content))
            yield path, content
        self.kept.put_stage(stage.name, digest, paths, stage.result())
        inputs[stage.name] = _digest_of_result(stage.result(), digest)

    def note_links(self, links: PageLinks) -> None:
        """Keep the links of a page that was made anew; what it no longer has is remembered for the check."""
        before = self.kept.links(links.path)
        if before is not None and not before.ids <= links.ids:
            self.lost.add(links.path)
        self.kept.put_links(links)


def _digest_of_result(result: object, made_from: bytes) -> bytes:
    """What other stages are made from where they are made from a stage: what it leaves, else all it was made from."""
    return made_from if result is None else hashlib.sha256(json.dumps(result).encode()).digest()
