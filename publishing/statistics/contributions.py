"""What each instrument contributes to each measure: one long table, from which every figure is a sum.

Each function gives rows of reference, key (which figure of the measure), count and of.
"""

from __future__ import annotations

import pandas as pd

from .frames import Frames

COLUMNS = ["reference", "key", "count", "of"]
DEEPEST = 5
"""Pipes called by so many stops or more are one class."""


def _rows(table: pd.DataFrame) -> pd.DataFrame:
    typed = {"reference": "str", "key": "str", "count": "float64", "of": "float64"}
    return table.reset_index()[COLUMNS].astype(typed)


def _of_kinds(having: pd.DataFrame, kinds: list[str], of: pd.Series) -> pd.DataFrame:
    """For every instrument of `of` and every kind: how many it has of that kind, of how many."""
    counts = having.groupby(["reference", "key"]).size()
    every = pd.MultiIndex.from_product([sorted(of.index), kinds], names=["reference", "key"])
    counts = counts.reindex(every, fill_value=0)
    return _rows(pd.DataFrame({"count": counts, "of": of.reindex(every.get_level_values(0)).to_numpy()}))


def _sharing(frames: Frames) -> pd.DataFrame:
    return frames.counted[frames.counted["sharing"]]


def _ones(table: pd.DataFrame) -> pd.Series:
    return pd.Series(1, index=table["reference"].to_numpy(), dtype="int64")


def instruments_sharing(frames: Frames) -> pd.DataFrame:
    """Of instruments with a specification: sharing ones, and unified ones.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> instruments_sharing(frames_of([example_instrument()]))["count"].tolist()
    [1.0, 1.0]
    """
    table = frames.counted
    parts = [table.assign(key=key, count=table[key], of=1) for key in ("sharing", "unified")]
    return _rows(pd.concat(parts))


def stops_by_sharing(frames: Frames) -> pd.DataFrame:
    """Of all stops: independent, part-shared, wholly shared.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> stops_by_sharing(frames_of([example_instrument()]))["count"].tolist()
    [0.0, 2.0, 0.0]
    """
    having = frames.stops[["reference", "sharing"]].rename(columns={"sharing": "key"})
    return _of_kinds(having, ["independent", "part", "whole"], frames.stops.groupby("reference").size())


def stops_by_unification(frames: Frames) -> pd.DataFrame:
    """Of all stops: unified, common bass (borrower or host of nothing else), other sharing.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> stops_by_unification(frames_of([example_instrument()]))["count"].tolist()
    [2.0, 0.0, 0.0]
    """
    having = frames.stops[["reference", "unification"]].rename(columns={"unification": "key"})
    kinds = ["unified", "common bass", "other sharing"]
    return _of_kinds(having[having["key"].isin(kinds)], kinds, frames.stops.groupby("reference").size())


def calls_per_pipe(frames: Frames) -> pd.DataFrame:
    """Calls for each pipe called, and economy (1 − pipes called ÷ calls), over sharing instruments.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> calls_per_pipe(frames_of([example_instrument()]))[["count", "of"]].values.tolist()
    [[122.0, 73.0], [49.0, 122.0]]
    """
    table = _sharing(frames)
    saved = table["calls"] - table["pipes_called"]
    parts = [
        table.assign(key="calls-per-pipe", count=table["calls"], of=table["pipes_called"]),
        table.assign(key="economy", count=saved, of=table["calls"]),
    ]
    return _rows(pd.concat(parts))


def pipes_by_callers(frames: Frames) -> pd.DataFrame:
    """Of pipes called: those called by 1, 2, 3, 4, and 5 stops or more.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> pipes_by_callers(frames_of([example_instrument()]))["count"].tolist()
    [24.0, 49.0, 0.0, 0.0, 0.0]
    """
    table = frames.pipes.assign(key=frames.pipes["callers"].clip(upper=DEEPEST).astype("str"))
    counts = table.groupby(["reference", "key"])["pipes"].sum()
    of = table.groupby("reference")["pipes"].sum()
    every = pd.MultiIndex.from_product(
        [sorted(of.index), [str(n) for n in range(1, DEEPEST + 1)]], names=["reference", "key"]
    )
    return _rows(
        pd.DataFrame(
            {"count": counts.reindex(every, fill_value=0), "of": of.reindex(every.get_level_values(0)).to_numpy()}
        )
    )  # fmt: skip


