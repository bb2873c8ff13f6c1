"""The pages of one view of the statistics: the overview, and a page for each group with its records."""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from functools import cache, cached_property, partial
from importlib.resources import files
from itertools import chain
from typing import Any

from django.utils.translation import gettext as _

from inventory.drawings.charts_over_time import Decade, decade_bars
from inventory.languages import active_language
from publishing.disclosure.values import DeviceValue
from publishing.statistics.choosing import AS_BUILT, AS_FOUND, AT_YEAR, UNALTERED, View
from publishing.statistics.figures import SHARE, SMALL, Figure, Record, make_figure
from publishing.statistics.frames import Frames
from publishing.statistics.groups import DIMENSIONS, Group, groups_of, left_out
from publishing.statistics.measures import (
    MEASURES,
    contributions_of,
    evidence_of,
    figures_of_group,
    index_contributions,
)

from . import statistics_words as words
from .packing import digest_of, pack
from .plates import Plate
from .statistics_few import list_path, pages_of_few, pages_of_lists, shared_pages
from .statistics_tables import FigureRow, Wanted, figure_row, head_of_row, share_chart, slug, written_listing

DIMENSIONS_OF = {AS_FOUND: DIMENSIONS, AS_BUILT: ("maker", "decade", "place"), AT_YEAR: ("maker",)}
MOST_LISTED = 70
"""Instruments whose records a page lists, some 300 kB; of larger groups the table of contributions has them."""
MOST_GROUPS = 300
"""Groups listed on the overview; all of more are listed on pages of their own."""
CHARTED = frozenset(
    {"stops", "unification", "callers", "patterns", "intervals", "devices", "trebles", "evidence"}
)


@cache
def small_script(name: str) -> tuple[str, bytes]:
    """A script of the statistics (`filter`, `registrations`), under a name that changes when it does."""
    content = (files("publishing.catalogue") / "assets" / f"{name}.js").read_bytes()
    return f"assets/{name}.{hashlib.sha256(content).hexdigest()[:10]}.js", content


def overview_path(view: View) -> str:
    """The overview of a view."""
    return "statistics.html" if view.kind == AS_FOUND else f"statistics-{view.slug}.html"


def group_path(view: View, dimension: str, key: str) -> str:
    """The page of a group in a view."""
    return f"statistics/{view.slug}-{dimension}-{slug(key)}.html"


