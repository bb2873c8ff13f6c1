"""The naive way for comparison: every key of every row as a row of its own, counted by pandas."""

from __future__ import annotations

import numpy as np
import pandas as pd

from inventory.organ.columns import NOT_COUNTED, Columns


def count_expanded(columns: Columns, instruments: int) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Calls, pipes called and shared of each instrument; own, shared and silent keys of each stop."""
    owner = columns.stop_instrument[columns.stop]
    rows = np.flatnonzero(owner < instruments)
    lengths = np.maximum(columns.last_key[rows] - columns.first_key[rows] + 1, 0).astype(np.int64)
    at = np.repeat(rows, lengths)
    offset = np.arange(at.size) - np.repeat(np.cumsum(lengths) - lengths, lengths)
    keys = pd.DataFrame(
        {
            "instrument": owner[at], "stop": columns.stop[at], "rank": columns.rank[at],
            "key": columns.first_key[at] + offset, "keys": columns.stop_keys[columns.stop[at]],
            "pipes": columns.rank_pipes[columns.rank[at]],
        }
    )  # fmt: skip
    keys["pipe"] = keys["key"] + columns.shift[at]
    exists = (keys["pipe"] >= 1) & ((keys["pipe"] <= keys["pipes"]) | (keys["pipes"] == NOT_COUNTED))
    keys = keys[exists & (keys["key"] >= 1) & (keys["key"] <= keys["keys"])]
    keys = keys.drop_duplicates(["stop", "key", "rank", "pipe"])
    callers = keys.groupby(["instrument", "rank", "pipe"])["stop"].nunique().rename("callers")
    by_pipe = callers.reset_index()
    every = pd.RangeIndex(instruments)
    sums = pd.DataFrame(
        {
            "calls": keys.groupby("instrument").size().reindex(every, fill_value=0),
            "pipes_called": by_pipe.groupby("instrument").size().reindex(every, fill_value=0),
            "pipes_shared": by_pipe[by_pipe["callers"] > 1].groupby("instrument").size().reindex(every, fill_value=0),
        }
    )  # fmt: skip
    joined = keys.merge(by_pipe, on=["instrument", "rank", "pipe"])
    stops = np.flatnonzero(columns.stop_instrument < instruments)
    first, last = columns.stop_first[stops], columns.stop_last[stops]
    place = joined["stop"].to_numpy()
    inside = (joined["key"] >= first[place]) & (joined["key"] <= last[place])
    by_key = joined[inside].assign(shared=joined["callers"] > 1).groupby(["stop", "key"])["shared"].any()
    spoken = by_key.groupby("stop").agg(["sum", "size"]).reindex(pd.RangeIndex(stops.size), fill_value=0)
    found = pd.DataFrame({"shared": spoken["sum"].astype("int64"), "own": spoken["size"] - spoken["sum"]})
    found["silent"] = np.maximum(last - first + 1, 0) - spoken["size"].to_numpy()
    return sums.reset_index(drop=True), found.astype("int64").reset_index(drop=True)