def instruments_by_pattern(frames: Frames) -> pd.DataFrame:
    """Of sharing instruments: those that show each pattern.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> instruments_by_pattern(frames_of([example_instrument()]))["key"].tolist()
    ['octave extension']
    """
    table = _sharing(frames)
    having = frames.patterns[frames.patterns["reference"].isin(table["reference"])]
    having = having.rename(columns={"pattern": "key"}).drop_duplicates(["reference", "key"])
    return _of_kinds(having, sorted(having["key"].unique()), _ones(table))


def instruments_by_interval(frames: Frames) -> pd.DataFrame:
    """Of sharing instruments: those whose stops meet at each interval (semitones, without sign).

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> instruments_by_interval(frames_of([example_instrument()]))["key"].tolist()
    ['12']
    """
    table = _sharing(frames)
    pairs = frames.patterns[frames.patterns["interval_semitones"].notna()]
    pairs = pairs.assign(key=pairs["interval_semitones"].abs().astype("int64").astype("str"))
    having = pairs.drop_duplicates(["reference", "key"])
    return _of_kinds(having, sorted(having["key"].unique(), key=int), _ones(table))


def instruments_by_device(frames: Frames) -> pd.DataFrame:
    """Of sharing instruments: those in which each device was recorded for a shared rank; empty: not known.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> instruments_by_device(frames_of([example_instrument()]))["key"].tolist()
    ['flap-valves']
    """
    table = _sharing(frames)
    segments = frames.segments  # the largest table: only the columns that are needed are copied
    shared = segments.loc[segments["shared_rank"], ["reference", "device"]].rename(columns={"device": "key"})
    having = shared.drop_duplicates(["reference", "key"])
    return _of_kinds(having, sorted(having["key"].unique()), _ones(table))


def segments_by_evidence(frames: Frames) -> pd.DataFrame:
    """Of segments with shared calls: those that rest on each kind of evidence.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> segments_by_evidence(frames_of([example_instrument()]))["count"].tolist()
    [2.0, 0.0, 0.0, 0.0]
    """
    segments = frames.segments
    shared = segments.loc[segments["calls_shared"] > 0, ["reference", "evidence"]]
    shared = shared.rename(columns={"evidence": "key"})
    kinds = ["seen", "sounded", "source", "inferred"] + ([""] if (shared["key"] == "").any() else [])
    return _of_kinds(shared, kinds, shared.groupby("reference").size())


def stops_per_rank(frames: Frames) -> pd.DataFrame:
    """How many stops call a rank that is called, over sharing instruments.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> stops_per_rank(frames_of([example_instrument()]))[["count", "of"]].values.tolist()
    [[2.0, 1.0]]
    """
    segments = frames.segments
    wanted = (segments["calls"] > 0) & segments["reference"].isin(_sharing(frames)["reference"])
    live = segments.loc[wanted, ["reference", "rank", "stop"]]
    pairs = live.drop_duplicates(["reference", "rank", "stop"]).groupby("reference").size()
    ranks = live.drop_duplicates(["reference", "rank"]).groupby("reference").size()
    return _rows(
        pd.DataFrame({"count": pairs, "of": ranks}).rename_axis("reference").assign(key="stops-per-rank")
    )


def families_per_instrument(frames: Frames) -> pd.DataFrame:
    """Families of stops joined by shared pipes, for each sharing instrument.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> families_per_instrument(frames_of([example_instrument()]))["count"].tolist()
    [1.0]
    """
    table = _sharing(frames)
    return _rows(table.assign(key="families", count=table["families"], of=1))


