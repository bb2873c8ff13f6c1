"""All pages and tables of the statistics of one export, view by view, in all languages at once."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pandas as pd
from django.conf import settings
from django.utils import translation
from django.utils.translation import gettext as _

from publishing.disclosure.values import DeviceValue, PublicInstrument
from publishing.formats.release import Release
from publishing.statistics.choosing import AS_BUILT, AT_YEAR, View
from publishing.statistics.dictionary import TABLES, types_of
from publishing.statistics.frames import Frames, ViewsBuilder, frames_of_rows
from publishing.statistics.groups import groups_of
from publishing.statistics.measures import contributions_of
from publishing.statistics.rows import InstrumentRows
from publishing.statistics.study import Subset, study_files
from publishing.statistics.tables import as_csv, as_parquet, contributions_table, packed

from .packing import pack, unpack
from .rendering import Renderer
from .statistics_comparison import ComparisonPages, packed_repertoire
from .statistics_page import ViewPages, group_path, small_script
from .statistics_tables import Wanted, plain
from .statistics_words import view_name

AS_FOUND = View()
YEARS = (1800, 1850, 1900, 1950)
"""Fixed years, so that addresses never change; a year without any instrument has no page."""
VIEWS = (AS_FOUND, View(AS_BUILT), *(View(AT_YEAR, year) for year in YEARS))


@dataclass(frozen=True)
class StatisticsPart:
    """What one instrument gives to the statistics, packed so that each view reads no more than its own."""

    reference: str
    packed: tuple[bytes, ...]
    """The rows of each specification that counts in some view, and of none."""
    which: tuple[int, ...]
    """For each view, in their order, which of these rows are its own."""
    counts: tuple[bool, ...]
    """For each view, whether a specification counts in it."""
    pipes_shared: int
    """Shared pipes as found."""
    played: bytes | None
    """What an instrument that shares plays, packed."""

    def rows(self, place: int) -> InstrumentRows:
        """The rows of one view."""
        found: InstrumentRows = unpack(self.packed[self.which[place]])
        return found


def statistics_part(organ: PublicInstrument) -> StatisticsPart:
    """What one instrument gives to the statistics."""
    views = ViewsBuilder(VIEWS)
    views.add(organ)
    rows = [builder.rows[organ.reference] for builder in views.builders.values()]
    different: list[InstrumentRows] = []
    for one in rows:
        if not any(one is other for other in different):
            different.append(one)
    which = tuple(next(n for n, other in enumerate(different) if other is one) for one in rows)
    columns = list(types_of("instruments"))
    specification, shared = columns.index("specification"), columns.index("pipes_shared")
    return StatisticsPart(
        organ.reference,
        tuple(pack(one) for one in different),
        which,
        tuple(any(row[specification] for row in one.tables["instruments"]) for one in rows),
        sum(int(row[shared] or 0) for row in rows[0].tables["instruments"]),
        packed_repertoire(organ),
    )


class StatisticsPages:
    """Makes the tables and pages view by view: of a large collection one view's tables are in hand, not six."""

    def __init__(
        self, devices: Mapping[str, DeviceValue], parts: Callable[[], Iterable[StatisticsPart]]
    ) -> None:
        """`parts` gives every instrument's, by reference, as often as it is asked."""
        self.devices, self.parts = devices, parts
        self.profiles: dict[str, str] = {}
        """Page of a maker -> page of the maker's figures; known once the pages are made."""

    @cached_property
    def views(self) -> tuple[View, ...]:
        """The views that have a page: years only where any instrument counts."""
        counted = [False] * len(VIEWS)
        for part in self.parts():
            counted = [a or b for a, b in zip(counted, part.counts, strict=True)]
        return tuple(
            v for v, any_counts in zip(VIEWS, counted, strict=True) if v.kind != AT_YEAR or any_counts
        )

    def frames(self, view: View) -> Frames:
        """The tables of one view."""
        place = VIEWS.index(view)
        return frames_of_rows(view, ((part.reference, part.rows(place)) for part in self.parts()))

    def maker_profiles(self, frames: Frames | None = None) -> dict[str, str]:
        """Page of a maker -> page of the maker's figures."""
        return {
            f"makers/{group.key}.html": group_path(AS_FOUND, "maker", group.key)
            for group in groups_of(frames or self.frames(AS_FOUND), "maker")
        }

    def pages(self, *renderers: Renderer) -> Iterator[tuple[str, bytes | None]]:
        """Every table, and every page in the language of each renderer."""
        yield small_script("filter")
        yield small_script("registrations")
        sizes: dict[View, dict[str, int]] = {}
        for view in self.views:
            yield from self._of_view(view, sizes, renderers)
        path = "statistics-columns.html"
        last = Wanted("statistics_columns.html", path, lambda: columns_context(sizes))
        yield from _spoken([last], renderers)

    def _of_view(
        self, view: View, sizes: dict[View, dict[str, int]], renderers: Iterable[Renderer]
    ) -> Iterator[tuple[str, bytes | None]]:
        """Tables and pages of one view; when they are made its tables are let go before the next view's are read."""
        frames = self.frames(view)
        sizes[view] = {name: len(getattr(frames, name)) for name in TABLES}
        numbers = hashlib.sha256(as_csv(frames.instruments.drop(columns="name")))
        for path, content in _files_of(frames):
            if path.endswith("-contributions.csv"):
                numbers.update(content)
            yield path, content
        pages = ViewPages(frames, self.devices, self.views, numbers=numbers.digest())
        yield from _spoken(pages.pages(), renderers)
        if view == AS_FOUND:
            self.profiles = self.maker_profiles(frames)
            played = {part.reference: part.played for part in self.parts() if part.played is not None}
            yield from _spoken(ComparisonPages(self.devices, played).pages(frames), renderers)