class ViewPages:
    """Everything the pages of one view print."""

    most_groups: int | None = MOST_GROUPS
    most_missing: int | None = MOST_LISTED

    def __init__(
        self,
        frames: Frames,
        devices: Mapping[str, DeviceValue],
        views: Sequence[View],
        dimensions: Sequence[str] | None = None,
        numbers: bytes = b"",
    ) -> None:
        """`numbers`: a digest of the tables without names, so that pages need not be made to be known unchanged."""
        self.numbers = numbers
        self.frames, self.view, self.devices, self.views = frames, frames.view, devices, views
        self.given = contributions_of(frames)
        self.indexed = index_contributions(self.given)
        self.evidence = evidence_of(frames)
        self.names = dict(zip(frames.instruments["reference"], frames.instruments["name"], strict=True))
        self.all = Group("all", "instruments", "", dict.fromkeys(frames.counted["reference"], 1.0))
        self._known: dict[tuple[str, str, str], str] = {}
        self._compared: dict[tuple[str, str, str], FigureRow] = {}
        self._heads: dict[str, str] = {}
        self.dimensions = DIMENSIONS_OF[self.view.kind] if dimensions is None else tuple(dimensions)

    @cached_property
    def groups(self) -> dict[str, list[Group]]:
        """The groups of every dimension of this view."""
        return {dimension: groups_of(self.frames, dimension) for dimension in self.dimensions}

    @cached_property
    def whole(self) -> dict[str, list[Figure]]:
        """The figures of every measure over all instruments."""
        return self.figures_of(self.all)

    def figures_of(self, group: Group) -> dict[str, list[Figure]]:
        """The figures of every measure over a group."""
        return {
            m.code: figures_of_group(m.code, self.indexed, group.weights, self.evidence) for m in MEASURES
        }

    @cached_property
    def few(self) -> dict[tuple[str, str], str]:
        """Where the records of groups stand that have no page of their own, by dimension and key."""
        return shared_pages(self)

    def pages(self) -> Iterator[Wanted]:
        """The overview, the page of every group but of few instruments, and the pages these share."""
        yield Wanted("statistics.html", overview_path(self.view), self.overview, self._overview_from())
        for group in (self.all, *chain.from_iterable(self.groups.values())):
            if (group.dimension, group.key) not in self.few:
                yield Wanted(
                    "statistics_group.html",
                    group_path(self.view, group.dimension, group.key),
                    partial(self.group_page, group),
                    self._made_from(group),
                )
        yield from pages_of_few(self)
        yield from pages_of_lists(self)

    def _made_from(self, group: Group) -> bytes:
        if not self.numbers:
            return b""
        # The page of all lists also instruments of which no specification counts.
        shown = list(self.names) if group is self.all else group.weights
        named = [self.names[r] for r in shown] if self._is_listed(group) else []
        told = (self.numbers, self.views, group, named, self.devices)
        return digest_of(pack(told))

    def _overview_from(self) -> bytes:
        if not self.numbers:
            return b""
        # Whole, with who stands in each: a chest's kind stands in no table that is told by `numbers`.
        groups = list(chain.from_iterable(self.groups.values()))
        named = [(r, self.names[r]) for code in self.dimensions for r in self._missing(code)]
        return digest_of(pack((self.numbers, self.views, groups, named, self.devices)))

    def _missing(self, dimension: str) -> list[str]:
        """Instruments of which the group is not known, where each can have but one."""
        return [] if dimension in ("device", "pattern") else left_out(self.frames, dimension)

    def _figures(self, group: Group) -> dict[str, list[Figure]]:
        """The figures of the page that is made now, in one language after another."""
        if self._last[0] is not group:
            self._last = group, self.whole if group is self.all else self.figures_of(group)
        return self._last[1]

    _last: tuple[Group | None, dict[str, list[Figure]]] = None, {}

    def overview(self) -> dict[str, Any]:
        """What the template `statistics.html` prints."""
        return {
            "title": _("Statistics, %(view)s") % {"view": words.view_name(self.view)},
            "description": _(
                "How stops share pipes, over the whole inventory: counts, shares and intervals."
            ),
            "section": "statistics.html",
            "views": self._views(),
            "rule": words.view_rule(self.view),
            "chosen": [
                figure_row(f, words.chosen_name(f.key), self._records("chosen", f.key)) for f in self.chosen
            ],
            "small": SMALL,
            "measures": [self._measure(code, figures, self.all) for code, figures in self.whole.items()],
            "dimensions": [self._dimension(dimension) for dimension in self.dimensions],
            "as_found": self.view.kind == AS_FOUND,
            "slug": self.view.slug,
            "filter_script": small_script("filter")[0],
        }

    @cached_property
    def chosen(self) -> list[Figure]:
        """Of all published instruments: those of which a specification counts in this view, and how it was chosen."""
        table = self.frames.instruments
        kinds = [("counted", table["specification"] != "")]
        if self.view.kind == AS_BUILT:
            kinds.append(("unaltered", table["chosen"] == UNALTERED))
        return [
            make_figure(
                key, key, SHARE,
                [
                    Record(r, float(flag), 1.0, self.evidence[r])
                    for r, flag in zip(table["reference"], flags, strict=True)
                ],
            )
            for key, flags in kinds
        ]  # fmt: skip

    def _views(self) -> list[tuple[str, str, bool]]:
        return [(words.view_name(view), overview_path(view), view == self.view) for view in self.views]

    def _records(self, code: str, key: str, group: Group | None = None) -> str:
        return f"{self.address(group or self.all)}#{code}-{slug(key)}"

    def address(self, group: Group) -> str:
        """Where a group's figures and records stand."""
        return group_path(self.view, group.dimension, group.key)

    def _name(self, code: str, figure: Figure) -> str:
        key = (active_language(), code, figure.key)
        if key not in self._known:
            self._known[key] = words.figure_name(code, figure.key, self.devices)
        return self._known[key]

    def _measure(self, code: str, figures: list[Figure], group: Group) -> dict[str, Any]:
        listed = sorted(figures, key=_order(code))
        if code == "sounds":
            listed = sorted(figures, key=lambda f: _by_size(f, self._name(code, f)))
        whole = {figure.key: figure for figure in self.whole[code]}
        title = words.measure_title(code)
        return {
            "code": code,
            "title": title,
            "words": words.measure_words(code),
            "of": words.denominator(code, listed[0].key if listed else ""),
            "chart": share_chart(listed, lambda f: self._name(code, f), title, code) if code in CHARTED else None,
            "rows": [
                figure_row(
                    f, self._name_of(code, f, listed[0].key), self._records(code, f.key, group),
                    self._whole_row(code, whole[f.key]) if group is not self.all and f.key in whole else None,
                )
                for f in listed
            ],
        }  # fmt: skip

    def _whole_row(self, code: str, figure: Figure) -> FigureRow:
        """The figure over all instruments, which stands on the page of every group."""
        key = (active_language(), code, figure.key)
        if key not in self._compared:
            self._compared[key] = figure_row(figure, words.all_name(), self._records(code, figure.key))
        return self._compared[key]

    def _name_of(self, code: str, figure: Figure, first: str) -> str:
        """The name of a figure, with its denominator where that is not the one at the head of the table."""
        own = words.denominator(code, figure.key)
        if own == words.denominator(code, first):
            return self._name(code, figure)
        return _("%(figure)s (of %(things)s)") % {"figure": self._name(code, figure), "things": own}

    def sharing(self, group: Group) -> Figure:
        """Sharing instruments of a group."""
        found = figures_of_group("instruments", self.indexed, group.weights, self.evidence)
        return next((f for f in found if f.key == "sharing"), make_figure("sharing", "", SHARE, []))

    @cached_property
    def sharing_of(self) -> dict[str, list[tuple[Group, Figure]]]:
        """The groups of every dimension, each with its sharing instruments."""
        return {
            dimension: [(group, self.sharing(group)) for group in groups]
            for dimension, groups in self.groups.items()
        }

    def listed_groups(self, dimension: str) -> list[tuple[Group, Figure, str]]:
        """Group, sharing instruments and name, in the order in which they are listed."""
        found = [
            (group, figure, words.group_name(dimension, group.key, group.name, self.devices))
            for group, figure in self.sharing_of[dimension]
        ]
        if dimension not in ("decade", "level"):
            found.sort(key=lambda one: _by_size(one[1], one[2]))
        return found

    def row_of_group(self, group: Group, figure: Figure, name: str) -> FigureRow:
        """The row of a group in a list, which leads to its records."""
        shared = self.few.get((group.dimension, group.key))
        return figure_row(figure, name, shared or self._records("instruments", "sharing", group))

    def _dimension(self, dimension: str) -> dict[str, Any]:
        found = self.listed_groups(dimension)
        figures = [(group, figure) for group, figure, _name in found]
        names = {id(figure): name for _group, figure, name in found}
        missing = self._missing(dimension)
        title = words.dimension_title(dimension)
        chart = None
        if dimension == "decade" and figures:
            bars = [Decade(int(group.key), f.count, f.of) for group, f in figures]
            chart = Plate(
                decade_bars(bars, title, prefix="chart-decade"),
                decade_bars(bars, title, prefix="chart-decade-narrow", narrow=True),
            )
        elif dimension not in ("device", "pattern"):
            charted = [f for _g, f in figures[:MOST_GROUPS]]
            chart = share_chart(charted, lambda f: names[id(f)], title, dimension)
        return {
            "code": dimension,
            "title": title,
            "words": words.dimension_words(dimension),
            "chart": chart,
            "rows": [self.row_of_group(*one) for one in found[: self.most_groups]],
            "all": list_path(self.view, dimension, 1)
            if self.most_groups and len(found) > self.most_groups
            else "",
            "missing": [(reference, self.names[reference]) for reference in missing[: self.most_missing]],
            "missing_in_all": len(missing),
            "counted": len(self.all.weights),
        }

    def group_page(self, group: Group, figures: Mapping[str, list[Figure]] | None = None) -> dict[str, Any]:
        """What the template `statistics_group.html` prints."""
        figures = self._figures(group) if figures is None else figures
        named = words.group_name(group.dimension, group.key, group.name, self.devices)
        if group is self.all:
            named = words.all_name()
        measures = [self._measure(code, found, group) for code, found in figures.items()]
        for measure, (code, found) in zip(measures, figures.items(), strict=True):
            found = sorted(found, key=_order(code))
            measure["listing"] = (
                self.listing(found, lambda f, code=code: self._name(code, f), code)
                if self._is_listed(group)
                else None
            )
            if not found:
                measure["listing"] = None
        chosen = None
        if group is self.all and self._is_listed(group):
            chosen = self.listing(self.chosen, lambda f: words.chosen_name(f.key), "chosen")
        maker = group.key if group.dimension == "maker" else ""
        return {
            "title": _("Statistics, %(view)s: %(group)s")
            % {"view": words.view_name(self.view), "group": named},
            "description": _(
                "The figures of a group of instruments, each with the records that add up to it."
            ),
            "section": "statistics.html",
            "rule": words.view_rule(self.view),
            "small": SMALL,
            "is_all": group is self.all,
            "overview": overview_path(self.view),
            "measures": measures,
            "chosen": chosen,
            "chosen_anchors": [f"chosen-{slug(f.key)}" for f in self.chosen],
            "listed": self._is_listed(group),
            "slug": self.view.slug,
            "career": self._career(group) if maker else [],
            "career_words": words.dimension_words("decade"),
            "maker": maker,
        }

    def _is_listed(self, group: Group) -> bool:
        size = len(self.frames.instruments) if group is self.all else len(group.weights)
        return size <= MOST_LISTED

    def listing(self, figures: Sequence[Figure], names: Callable[[Figure], str], code: str) -> dict[str, Any]:
        """The records behind figures, as the catalogue prints them."""
        return written_listing(figures, names, code, self._head)

    def _head(self, reference: str) -> str:
        if reference not in self._heads:
            self._heads[reference] = head_of_row(reference, self.names[reference])
        return self._heads[reference]

    def _career(self, maker: Group) -> list[dict[str, Any]]:
        """A maker's instruments decade by decade, each with the part of it that falls there."""
        rows = []
        for key, figure in self._sharing_by_decade(maker):
            name = words.group_name("decade", key, "", self.devices)
            anchor = f"career-{key}"
            href = f"{self.address(maker)}#{anchor}"
            records = self.listing([figure], lambda _figure, name=name: name, "career")
            rows.append({"row": figure_row(figure, name, href), "listing": records | {"anchor": anchor}})
        return rows

    def _sharing_by_decade(self, maker: Group) -> list[tuple[str, Figure]]:
        if self._career_of[0] != maker.key:  # the languages of one page come one after another
            shared = (
                (decade.key, {r: weights[r] for r in maker.weights if r in (weights := decade.weights)})
                for decade in self.groups.get("decade", ())
            )
            made = [(k, self.sharing(Group("career", k, "", part))) for k, part in shared if part]
            self._career_of = maker.key, made
        return self._career_of[1]

    _career_of: tuple[str, list[tuple[str, Figure]]] = "", []


def _by_size(figure: Figure, name: str) -> tuple[bool, float, str]:
    """The most looked at first, those of few after them by name: never by the value."""
    return figure.is_small, 0.0 if figure.is_small else -figure.of, name


def _order(code: str) -> Any:
    """The order in which the figures of a measure stand."""
    if code in ("intervals", "callers"):
        return lambda f: (0, int(f.key))
    if code in ("patterns", "devices"):
        return lambda f: (f.key == "", -f.count, f.key)
    return lambda f: (0, 0)