def sound_families_shared(frames: Frames) -> pd.DataFrame:
    """Of the stops of each family of sound: those that share pipes, over all instruments.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> sound_families_shared(frames_of([example_instrument()]))[["key", "count", "of"]].values.tolist()
    [['flute', 2.0, 2.0]]
    """
    known = frames.stops.loc[frames.stops["family"] != "", ["reference", "family", "sharing"]]
    grouped = known.assign(shares=known["sharing"] != "independent").groupby(["reference", "family"])[
        "shares"
    ]
    table = pd.DataFrame({"count": grouped.sum(), "of": grouped.size()})
    return _rows(table.reset_index().rename(columns={"family": "key"}))


def treble_completion(frames: Frames) -> pd.DataFrame:
    """Of the higher stops of extensions and derived mutations: how their treble is completed.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> treble_completion(frames_of([example_instrument()]))["count"].tolist()
    [1.0, 0.0, 0.0, 0.0]
    """
    having = frames.stops[frames.stops["treble"] != ""].rename(columns={"treble": "key"})
    kinds = ["added", "own foldback", "same foldback", "silent"]
    return _of_kinds(having, kinds, having.groupby("reference").size())


def common_basses(frames: Frames) -> pd.DataFrame:
    """Of sharing instruments those with a common bass; and keys for each common bass.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> common_basses(frames_of([example_instrument()]))["count"].tolist()
    [0.0]
    """
    table = _sharing(frames)
    basses = frames.patterns[frames.patterns["pattern"] == "common bass"].assign(key="common bass")
    having = _of_kinds(basses.drop_duplicates("reference"), ["common-bass"], _ones(table))
    having["count"] = having["reference"].isin(basses["reference"]).astype("float64")
    grouped = basses.groupby("reference")["keys"]
    length = pd.DataFrame({"count": grouped.sum(), "of": grouped.size()}).rename_axis("reference")
    return pd.concat([having, _rows(length.assign(key="common-bass-keys"))], ignore_index=True)


def pedal_stops_shared(frames: Frames) -> pd.DataFrame:
    """Of pedal stops: those that share pipes.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> len(pedal_stops_shared(frames_of([example_instrument()])))
    0
    """
    pedal = frames.stops[frames.stops["keyboard_kind"] == "pedal"]
    grouped = pedal.assign(shares=pedal["sharing"] != "independent").groupby("reference")["shares"]
    return _rows(pd.DataFrame({"count": grouped.sum(), "of": grouped.size()}).assign(key="pedal-stops"))


def mistuning(frames: Frames) -> pd.DataFrame:
    """Cents from pure for each derived mutation whose instrument's temperament is recorded.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> len(mistuning(frames_of([example_instrument()])))
    0
    """
    known = frames.stops[frames.stops["mistuning_cents"].notna()].groupby("reference")["mistuning_cents"]
    return _rows(pd.DataFrame({"count": known.sum(), "of": known.size()}).assign(key="mistuning"))


def coincidence_rate(frames: Frames) -> pd.DataFrame:
    """Calls that coincide over the repertoire with all stops of each family drawn, keyboard by keyboard.

    >>> from .examples import example_instrument
    >>> from .frames import frames_of
    >>> 0 < float(coincidence_rate(frames_of([example_instrument()]))["count"].sum())
    True
    """
    table = frames.counted[frames.counted["repertoire_calls"] > 0]
    rounded = table[["repertoire_coincide", "repertoire_calls"]].round(6)
    return _rows(
        table.assign(
            key="coincidence", count=rounded["repertoire_coincide"], of=rounded["repertoire_calls"]
        )
    )  # fmt: skip


def empty_contributions() -> pd.DataFrame:
    """A table without rows.

    >>> empty_contributions().columns.tolist()
    ['reference', 'key', 'count', 'of']
    """
    return _rows(pd.DataFrame({name: [] for name in COLUMNS}))