def _spoken(pages: Iterable[Wanted], renderers: Iterable[Renderer]) -> Iterator[tuple[str, bytes | None]]:
    """Each page in every language, one language after another."""
    for wanted in pages:
        for renderer in renderers:
            with translation.override(renderer.languages.here):
                content = renderer.wanted_page(wanted)
            yield renderer.languages.path(wanted.path), content


def _files_of(frames: Frames) -> Iterator[tuple[str, bytes]]:
    """The tables of a view, which are the same whatever language the pages speak."""
    slug = frames.view.slug
    yield f"statistics/{slug}-contributions.csv", as_csv(contributions_table(contributions_of(frames)))
    for name, table in tables_of(frames).items():
        yield f"statistics/{slug}-{name}.csv", as_csv(table)
        if frames.view == AS_FOUND:
            yield f"statistics/{slug}-{name}.parquet", as_parquet(table)
    if frames.view == AS_FOUND:
        release = Release(str(settings.COLLECTION_NAME), settings.CATALOGUE_LICENCE, "", "")
        yield "statistics/study.zip", packed(study_files(frames, Subset(), release))


def tables_of(frames: Frames) -> dict[str, pd.DataFrame]:
    """The tables of a view by name, as they are downloaded.

    Of a view at a year only instruments, each with the specification that counts: the rest
    would be most of the same rows once more (all specifications stand in the open data).
    """
    return {name.replace("_", "-"): getattr(frames, name) for name in _downloaded(frames.view)}


def _downloaded(view: View) -> tuple[str, ...]:
    return ("instruments",) if view.kind == AT_YEAR else tuple(TABLES)


def columns_context(sizes: Mapping[View, Mapping[str, int]]) -> dict[str, Any]:
    """What the template `statistics_columns.html` prints."""
    return {
        "title": _("The tables behind the statistics"),
        "description": _("The long table of segments and those derived from it, column by column."),
        "section": "statistics.html",
        "tables": [
            {
                "name": name.replace("_", "-"),
                "columns": columns,
                "files": [
                    _file_of(view, name, rows[name])
                    for view, rows in sizes.items()
                    if name in _downloaded(view)
                ],
            }
            for name, columns in TABLES.items()
        ],
        "contributions": [(view_name(view), f"statistics/{view.slug}-contributions.csv") for view in sizes],
    }  # fmt: skip


def _file_of(view: View, table: str, rows: int) -> tuple[str, str, str]:
    """Name of the view, address of the table, and its rows."""
    return view_name(view), f"statistics/{view.slug}-{table.replace('_', '-')}.csv", plain(rows)
