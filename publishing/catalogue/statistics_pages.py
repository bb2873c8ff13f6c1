"""All pages and tables of the statistics of one export: gathered while instruments pass by, made at the end."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import pandas as pd
from django.conf import settings
from django.utils.translation import gettext as _

from publishing.disclosure.values import DeviceValue, PublicInstrument
from publishing.formats.release import Release
from publishing.statistics.choosing import AS_BUILT, AT_YEAR, View
from publishing.statistics.dictionary import TABLES, types_of
from publishing.statistics.frames import Frames, ViewsBuilder
from publishing.statistics.groups import groups_of
from publishing.statistics.measures import contributions_of
from publishing.statistics.rows import InstrumentRows
from publishing.statistics.study import Subset, study_files
from publishing.statistics.tables import as_csv, as_parquet, contributions_table, packed

from .rendering import Renderer
from .statistics_comparison import ComparisonPages, packed_scheme
from .statistics_page import ViewPages, group_path, small_script
from .statistics_tables import plain
from .statistics_words import view_name

AS_FOUND = View()
YEARS = (1800, 1850, 1900, 1950)
"""Fixed years, so that addresses never change; a year without any instrument has no page."""
VIEWS = (AS_FOUND, View(AS_BUILT), *(View(AT_YEAR, year) for year in YEARS))


@dataclass(frozen=True)
class StatisticsPart:
    """What one instrument gives to the statistics."""

    reference: str
    rows: tuple[InstrumentRows, ...]
    """In each view, in their order."""
    scheme: bytes | None
    """The packed scheme of an instrument that shares."""

    @property
    def pipes_shared(self) -> int:
        """Shared pipes as found."""
        column = list(types_of("instruments")).index("pipes_shared")
        return sum(int(row[column] or 0) for row in self.rows[0].tables["instruments"])


def statistics_part(organ: PublicInstrument) -> StatisticsPart:
    """What one instrument gives to the statistics."""
    views = ViewsBuilder(VIEWS)
    views.add(organ)
    rows = tuple(builder.rows[organ.reference] for builder in views.builders.values())
    return StatisticsPart(organ.reference, rows, packed_scheme(organ))


class StatisticsPages:
    """Takes instruments as they pass by and yields pages and tables at the end."""

    def __init__(self, devices: Mapping[str, DeviceValue]) -> None:
        self.devices = devices
        self.views = ViewsBuilder(VIEWS)
        self.comparison = ComparisonPages(devices)
        self.profiles: dict[str, str] = {}
        """Page of a maker -> page of the maker's figures; known once the pages are made."""

    def add(self, part: StatisticsPart) -> None:
        """Take the rows of one instrument."""
        for builder, rows in zip(self.views.builders.values(), part.rows, strict=True):
            builder.rows[part.reference] = rows
        if part.scheme is not None:
            self.comparison.schemes.pack(part.reference, part.scheme)

    @cached_property
    def frames(self) -> dict[View, Frames]:
        """The tables of every view that has any instrument; asked for when all have passed by."""
        return {
            view: made
            for view, made in self.views.finish().items()
            if view.kind != AT_YEAR or len(made.counted)
        }

    def maker_profiles(self) -> dict[str, str]:
        """Page of a maker -> page of the maker's figures."""
        return {
            f"makers/{group.key}.html": group_path(AS_FOUND, "maker", group.key)
            for group in groups_of(self.frames[AS_FOUND], "maker")
        }

    def pages(self, renderer: Renderer) -> Iterator[tuple[str, bytes]]:
        """Every page, in the language that is active."""
        frames = self.frames
        for made in frames.values():
            pages = ViewPages(made, self.devices, tuple(frames))
            for template, path, context in pages.pages():
                yield path, renderer.page(template, path, **context)
        self.profiles = self.maker_profiles()
        for template, path, context in self.comparison.pages(frames[AS_FOUND]):
            yield path, renderer.page(template, path, **context)
        path = "statistics-columns.html"
        yield path, renderer.page("statistics_columns.html", path, **columns_context(frames))

    def files(self) -> Iterator[tuple[str, bytes]]:
        """The tables, which are the same whatever language the pages speak."""
        yield small_script("filter")
        yield small_script("registrations")
        frames = self.frames
        for view, made in frames.items():
            yield (
                f"statistics/{view.slug}-contributions.csv",
                as_csv(contributions_table(contributions_of(made))),
            )
            for name, table in tables_of(made).items():
                yield f"statistics/{view.slug}-{name}.csv", as_csv(table)
                if view == AS_FOUND:
                    yield f"statistics/{view.slug}-{name}.parquet", as_parquet(table)
        release = Release(str(settings.COLLECTION_NAME), settings.CATALOGUE_LICENCE, "", "")
        yield "statistics/study.zip", packed(study_files(frames[AS_FOUND], Subset(), release))


def tables_of(frames: Frames) -> dict[str, pd.DataFrame]:
    """The tables of a view by name, as they are downloaded.

    Of a view at a year only instruments, each with the specification that counts: the rest
    would be most of the same rows once more (all specifications stand in the open data).
    """
    names = ("instruments",) if frames.view.kind == AT_YEAR else tuple(TABLES)
    return {name.replace("_", "-"): getattr(frames, name) for name in names}


def columns_context(frames: Mapping[View, Frames]) -> dict[str, Any]:
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
                    _file_of(view, name, made)
                    for view, made in frames.items()
                    if name.replace("_", "-") in tables_of(made)
                ],
            }
            for name, columns in TABLES.items()
        ],
        "contributions": [(view_name(view), f"statistics/{view.slug}-contributions.csv") for view in frames],
    }  # fmt: skip


def _file_of(view: View, table: str, frames: Frames) -> tuple[str, str, str]:
    """Name of the view, address of the table, and its rows."""
    name = table.replace("_", "-")
    return view_name(view), f"statistics/{view.slug}-{name}.csv", plain(len(getattr(frames, table)))
