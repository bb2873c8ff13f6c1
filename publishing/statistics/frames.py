"""Tables over the whole collection, made from what disclosure gives and from nothing else.

One long table (a row a segment), and what is derived from the same scheme in the same pass:
stops, instruments, patterns, signatures, pipes by callers; and from these, maker-periods.
Every column is described in `dictionary`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from functools import cached_property
from itertools import islice
from typing import Any

import pandas as pd

from publishing.disclosure.values import PublicInstrument

from .choosing import View, choose_specification
from .dictionary import types_of
from .layers import decade_weights
from .rows import NAMES, InstrumentRows, rows_of, rows_of_chosen


@dataclass(frozen=True)
class Frames:
    """The tables every figure is made from, in one view."""

    view: View
    segments: pd.DataFrame
    stops: pd.DataFrame
    instruments: pd.DataFrame
    """Every published instrument, also those without a specification in this view."""
    patterns: pd.DataFrame
    signatures: pd.DataFrame
    pipes: pd.DataFrame

    def once(self, name: str, make: Callable[[], Any]) -> Any:
        """What was made of these tables under a name; made when first asked for, and only read afterwards."""
        made: dict[str, Any] = self.__dict__.setdefault("_made", {})
        if name not in made:
            made[name] = make()
        return made[name]

    @cached_property
    def counted(self) -> pd.DataFrame:
        """Instruments of which a specification counts in this view: every denominator is among them."""
        return self.instruments[self.instruments["specification"] != ""]

    @cached_property
    def maker_periods(self) -> pd.DataFrame:
        """One row a maker and decade."""
        return maker_periods(self)


class FrameBuilder:
    """Gathers rows while instruments pass by; adding one again replaces its rows and no others."""

    def __init__(self, view: View | None = None) -> None:
        self.view = view or View()
        self.rows: dict[str, InstrumentRows] = {}

    def add(self, organ: PublicInstrument) -> None:
        """Take the rows of one instrument, in place of those it had."""
        self.rows[organ.reference] = rows_of(organ, self.view)

    def remove(self, reference: str) -> None:
        """Forget an instrument that is no longer published."""
        self.rows.pop(reference, None)

    def finish(self) -> Frames:
        """The tables, typed, in order of reference; also where there is no row."""
        return frames_of_rows(self.view, sorted(self.rows.items(), key=lambda pair: pair[0]))


class ViewsBuilder:
    """Several views at once: each specification of an instrument is worked out once, whatever views it counts in."""

    def __init__(self, views: Iterable[View]) -> None:
        self.builders = {view: FrameBuilder(view) for view in views}

    def add(self, organ: PublicInstrument) -> None:
        """Take one instrument into every view, in place of what it had there."""
        made: dict[tuple[str, str], InstrumentRows] = {}
        for view, builder in self.builders.items():
            chosen = choose_specification(organ, view)
            key = (chosen.specification.code, chosen.how) if chosen else ("", "")
            if key not in made:
                made[key] = rows_of_chosen(organ, chosen)
            builder.rows[organ.reference] = made[key]

    def finish(self) -> dict[View, Frames]:
        """The tables of every view."""
        return {view: builder.finish() for view, builder in self.builders.items()}


def frame_of(table: str, rows: list[tuple[Any, ...]]) -> pd.DataFrame:
    """Rows as a typed table, its columns as the dictionary has them.

    >>> len(frame_of("pipes", [("ORG-1", 2, 49)]))
    1
    """
    types = types_of(table)
    return pd.DataFrame(rows, columns=list(types)).astype(types)


def frames_of_rows(view: View, rows: Iterable[tuple[str, InstrumentRows]], chunk: int = 2_000) -> Frames:
    """All tables from rows that come by reference, in chunks: the rows of a large collection are never all in hand.

    >>> from publishing.statistics.examples import example_instrument
    >>> rows = [("ORG-1", rows_of(example_instrument(), View()))]
    >>> frames_of_rows(View(), rows).instruments["pipes_shared"].tolist()
    [49]
    """
    parts: dict[str, list[pd.DataFrame]] = {name: [] for name in NAMES}
    stream = iter(rows)
    while True:
        ahead = [one for _reference, one in islice(stream, chunk)]
        if not ahead and all(parts.values()):
            break
        for name in NAMES:
            parts[name].append(frame_of(name, [row for one in ahead for row in one.tables[name]]))
        if len(ahead) < chunk:
            break
    tables: dict[str, pd.DataFrame] = {}
    for name in NAMES:  # one table after another, each letting its parts go: never two copies of all
        made = parts.pop(name)
        tables[name] = made[0] if len(made) == 1 else pd.concat(made, ignore_index=True)
    return Frames(view, **tables)


def frames_of(instruments: Iterable[PublicInstrument], view: View | None = None) -> Frames:
    """All tables of these instruments in one view.

    >>> from publishing.statistics.examples import example_instrument
    >>> frames_of([example_instrument()]).instruments["pipes_shared"].tolist()
    [49]
    """
    builder = FrameBuilder(view)
    for organ in instruments:
        builder.add(organ)
    return builder.finish()


def decades_of(instruments: pd.DataFrame) -> pd.DataFrame:
    """Reference, decade, weight: each dated instrument spread over its years; undated ones are not in it.

    >>> from publishing.statistics.examples import example_instrument
    >>> decades_of(frames_of([example_instrument()]).instruments)["decade"].tolist()
    [1840, 1850]
    """
    dated = instruments[instruments["first_year"].notna()]
    parts = dated.groupby(["first_year", "last_year"], sort=True)["reference"].agg(list)
    rows = [
        (reference, decade, weight)
        for (first, last), references in parts.items()
        for decade, weight in decade_weights(int(first), int(last)).items()
        for reference in references
    ]
    return pd.DataFrame(rows, columns=["reference", "decade", "weight"]).astype(
        {"reference": "str", "decade": "int64", "weight": "float64"}
    ).sort_values(["reference", "decade"], ignore_index=True)  # fmt: skip


def maker_periods(frames: Frames) -> pd.DataFrame:
    """Each maker's instruments by decade, uncertain dates spread over their years.

    >>> from publishing.statistics.examples import example_instrument
    >>> maker_periods(frames_of([example_instrument()]))["sharing_expected"].round(3).tolist()
    [0.333, 0.667]
    """
    table = frames.counted[frames.counted["maker"] != ""]
    unified = frames.stops[frames.stops["unification"] == "unified"].groupby("reference").size()
    table = table.assign(one=1, unified_stops=table["reference"].map(unified).astype("float64").fillna(0))
    spread = table.merge(decades_of(table), on="reference")
    sums = {
        "instruments_expected": "one", "sharing_expected": "sharing", "stops_expected": "stops",
        "stops_unified_expected": "unified_stops", "calls_expected": "calls",
        "pipes_called_expected": "pipes_called",
    }  # fmt: skip
    weighted = spread.assign(**{name: spread[column] * spread["weight"] for name, column in sums.items()})
    grouped = weighted.groupby(["maker", "maker_name", "decade"], sort=True)
    made = grouped[list(sums)].sum()
    made.insert(0, "instruments_possible", grouped.size())
    return made.reset_index().astype(types_of("maker_periods"))
