"""A study in a file: a chosen subset as a Data Package with code-book, figures, methods, citation and a script.

The figures stand in `figures.csv`; `recompute.py` works the headline ones out again from the
other tables alone.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from importlib.resources import files
from typing import Any

import pandas as pd
from django.utils.translation import gettext as _

from inventory.drawings.charts import ShareRow, share_bars
from inventory.drawings.charts_over_time import Decade, decade_bars
from publishing.formats.citation import citation_file
from publishing.formats.licences import licence_of
from publishing.formats.release import Release

from .choosing import View
from .dictionary import TABLES, TEXT, TRUTH, Column
from .figures import RESAMPLES, SEED, SMALL, Figure
from .frames import Frames
from .groups import sharing_by_group
from .measures import MEASURES, contributions_of, figures_of_measure
from .tables import as_csv, contributions_table

FIGURES = (
    Column("measure", TEXT, "Code of the measure."),
    Column("key", TEXT, "Which figure of the measure; empty: not known."),
    Column("kind", TEXT, "Share, ratio or mean."),
    Column("count", "float64", "Sum over the instruments of what the measure counts, in its own unit."),
    Column("of", "float64", "Sum of the denominators: what was looked at."),
    Column("n_instruments", "int64", "Instruments the figure rests on.", "instruments"),
    Column("value", "float64", "The count divided by `of`: a share from 0 to 1, a ratio, or a mean in the unit of "
           "the measure."),
    Column("wilson_low", "float64", "Lower end of Wilson's 95 % interval; of shares only."),
    Column("wilson_high", "float64", "Upper end of Wilson's 95 % interval; of shares only."),
    Column("drawn_low", "float64", "Lower end of the 95 % interval from drawing instruments again; empty for few "
           "instruments and for shares of instruments."),
    Column("drawn_high", "float64", "Upper end of the interval from drawing instruments again."),
    Column("few", TRUTH, f"Whether it rests on fewer than {SMALL}: not to be ranked or put in per cents."),
)  # fmt: skip
CONTRIBUTIONS = (
    Column("measure", TEXT, "Code of the measure."),
    Column("key", TEXT, "Which figure of the measure."),
    Column("reference", TEXT, "Reference of the instrument."),
    Column("count", "float64", "What it adds to the count."),
    Column("of", "float64", "What it adds to the denominator."),
)
KINDS = {"str": "string", "int64": "integer", "Int64": "integer", "float64": "number", "bool": "boolean"}


@dataclass(frozen=True)
class Subset:
    """Which instruments a study holds: all, or those of a maker, or those that show a pattern, or both."""

    maker: str = ""
    pattern: str = ""

    @property
    def words(self) -> str:
        """For the methods paragraph.

        >>> Subset("MKR-1").words
        'instruments counted for the maker MKR-1'
        """
        parts = [f"counted for the maker {self.maker}"] if self.maker else []
        parts += [f"that show the pattern “{self.pattern}”"] if self.pattern else []
        return "instruments " + " and ".join(parts) if parts else "all published instruments"


def choose_subset(frames: Frames, subset: Subset) -> Frames:
    """The tables of the chosen instruments only.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> len(choose_subset(frames_of([example_instrument()]), Subset(pattern="duplex")).instruments)
    0
    """
    table = frames.instruments
    kept = pd.Series(True, index=table.index)
    if subset.maker:
        kept &= table["maker"] == subset.maker
    if subset.pattern:
        having = frames.patterns.loc[frames.patterns["pattern"] == subset.pattern, "reference"]
        kept &= table["reference"].isin(having)
    references = set(table.loc[kept, "reference"])
    names = ("segments", "stops", "instruments", "patterns", "signatures", "pipes")
    chosen = {name: getattr(frames, name) for name in names}
    return replace(
        frames,
        **{
            name: one[one["reference"].isin(references)].reset_index(drop=True)
            for name, one in chosen.items()
        },
    )


def study_files(frames: Frames, subset: Subset, release: Release) -> Iterator[tuple[str, bytes]]:
    """Every file of a study of these instruments, by path.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> found = dict(study_files(frames_of([example_instrument()]), Subset(), Release("Us", "CC BY 4.0", "", "")))
    >>> sorted(found)[:4]
    ['CITATION.cff', 'code-book.md', 'contributions.csv', 'datapackage.json']
    """
    chosen = choose_subset(frames, subset)
    tables: dict[str, tuple[tuple[Column, ...], pd.DataFrame]] = {
        name.replace("_", "-"): (columns, getattr(chosen, name)) for name, columns in TABLES.items()
    }
    tables["figures"] = FIGURES, figures_table(chosen)
    tables["contributions"] = CONTRIBUTIONS, contributions_table(contributions_of(chosen))
    resources, sums = [], []
    for name, (columns, table) in tables.items():
        content = as_csv(table)
        sums.append(hashlib.sha256(content).hexdigest())
        resources.append(_resource(name, columns, content))
        yield f"{name}.csv", content
    state = hashlib.sha256("".join(sums).encode()).hexdigest()[:12]
    release = release if release.version else replace(release, version=f"state-{state}")
    yield from charts(chosen)
    yield "code-book.md", code_book({name: columns for name, (columns, _table) in tables.items()}).encode()
    yield "methods.md", methods(chosen, subset, release).encode()
    yield "CITATION.cff", citation_file(release).encode()
    yield "recompute.py", (files("publishing.statistics") / "recompute.py.txt").read_bytes()
    document = _descriptor(release, subset, resources)
    yield "datapackage.json", (json.dumps(document, ensure_ascii=False, indent=1) + "\n").encode()


def figures_table(frames: Frames) -> pd.DataFrame:
    """Every figure over these instruments, as one table.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> table = figures_table(frames_of([example_instrument()]))
    >>> table.loc[table["key"] == "calls-per-pipe", ["count", "of"]].values.tolist()
    [[122.0, 73.0]]
    """
    rows = [
        (
            measure.code, f.key, f.kind, f.count, f.of, f.n, f.share, f.low, f.high, f.drawn_low, f.drawn_high,
            f.is_small,
        )
        for measure in MEASURES
        for f in figures_of_measure(measure.code, frames)
    ]  # fmt: skip
    types = {column.name: column.kind for column in FIGURES}
    return pd.DataFrame(rows, columns=list(types)).astype(types)


def charts(frames: Frames) -> Iterator[tuple[str, bytes]]:
    """The figures as drawings, where there is something to draw.

    >>> from .frames import frames_of
    >>> list(charts(frames_of([])))
    []
    """
    decades = sharing_by_group(frames, "decade")
    if decades:
        bars = [Decade(int(f.key), f.count, f.of) for f in decades]
        yield "figures/decades.svg", decade_bars(bars, _("Sharing instruments by decade")).svg.encode()
    for code in ("stops", "patterns"):
        rows = [_bar(f) for f in figures_of_measure(code, frames) if not f.is_small]
        if rows:
            yield f"figures/{code}.svg", share_bars(rows, code.capitalize(), prefix=code).svg.encode()


def _bar(figure: Figure) -> ShareRow:
    return ShareRow(figure.key, figure.share, figure.low, figure.high, round(figure.count), round(figure.of))


def code_book(tables: dict[str, tuple[Column, ...]]) -> str:
    """Every column of every table, with kind, unit and meaning.

    >>> print(code_book({"x": (Column("a", "int64", "Keys.", "keys"),)}).splitlines()[8])
    | `a` | integer | keys | Keys. |
    """
    lines = ["# Code-book", "", "CSV, UTF-8; an empty cell is not known.", ""]
    for name, columns in tables.items():
        lines += [f"## {name}.csv", "", "| column | kind | unit | meaning |", "|---|---|---|---|"]
        lines += [f"| `{c.name}` | {KINDS[c.kind]} | {c.unit or '–'} | {c.meaning} |" for c in columns]
        lines.append("")
    return "\n".join(lines) + "\n"


def methods(frames: Frames, subset: Subset, release: Release) -> str:
    """A paragraph for the methods section of a paper, with what a reader must know, and how to cite.

    >>> from .frames import frames_of
    >>> methods(frames_of([]), Subset(), Release("Us", "CC BY 4.0", "1", "")).splitlines()[0]
    '# Methods'
    """
    counted, every = len(frames.counted), len(frames.instruments)
    view = f"{frames.view.kind} {frames.view.year or ''}".strip()
    return (
        "# Methods\n\n"
        f"The study holds {subset.words} (n = {every}). The specification {view} counts; one can be said of {counted} "
        f"of {every}, and they are every denominator. A call is a stop at a key asking a pipe that exists; a pipe is "
        "shared if two stops or more call it. Calls, pipes called and patterns are computed from the recorded "
        "schemes; "
        "devices are recorded. An instrument counts once, for the maker and date of the layer to which most of its "
        "shared calls belong (where nothing is shared, most of its keys); uncertain dates are spread evenly "
        "over their "
        "years, circa by five years either way. Shares have Wilson 95 % intervals (z = 1.959964, without "
        "continuity "
        "correction), which treat what is counted as independent; shares of stops, pipes and segments, ratios "
        "and means "
        f"also percentile bootstrap intervals over instruments ({RESAMPLES} resamples, seed {SEED}). Figures on fewer "
        f"than {SMALL} are marked. The inventory is no sample drawn by lot: intervals say how little so few instruments "
        "can tell, and nothing of instruments that are not in it.\n\n"
        f"Cite as: {release.title}, version {release.version}{', ' + release.day if release.day else ''}. "
        f"{release.licence}.\n"
    )


def _resource(name: str, columns: tuple[Column, ...], content: bytes) -> dict[str, Any]:
    return {
        "name": name, "type": "table", "path": f"{name}.csv", "format": "csv", "mediatype": "text/csv",
        "encoding": "utf-8", "bytes": len(content), "hash": f"sha256:{hashlib.sha256(content).hexdigest()}",
        "schema": {
            "fields": [
                {
                    "name": c.name, "type": KINDS[c.kind],
                    "description": c.meaning + (f" Unit: {c.unit}." if c.unit else ""),
                }
                for c in columns
            ],
            "missingValues": [""],
        },
    }  # fmt: skip


def _descriptor(release: Release, subset: Subset, resources: list[dict[str, Any]]) -> dict[str, Any]:
    licence = licence_of(release.licence)
    named = {"name": licence.spdx or "other", "title": licence.words}
    return {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "shared-pipes-study",
        "title": f"{release.title}: {subset.words}",
        "version": release.version,
        "licenses": [named | ({"path": licence.address} if licence.address else {})],
        "contributors": [{"title": release.publisher, "roles": ["publisher"]}],
        "resources": resources,
    }


def view_of(words: str) -> View:
    """A view as it is typed: `as-found`, `as-built`, or a year.

    >>> view_of("1900").slug
    'at-1900'
    """
    if words in ("as-found", "as-built"):
        return View(words.replace("-", " "))
    if not (words.isdigit() and 1000 <= int(words) <= 2999):
        raise ValueError(
            _("view “%(view)s” is not known; give as-found, as-built or a year from 1000 to 2999")
            % {"view": words}
        )
    return View("at year", int(words))
