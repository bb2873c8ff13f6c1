"""Pages that groups share: the records of groups of few instruments together, and long lists of groups part by part.

A group of few gets no per cents and no ranks, so its figures say no more than the pages of its instruments do.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import partial
from typing import TYPE_CHECKING, Any

from django.utils.translation import gettext as _

from publishing.statistics.choosing import AS_FOUND, View
from publishing.statistics.figures import SMALL, Figure
from publishing.statistics.groups import Group

from . import statistics_words as words
from .statistics_tables import Wanted, slug

if TYPE_CHECKING:
    from .statistics_page import ViewPages

SHARED_BY = 100
"""Groups of few instruments whose records stand on one page."""
LISTED_ON = 500
"""Groups on one page of a long list."""
FOLDERS = {"place": "places", "maker": "makers"}


def _share_pages(view: View, dimension: str) -> bool:
    """Makers keep a page each in the view of what is found: their own pages lead there."""
    return dimension == "place" or (dimension == "maker" and view.kind != AS_FOUND)


def _of_few(pages: ViewPages, dimension: str) -> list[Group]:
    return [group for group in pages.groups[dimension] if len(group.weights) < SMALL]


def few_path(view: View, dimension: str, number: int) -> str:
    """A page that groups of few share."""
    return f"statistics/{view.slug}-{dimension}-few-{number}.html"


def list_path(view: View, dimension: str, number: int) -> str:
    """A page of a long list of groups."""
    return f"statistics/{view.slug}-{dimension}-list-{number}.html"


def shared_pages(pages: ViewPages) -> dict[tuple[str, str], str]:
    """Page and place on it of each group that has no page of its own, by dimension and key."""
    return {
        (dimension, group.key): f"{few_path(pages.view, dimension, 1 + n // SHARED_BY)}#{_anchor(group)}"
        for dimension in pages.groups
        if _share_pages(pages.view, dimension)
        for n, group in enumerate(_of_few(pages, dimension))
    }


def _anchor(group: Group) -> str:
    return f"{group.dimension}-{slug(group.key)}"


def pages_of_few(pages: ViewPages) -> Iterator[Wanted]:
    """The pages that groups of few share, in the order of the groups."""
    for dimension in pages.groups:
        if not _share_pages(pages.view, dimension):
            continue
        every = _of_few(pages, dimension)
        figures = {group.key: figure for group, figure in pages.sharing_of[dimension]}
        for number, start in enumerate(range(0, len(every), SHARED_BY), start=1):
            here = [(group, figures[group.key]) for group in every[start : start + SHARED_BY]]
            path = few_path(pages.view, dimension, number)
            yield Wanted("statistics_few.html", path, partial(_few_page, pages, dimension, here))


def _few_page(pages: ViewPages, dimension: str, groups: list[tuple[Group, Figure]]) -> dict[str, Any]:
    """What the template `statistics_few.html` prints."""

    def shares(key: str) -> str:
        return words.figure_name("instruments", key, pages.devices)

    return _about(pages, dimension, _("Groups of few instruments")) | {
        "groups": [
            {
                "href": f"{FOLDERS[dimension]}/{group.key}.html",
                "name": words.group_name(dimension, group.key, group.name, pages.devices),
                "anchor": _anchor(group),
                "listing": pages.listing([figure], lambda one: shares(one.key), "instruments"),
            }
            for group, figure in groups
        ],
    }


def pages_of_lists(pages: ViewPages) -> Iterator[Wanted]:
    """All groups of the dimensions that have more than the overview lists."""
    from .statistics_page import MOST_GROUPS

    for dimension, groups in pages.groups.items():
        if len(groups) > MOST_GROUPS:
            for number in range(1, 1 + -(-len(groups) // LISTED_ON)):
                path = list_path(pages.view, dimension, number)
                yield Wanted("statistics_groups.html", path, partial(_list_page, pages, dimension, number))


def _list_page(pages: ViewPages, dimension: str, number: int) -> dict[str, Any]:
    """What the template `statistics_groups.html` prints."""
    found = pages.listed_groups(dimension)
    count = -(-len(found) // LISTED_ON)
    start = (number - 1) * LISTED_ON
    return _about(pages, dimension, _("All groups")) | {
        "rows": [pages.row_of_group(*one) for one in found[start : start + LISTED_ON]],
        "parts": [(n, list_path(pages.view, dimension, n), n == number) for n in range(1, count + 1)],
    }


def _about(pages: ViewPages, dimension: str, which: str) -> dict[str, Any]:
    from .statistics_page import overview_path, small_script

    heading = words.dimension_title(dimension)
    return {
        "title": _("Statistics, %(view)s: %(group)s")
        % {"view": words.view_name(pages.view), "group": heading},
        "description": which,
        "section": "statistics.html",
        "heading": heading,
        "rule": words.view_rule(pages.view),
        "words": words.dimension_words(dimension),
        "overview": overview_path(pages.view),
        "filter_script": small_script("filter")[0],
    }
