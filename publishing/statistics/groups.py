"""Groups of instruments: by maker, decade, place, action, chest, device, pattern, recording level."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import pandas as pd

from .figures import SHARE, Figure, Record, make_figure
from .frames import Frames, decades_of

DIMENSIONS = ("maker", "decade", "place", "action", "chest", "device", "pattern", "level")


@dataclass(frozen=True)
class Group:
    """Some instruments, each with the part of it that belongs here (1 but for uncertain dates)."""

    dimension: str
    key: str
    name: str
    weights: Mapping[str, float]


def groups_of(frames: Frames, dimension: str) -> list[Group]:
    """The groups of a dimension, in order of their keys; instruments of which it is not known are in none.

    In device and pattern an instrument stands in every group it belongs to, so groups overlap.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> [(g.key, g.weights) for g in groups_of(frames_of([example_instrument()]), "action")]
    [('tracker action', {'ORG-1': 1.0})]
    """
    table = _MEMBERS[dimension](frames)
    found: list[Group] = []
    for (key, name), rows in table.groupby(["key", "name"], sort=True):
        weights = dict(zip(rows["reference"], rows["weight"].astype("float64"), strict=True))
        found.append(Group(dimension, str(key), str(name), weights))
    if dimension in ("decade", "level"):
        found.sort(key=lambda group: int(group.key))
    return found


def left_out(frames: Frames, dimension: str) -> list[str]:
    """Instruments with a specification that stand in no group of a dimension, because it is not known of them.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> left_out(frames_of([example_instrument()]), "place")
    ['ORG-1']
    """
    known = set(_MEMBERS[dimension](frames)["reference"])
    return sorted(set(frames.counted["reference"]) - known)


def sharing_by_group(frames: Frames, dimension: str) -> list[Figure]:
    """For each group: sharing instruments of all; the parts of instruments, where dates are uncertain.

    >>> from publishing.statistics.examples import example_instrument
    >>> from publishing.statistics.frames import frames_of
    >>> [round(f.count, 2) for f in sharing_by_group(frames_of([example_instrument()]), "decade")]
    [0.33, 0.67]
    """
    table = frames.counted.set_index("reference")
    figures = []
    for group in groups_of(frames, dimension):
        records = [
            Record(r, weight * bool(table.at[r, "sharing"]), weight, str(table.at[r, "evidence"]))
            for r, weight in sorted(group.weights.items())
        ]
        figures.append(make_figure(group.key, group.name, SHARE, records))
    return figures


def _named(table: pd.DataFrame, key: str, name: str | None = None) -> pd.DataFrame:
    keys = table[key].astype("str")
    names = keys if name is None else table[name]
    made = pd.DataFrame({"reference": table["reference"], "key": keys, "name": names, "weight": 1.0})
    return made[made["key"] != ""].drop_duplicates(["reference", "key"])


def _makers(frames: Frames) -> pd.DataFrame:
    return _named(frames.counted, "maker", "maker_name")


def _decades(frames: Frames) -> pd.DataFrame:
    table = decades_of(frames.counted)
    keys = table["decade"].astype("str")
    return table.assign(key=keys, name=keys)[["reference", "key", "name", "weight"]]


def _places(frames: Frames) -> pd.DataFrame:
    return _named(frames.counted, "place", "place_name")


def _actions(frames: Frames) -> pd.DataFrame:
    return _named(frames.counted, "action")


def _levels(frames: Frames) -> pd.DataFrame:
    known = frames.counted[frames.counted["recording_level"].notna()]
    return _named(known, "recording_level")


def _chests(frames: Frames) -> pd.DataFrame:
    return _named(frames.segments, "chest_kind")


def _devices(frames: Frames) -> pd.DataFrame:
    return _named(frames.segments.loc[frames.segments["shared_rank"], ["reference", "device"]], "device")


def _patterns(frames: Frames) -> pd.DataFrame:
    return _named(frames.patterns, "pattern")


_MEMBERS: Mapping[str, Callable[[Frames], pd.DataFrame]] = {
    "maker": _makers, "decade": _decades, "place": _places, "action": _actions, "chest": _chests,
    "device": _devices, "pattern": _patterns, "level": _levels,
}  # fmt: skip
