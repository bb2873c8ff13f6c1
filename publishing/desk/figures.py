"""The collection's figures for people who are signed in, and for programs: the catalogue's, one view at a time."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd
from django.conf import settings
from django.urls import reverse
from django.utils.http import urlencode

from publishing.catalogue.statistics_page import ViewPages
from publishing.catalogue.statistics_tables import listing
from publishing.disclosure.instruments import open_collection
from publishing.disclosure.values import DeviceValue
from publishing.snapshot import reading_snapshot
from publishing.statistics.choosing import AS_BUILT, AS_FOUND, View
from publishing.statistics.dictionary import TABLES
from publishing.statistics.figures import Figure
from publishing.statistics.frames import Frames
from publishing.statistics.groups import DIMENSIONS, Group
from publishing.statistics.keeping import current_frames
from publishing.statistics.study import view_of

VIEWS = ("as-found", "as-built")
TABLE_NAMES = tuple(name.replace("_", "-") for name in TABLES)


@dataclass(frozen=True)
class Figures:
    """The tables of one view, with the makers and devices that are published."""

    frames: Frames
    devices: Mapping[str, DeviceValue]
    makers: Mapping[str, str]
    """Reference → name."""


def read_figures(view: View) -> Figures:
    """The tables of one moment; instruments that nobody changed are not read again."""
    with reading_snapshot():
        collection = open_collection()
        frames = current_frames(collection, view, Path(settings.DATA_DIR))
    makers = {maker.reference: maker.name for maker in collection.makers.values()}
    return Figures(frames, collection.devices, makers)


def read_view(asked: Mapping[str, str]) -> View:
    """The view of a query: `view=as-found`, `as-built` or a year, or `view=at` with `year`; else ValueError."""
    words = asked.get("view") or "as-found"
    return view_of(asked.get("year", "") if words == "at" else words)


def view_word(view: View) -> str:
    """A view as it is asked for."""
    return view.slug if view.kind in (AS_FOUND, AS_BUILT) else str(view.year)


class DeskPages(ViewPages):
    """The pages of one view, with the workroom's addresses."""

    most_groups = most_missing = None  # the workroom's list has no second page

    def __init__(self, figures: Figures, by: str) -> None:
        super().__init__(figures.frames, figures.devices, (), (by,) if by in DIMENSIONS else ())
        self.by = by
        self.few = {}  # every group has an address of its own here

    def listing(self, figures: Sequence[Figure], names: Callable[[Figure], str], code: str) -> dict[str, Any]:
        """The records behind figures, for the workroom's own table."""
        return listing(figures, names, code)

    def address(self, group: Group) -> str:
        asked = {"view": view_word(self.view), "by": group.dimension, "key": group.key}
        return reverse("statistics-group") + "?" + urlencode(asked)

    def overview(self) -> dict[str, Any]:
        """What `desk/statistics.html` prints."""
        made = super().overview()
        return made | {"names": self.names, "shown_dimensions": made["dimensions"]}

    def group_page(self, group: Group, figures: Mapping[str, list[Figure]]) -> dict[str, Any]:
        """What `desk/statistics_group.html` prints."""
        made = super().group_page(group, figures)
        for measure in made["measures"]:
            measure["compared"] = group is not self.all
            measure["anchors"] = [row.href.partition("#")[2] for row in measure["rows"]]
        return made | {"names": self.names, "career_rows": [one["row"] for one in made["career"]]}

    def find(self, key: str) -> Group | None:
        """The group of this name among those of the dimension asked for; `all` has one."""
        if self.by == "all":
            return self.all
        return next((group for group in self.groups[self.by] if group.key == key), None)


def table_of(frames: Frames, name: str) -> pd.DataFrame:
    """One table by the name it is downloaded under."""
    table: pd.DataFrame = getattr(frames, name.replace("-", "_"))
    return table
