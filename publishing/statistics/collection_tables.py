"""The tables of a very large collection straight from columns of segments, without a scheme for each instrument.

What needs a scheme read key by key (patterns, signatures, treble, repertoire) is not made
here: those tables are empty, and only `FROM_COLUMNS` of the measures may be asked.
"""

from __future__ import annotations

import numpy as np
import pandas as pd

from inventory.organ.collection import sum_collection
from inventory.organ.columns import Columns

from .choosing import RECORDED, View
from .dictionary import TABLES, types_of
from .frames import Frames

FROM_COLUMNS = ("stops", "economy", "ranks")
"""Measures that rest on nothing but these tables."""


def frames_of_columns(columns: Columns, about: pd.DataFrame) -> Frames:
    """Long table, stops and instruments of a collection, by the sums of `organ.collection`.

    `about` has a row for each instrument in the order of the columns: reference, and any of
    the columns of `instruments` that are not computed (maker, maker_name, first_year, …).

    >>> from inventory.organ.synthetic_columns import make_columns
    >>> about = pd.DataFrame({"reference": ["A", "B"]})
    >>> frames = frames_of_columns(make_columns(2, seed=1), about)
    >>> frames.instruments["calls"].gt(0).tolist(), len(frames.stops) == int(frames.instruments["stops"].sum())
    ([True, True], True)
    """
    if len(about) != columns.instruments:
        raise ValueError(
            f"{len(about)} rows about {columns.instruments} instruments; give one each, in order"
        )
    sums = sum_collection(columns)
    references = about["reference"].astype("category")
    of_stop = references.take(columns.stop_instrument).to_numpy()
    of_row = columns.stop_instrument[columns.stop]
    spoken = sums.stop_shared > 0
    kinds = np.where(~spoken, "independent", np.where(sums.stop_own > 0, "part", "whole"))
    stop_codes = pd.Series(np.arange(columns.stop_instrument.size)).astype("str")
    rank_codes = pd.Series(np.arange(columns.rank_instrument.size)).astype("str")
    pairs = np.unique(columns.stop.astype(np.int64) * (columns.rank_instrument.size + 1) + columns.rank)
    ranks_of_stop = np.bincount(
        pairs // (columns.rank_instrument.size + 1), minlength=columns.stop_instrument.size
    )
    stops = pd.DataFrame(
        {
            "reference": of_stop, "stop": stop_codes, "keys": sums.stop_keys, "own": sums.stop_own,
            "shared": sums.stop_shared, "silent": sums.stop_silent, "sharing": pd.Categorical(kinds),
            "ranks": ranks_of_stop,
        }
    )  # fmt: skip
    instruments = about.assign(
        specification="recorded", chosen=RECORDED, sharing=sums.pipes_shared > 0, calls=sums.calls,
        pipes_called=sums.pipes_called, pipes_shared=sums.pipes_shared, depth=sums.depth,
        stops=np.bincount(columns.stop_instrument, minlength=columns.instruments),
        ranks=np.bincount(columns.rank_instrument, minlength=columns.instruments),
    )  # fmt: skip
    segments = pd.DataFrame(
        {
            "reference": references.take(of_row).to_numpy(),
            "stop": stop_codes.take(columns.stop).to_numpy(), "rank": rank_codes.take(columns.rank).to_numpy(),
            "first_key": columns.first_key, "last_key": columns.last_key,
            "calls": _live_calls(columns),
        }
    )  # fmt: skip
    made = {"segments": segments, "stops": stops, "instruments": instruments}
    return Frames(
        View(), **{name: _complete(name, made.get(name)) for name in TABLES if name != "maker_periods"}
    )


def _live_calls(columns: Columns) -> np.ndarray:
    """Calls of each row that a pipe answers, on keys of the keyboard."""
    pipes = columns.rank_pipes[columns.rank].astype(np.int64)
    ends = np.where(pipes < 0, np.iinfo(np.int32).max, pipes)
    shift = columns.shift.astype(np.int64)
    first = np.maximum(np.maximum(columns.first_key, 1), 1 - shift)
    last = np.minimum(np.minimum(columns.last_key, columns.stop_keys[columns.stop]), ends - shift)
    return np.maximum(last - first + 1, 0)


def _complete(name: str, table: pd.DataFrame | None) -> pd.DataFrame:
    """The table with every column of the dictionary: what is not given is empty, false or 0."""
    if table is None:
        return pd.DataFrame({column: [] for column in types_of(name)}).astype(types_of(name))
    blank = {"str": "", "int64": 0, "Int64": pd.NA, "float64": np.nan, "bool": False}
    size = len(table)
    columns = {}
    for column, kind in types_of(name).items():
        if column in table:
            given = table[column]
            columns[column] = given if isinstance(given.dtype, pd.CategoricalDtype) else given.astype(kind)
        elif kind == "str":
            columns[column] = pd.Series(pd.Categorical.from_codes(np.zeros(size, np.int8), [""]))
        else:
            columns[column] = pd.Series([blank[kind]]).astype(kind).repeat(size).reset_index(drop=True)
    return pd.DataFrame(columns)
