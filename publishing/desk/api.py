"""The statistics for programs: figures, the records that add up to one, and the tables, all read only.

They are the catalogue's figures as they would be published now (released records through disclosure),
the same for whoever asks; so nobody needs to sign in.
"""

from __future__ import annotations

import json
from typing import Any

from django.urls import path
from django.utils.translation import gettext as _
from rest_framework.request import Request
from rest_framework.response import Response

from inventory.api.base import ApiView
from inventory.api.problems import Problem
from inventory.api.throttles import AnonymousSums, SignedIn
from publishing.catalogue import statistics_words as words
from publishing.statistics.dictionary import TABLES
from publishing.statistics.figures import SHARE, Figure
from publishing.statistics.groups import DIMENSIONS, Group, left_out
from publishing.statistics.measures import BY_CODE, MEASURES

from .figures import TABLE_NAMES, VIEWS, DeskPages, read_figures, read_view, table_of, view_word

MOST = 200
"""Instruments of a page of rows, at most."""


class StatisticsView(ApiView):
    """A view of the statistics: which specification counts is asked with each request, and told in each answer."""

    throttle_classes = [AnonymousSums, SignedIn]

    def asked(self, name: str, offered: tuple[str, ...], usual: str = "") -> str:
        """A word of the query that must be one of those offered."""
        given = str(self.request.query_params.get(name, usual))
        if given not in offered:
            raise Problem(
                400, _("Give one of: %(all)s.") % {"all": ", ".join(one for one in offered if one)}, name
            )
        return given

    def pages(self, by: str) -> DeskPages:
        """The figures of the view asked for."""
        try:
            view = read_view({"view": str(self.request.query_params.get("view", ""))})
        except ValueError:
            raise Problem(400, _("Give as-found, as-built, or a year from 1000 to 2999."), "view") from None
        return DeskPages(read_figures(view), by)

    def group(self, pages: DeskPages, by: str) -> Group:
        """The group asked for; all instruments where none is."""
        key = str(self.request.query_params.get("group", ""))
        if not key:
            return pages.all
        group = pages.find(key) if by else None
        if group is None:
            raise Problem(404, _("There is no such group; ask with `by` alone for those there are."), "group")
        return group

    def told(self, pages: DeskPages, **more: Any) -> Response:
        """An answer with what every figure rests on."""
        head = {
            "view": view_word(pages.view),
            "rule": words.view_rule(pages.view),
            "published": len(pages.frames.instruments),
            "counted": len(pages.frames.counted),
        }
        return Response(head | more)


class Overview(StatisticsView):
    """What there is to ask for."""

    def get(self, request: Request) -> Response:
        measures = [
            {"measure": m.code, "title": words.measure_title(m.code), "meaning": words.measure_words(m.code)}
            for m in MEASURES
        ]
        return Response(
            {
                "views": [*VIEWS, "1000 … 2999"],
                "dimensions": list(DIMENSIONS),
                "measures": measures,
                "tables": [
                    {"table": name, "columns": [_column(column) for column in TABLES[name.replace("-", "_")]]}
                    for name in TABLE_NAMES
                ],
            }
        )


class Figures(StatisticsView):
    """The figures of all instruments or of a group; with `by` alone, every group's share of sharing instruments."""

    query_fields = ("view", "by", "group", "measure")

    def get(self, request: Request) -> Response:
        by = self.asked("by", ("", *DIMENSIONS))
        measure = self.asked("measure", ("", *BY_CODE))
        pages = self.pages(by)
        group = self.group(pages, by)
        if by and group is pages.all:
            rows = [
                {"group": one.key, "name": words.group_name(by, one.key, one.name, pages.devices)}
                | figure_document("instruments", pages.sharing(one))
                for one in pages.groups[by]
            ]
            missing = [] if by in ("device", "pattern") else left_out(pages.frames, by)
            return self.told(pages, by=by, groups=rows, in_no_group=missing)
        found = pages.whole if group is pages.all else pages.figures_of(group)
        figures = [
            figure_document(code, figure)
            for code, listed in found.items()
            if not measure or code == measure
            for figure in listed
        ]
        return self.told(pages, by=by, group=group.key, figures=figures)


class Records(StatisticsView):
    """The instruments that add up to one figure."""

    query_fields = ("view", "by", "group", "measure", "key")

    def get(self, request: Request) -> Response:
        by = self.asked("by", ("", *DIMENSIONS))
        measure = self.asked("measure", tuple(BY_CODE))
        pages = self.pages(by)
        group = self.group(pages, by)
        found = pages.whole if group is pages.all else pages.figures_of(group)
        key = str(request.query_params.get("key", ""))
        figure = next((one for one in found[measure] if one.key == key), None)
        if figure is None:
            keys = ", ".join(one.key for one in found[measure]) or _("none")
            raise Problem(
                404, _("This measure has no such figure here; it has: %(keys)s.") % {"keys": keys}, "key"
            )
        records = [
            {"reference": r.reference, "count": r.count, "of": r.of, "evidence": r.evidence}
            for r in figure.records
        ]
        return self.told(
            pages, by=by, group=group.key, figure=figure_document(measure, figure), records=records
        )


class Rows(StatisticsView):
    """Rows of one table, some instruments at a time."""

    query_fields = ("view", "table", "after", "limit")

    def get(self, request: Request) -> Response:
        name = self.asked("table", TABLE_NAMES)
        limit, after = (
            str(request.query_params.get("limit", MOST)),
            str(request.query_params.get("after", "")),
        )
        if not (limit.isascii() and limit.isdigit() and 1 <= int(limit) <= MOST):
            raise Problem(400, _("Give a number from 1 to %(most)d.") % {"most": MOST}, "limit")
        pages = self.pages("")
        table = table_of(pages.frames, name)
        kind = "reference" if "reference" in table else table.columns[0]
        wanted = sorted({one for one in table[kind] if one > after})
        page = wanted[: int(limit)]
        rows = json.loads(table[table[kind].isin(page)].to_json(orient="values"))
        following = page[-1] if len(wanted) > len(page) else None
        columns = [_column(column) for column in TABLES[name.replace("-", "_")]]
        return self.told(pages, table=name, columns=columns, rows=rows, next=following)


def figure_document(measure: str, figure: Figure) -> dict[str, Any]:
    """A figure with everything that must stand beside it; no value where it rests on few instruments."""
    return {
        "measure": measure, "key": figure.key, "kind": figure.kind, "count": figure.count, "of": figure.of,
        "counts": words.denominator(measure, figure.key), "n": figure.n, "few": figure.is_small,
        "value": None if figure.is_small and figure.kind == SHARE else figure.share,
        "wilson": None if figure.is_small or figure.low is None else [figure.low, figure.high],
        "drawn_again": None if figure.drawn_low is None else [figure.drawn_low, figure.drawn_high],
        "evidence": {kind or "no sharing": n for kind, n in sorted(figure.evidence.items())},
    }  # fmt: skip


def _column(column: Any) -> dict[str, str]:
    return {"name": column.name, "kind": column.kind, "unit": column.unit, "meaning": column.meaning}


urlpatterns = [
    path("statistics", Overview.as_view(), name="statistics"),
    path("statistics/figures", Figures.as_view(), name="statistics-figures"),
    path("statistics/records", Records.as_view(), name="statistics-records"),
    path("statistics/rows", Rows.as_view(), name="statistics-rows"),
]
