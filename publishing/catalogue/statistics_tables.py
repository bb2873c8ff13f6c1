"""Figures as rows for people: every number with its n, its denominator, its interval and a way to its records."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.utils.translation import gettext as _
from markupsafe import Markup, escape

from inventory.drawings.charts import ShareRow, share_bars
from inventory.languages import active_language
from inventory.punctuation import in_figures
from publishing.statistics.figures import SHARE, Figure

from .plates import Plate
from .statistics_words import once_a_language

EVIDENCE_ORDER = ("seen", "sounded", "source", "inferred", "")


@dataclass(frozen=True)
class Wanted:
    """A page of the statistics; its figures are made once for all languages, and only if some page needs them."""

    template: str
    path: str
    context: Callable[[], dict[str, Any]]
    """Makes what the template prints, in the language that is active."""
    made_from: bytes = b""
    """A digest of all that goes into it but the language; empty where only the context itself can tell."""


@dataclass(frozen=True)
class FigureRow:
    """One row of a table of figures."""

    name: str
    href: str
    """Where the records are listed whose numbers add up to these."""
    count: str
    of: str
    n: int
    value: str
    interval: str
    drawn: str
    evidence: str
    is_small: bool
    data_count: str
    data_of: str
    compared: FigureRow | None = None
    """The same figure over all instruments, on a page of a group."""


def figure_row(figure: Figure, name: str, href: str, compared: FigureRow | None = None) -> FigureRow:
    """A figure for a table; no per cents of a handful, no interval where it would say nothing."""
    shown = not figure.is_small
    return FigureRow(
        name=name,
        href=href,
        count=plain(figure.count),
        of=plain(figure.of),
        n=figure.n,
        value=value_words(figure),
        interval=range_words(figure.low, figure.high, True) if shown else "–",
        drawn=range_words(figure.drawn_low, figure.drawn_high, figure.kind == SHARE) if shown else "–",
        evidence=evidence_words(figure.evidence),
        is_small=figure.is_small,
        data_count=exact(figure.count),
        data_of=exact(figure.of),
        compared=compared,
    )


def value_words(figure: Figure) -> str:
    """The value for people: a share in per cents unless it is of a handful, anything else as a number."""
    if figure.share is None:
        return "–"
    if figure.kind == SHARE:
        return "–" if figure.is_small else percent(figure.share)
    return in_figures(f"{figure.share:.2f}")


def percent(share: float) -> str:
    """A share in whole per cents, without ever rounding something to nothing or to everything."""
    if 0 < share < 0.01:
        return _("under 1 %")
    if 0.99 < share < 1:
        return _("over 99 %")
    return f"{share * 100:.0f} %"


def range_words(low: float | None, high: float | None, in_per_cent: bool) -> str:
    """An interval for people."""
    if low is None or high is None:
        return "–"
    return f"{low * 100:.0f}–{high * 100:.0f} %" if in_per_cent else in_figures(f"{low:.2f}–{high:.2f}")


def plain(number: float) -> str:
    """A sum: whole where it is whole, else with two decimals."""
    return f"{number:.0f}" if abs(number - round(number)) < 1e-9 else in_figures(f"{number:.2f}")


def exact(number: float) -> str:
    """A sum for programs, to nine decimals."""
    return f"{number:.9f}".rstrip("0").rstrip(".")


def evidence_words(found: Mapping[str, int]) -> str:
    """Instruments by the weakest evidence of their sharing."""
    return (
        ", ".join(f"{evidence_word(kind)} {found[kind]}" for kind in EVIDENCE_ORDER if found.get(kind)) or "–"
    )


@once_a_language
def evidence_word(kind: str) -> str:
    """A kind of evidence in one word."""
    return {
        "seen": _("seen"), "sounded": _("sounded"), "source": _("source"), "inferred": _("inferred"),
        "": _("no sharing"),
    }[kind]  # fmt: skip


def slug(text: str) -> str:
    """A part of an address: letters, digits and hyphens; never empty."""
    return re.sub(r"[^A-Za-z0-9]+", "-", text).strip("-") or "none"


def share_chart(
    figures: Sequence[Figure], names: Callable[[Figure], str], title: str, prefix: str
) -> Plate | None:
    """Bars of shares without those of few; None where there is nothing to compare.

    Whiskers are those of instruments drawn again where there are such: the wider, more careful ones.
    """
    rows = []
    for f in figures:
        if f.kind == SHARE and f.of and not f.is_small:
            low, high = (f.low, f.high) if f.drawn_low is None else (f.drawn_low, f.drawn_high)
            rows.append(ShareRow(names(f), f.share, low, high, round(f.count), round(f.of)))
    if len(rows) < 2:
        return None
    return Plate(
        share_bars(rows, title, prefix=f"chart-{prefix}"),
        share_bars(rows, title, prefix=f"chart-{prefix}-narrow", narrow=True),
    )


def head_of_row(reference: str, name: str) -> str:
    """The head of an instrument's row on a page in the folder of the statistics."""
    return (
        f'\n<tr data-reference="{escape(reference)}"><th scope="row">'
        f'<a href="../instruments/{escape(reference)}.html">{escape(name)}</a> '
        f'<span class="quiet">{escape(reference)}</span>'
    )


@lru_cache(maxsize=20_000)
def _cell(count: float, of: float, between: str, sign: str) -> str:
    """A cell of a list of records; the same few numbers come again and again. `sign` tells languages apart."""
    told = f'<td class="n" data-count="{exact(count)}" data-of="{exact(of)}">'
    return f"{told}{plain(count)} {between} {plain(of)}"


def written_listing(
    figures: Iterable[Figure],
    names: Callable[[Figure], str],
    code: str,
    head: Callable[[str], str],
) -> dict[str, Any]:
    """The records behind the figures of one measure as `listing` has them, their rows as they are printed.

    Rows are most of the pages of figures: written here they take a tenth of the time that a template takes.
    """
    figures = list(figures)
    between, sign = str(escape(_("of"))), active_language()
    cells: dict[str, list[str]] = {}
    evidence: dict[str, str] = {}
    for place, figure in enumerate(figures):
        for reference, count, of, found in figure.records:
            evidence[reference] = found
            if reference not in cells:
                cells[reference] = ['<td class="n">–'] * len(figures)
            cells[reference][place] = _cell(count, of, between, sign)
    rows = [
        f"{head(reference)}{''.join(row)}<td>{escape(evidence[reference] or '–')}"
        for reference, row in sorted(cells.items())
    ]
    return {
        "heads": [{"id": f"{code}-{slug(figure.key)}", "name": names(figure)} for figure in figures],
        "rows": Markup("".join(rows)),  # noqa: S704  names and references are escaped
    }


def listing(figures: Iterable[Figure], names: Callable[[Figure], str], code: str) -> dict[str, Any]:
    """The records behind the figures of one measure: a row an instrument, a column a figure."""
    figures = list(figures)
    cells: dict[str, dict[str, tuple[str, str, str, str]]] = {}
    evidence: dict[str, str] = {}
    for figure in figures:
        for record in figure.records:
            evidence[record.reference] = record.evidence
            cells.setdefault(record.reference, {})[figure.key] = (
                plain(record.count), plain(record.of), exact(record.count), exact(record.of),
            )  # fmt: skip
    return {
        "heads": [{"id": f"{code}-{slug(figure.key)}", "name": names(figure)} for figure in figures],
        "rows": [
            {
                "reference": reference,
                "evidence": evidence[reference],
                "cells": [found.get(figure.key) for figure in figures],
            }
            for reference, found in sorted(cells.items())
        ],
    }
