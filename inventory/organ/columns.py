"""A whole collection as columns: one row for each run of keys that ask pipes at one shift.

Columns come from schemes (`columns_of`) or straight from stored rows (`arrange`); the sums
over them are in `organ/collection.py`.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import groupby
from typing import TypeVar

import numpy as np
from numpy.typing import ArrayLike, NDArray

from inventory.organ.calls import called_pipes
from inventory.organ.errors import SchemeError
from inventory.organ.schemes import Scheme, Segment, asked_pipes
from inventory.organ.sentences import say

Index = NDArray[np.int32]
Short = NDArray[np.int16]
Number = TypeVar("Number", np.int16, np.int32)

NOT_COUNTED = -1
"""Stands for the pipes of a rank that nobody counted: it has no upper end."""
_MOST_KEY = 1_024
_MOST_SHIFT = 8_192


@dataclass(frozen=True)
class Columns:
    """Segments of many instruments. Stops and ranks are numbered from 0 through the collection.

    Rows stand in order of rank, stop, tone, shift, first key, and no two of one stop and rank
    make the same call twice: `arrange` sees to both.
    """

    instruments: int
    stop_instrument: Index
    """Instrument (from 0) of each stop, never falling."""
    stop_first: Short
    """First key of each stop's own compass; with `stop_last` below it the compass is empty."""
    stop_last: Short
    stop_keys: Short
    """Keys of the stop's keyboard: what is asked beyond them is no call."""
    rank_instrument: Index
    """Instrument (from 0) of each rank, never falling."""
    rank_pipes: Short
    """Pipes of each rank; -1 (NOT_COUNTED) has no upper end."""
    stop: Index
    """Stop of each row."""
    rank: Index
    """Rank of each row."""
    first_key: Short
    last_key: Short
    shift: Short
    """pipe = key + shift."""
    tone: Short | None = None
    """Note asked of a polyphone pipe, 0 for other pipes; None where no pipe is polyphone."""

    @property
    def rows(self) -> int:
        """Number of rows."""
        return int(self.stop.size)


def arrange(
    instruments: int,
    stop_instrument: ArrayLike,
    stop_first: ArrayLike,
    stop_last: ArrayLike,
    stop_keys: ArrayLike,
    rank_instrument: ArrayLike,
    rank_pipes: ArrayLike,
    stop: ArrayLike,
    rank: ArrayLike,
    first_key: ArrayLike,
    last_key: ArrayLike,
    shift: ArrayLike,
    tone: ArrayLike | None = None,
) -> Columns:
    """Make columns from rows in any order: check them, sort them, join runs that overlap or touch.

    Stops and ranks must stand in order of instrument. Rows whose last key is below their
    first are dropped. Raises SchemeError naming the column and the allowed range.

    >>> columns = arrange(1, [0], [1], [61], [61], [0], [61], [0, 0], [0, 0], [10, 1], [61, 20], [0, 0])
    >>> columns.first_key.tolist(), columns.last_key.tolist()
    ([1], [61])
    """
    of_stop = _column("stop_instrument", stop_instrument, 0, instruments - 1, np.int32)
    of_rank = _column("rank_instrument", rank_instrument, 0, instruments - 1, np.int32)
    rank = _column("rank", rank, 0, of_rank.size - 1, np.int32)
    stop = _column("stop", stop, 0, of_stop.size - 1, np.int32, rank.size)
    for name, owner in (("stop_instrument", of_stop), ("rank_instrument", of_rank)):
        if np.any(owner[1:] < owner[:-1]):
            raise SchemeError(
                say("column %(name)s falls; give stops and ranks in order of instrument", name=name)
            )
    strangers = np.flatnonzero(of_stop[stop] != of_rank[rank])
    if strangers.size:
        raise SchemeError(
            say(
                "row %(strangers)s joins a stop and a rank of two instruments; a row needs one",
                strangers=strangers[0],
            )
        )
    return Columns(
        instruments,
        of_stop,
        _column("stop_first", stop_first, -_MOST_KEY, _MOST_KEY, np.int16, of_stop.size),
        _column("stop_last", stop_last, -_MOST_KEY, _MOST_KEY, np.int16, of_stop.size),
        _column("stop_keys", stop_keys, 0, _MOST_KEY, np.int16, of_stop.size),
        of_rank,
        _column("rank_pipes", rank_pipes, NOT_COUNTED, _MOST_SHIFT, np.int16, of_rank.size),
        *_joined(
            stop,
            rank,
            _column("first_key", first_key, -_MOST_KEY, _MOST_KEY, np.int16, rank.size),
            _column("last_key", last_key, -_MOST_KEY, _MOST_KEY, np.int16, rank.size),
            _column("shift", shift, -_MOST_SHIFT, _MOST_SHIFT, np.int16, rank.size),
            None if tone is None else _column("tone", tone, 0, 127, np.int16, rank.size),
        ),
    )


def columns_of(schemes: Iterable[Scheme]) -> Columns:
    """Columns of some schemes, in the order given: instrument n is scheme n.

    Lists of pipes and keyboards with gaps are split into runs of constant shift. Stops only
    prepared ask nothing. Channels beyond the last key are left out.

    >>> from inventory.organ.schemes import Keyboard, Rank, Stop
    >>> scheme = Scheme((Keyboard("I", (36, 38, 39)),), (Rank("r", 4, (36, 37, 38, 39)),),
    ...                 (Stop("s", "I", "Flute", "8"),), (Segment("s", (1, 3), "r", interval=0),))
    >>> columns = columns_of([scheme])
    >>> columns.first_key.tolist(), columns.last_key.tolist(), columns.shift.tolist()
    ([1, 2], [1, 3], [0, 1])
    """
    stops: list[tuple[int, int, int, int]] = []
    ranks: list[tuple[int, int]] = []
    rows: list[tuple[int, int, int, int, int, int]] = []
    instrument = -1
    for instrument, scheme in enumerate(schemes):
        stop_number = {s.id: number for number, s in enumerate(scheme.stops, start=len(stops))}
        rank_number = {r.id: number for number, r in enumerate(scheme.ranks, start=len(ranks))}
        stops += [
            (instrument, *scheme.compass_of(s.id), scheme.keyboard[s.keyboard].keys) for s in scheme.stops
        ]
        ranks += [(instrument, NOT_COUNTED if r.pipes is None else r.pipes) for r in scheme.ranks]
        polyphone = {rank.id for rank in scheme.ranks if any(len(tones) > 1 for tones in rank.tones.values())}
        for segment in scheme.segments:
            if scheme.stop[segment.stop].state != "prepared" and segment.rank not in polyphone:
                place = stop_number[segment.stop], rank_number[segment.rank]
                rows += [(*place, first, last, shift, 0) for first, last, shift in _runs(scheme, segment)]
        if polyphone:  # rare, and told apart by the note each key asks: key by key
            for (rank, pipe), asks in called_pipes(scheme).answered.items():
                rows += [
                    (stop_number[a.stop], rank_number[rank], a.key, a.key, pipe - a.key, a.tone or 0)
                    for a in asks
                    if rank in polyphone
                ]
    of_stop = np.array(stops, np.int64).reshape(-1, 4).T
    of_rank = np.array(ranks, np.int64).reshape(-1, 2).T
    return arrange(instrument + 1, *of_stop, *of_rank, *np.array(rows, np.int64).reshape(-1, 6).T)


def _runs(scheme: Scheme, segment: Segment) -> Iterator[tuple[int, int, int]]:
    """(first key, last key, shift) of each run of a segment inside its keyboard."""
    keys = scheme.keyboard_of(segment.stop).keys
    if segment.shift is not None:
        yield max(1, segment.keys[0]), min(keys, segment.keys[1]), segment.shift
        return
    asked = ((key, pipe) for key, pipe in asked_pipes(scheme, segment) if pipe is not None and key <= keys)
    # Keys and pipes that both go on by one have one shift and one distance to their place in the list.
    for (_place, shift), run in groupby(enumerate(asked), key=lambda item: _run_of(*item)):
        found = [key for _place, (key, _pipe) in run]
        yield found[0], found[-1], shift


def _run_of(place: int, ask: tuple[int, int]) -> tuple[int, int]:
    """What all keys of a run have in common."""
    key, pipe = ask
    return key - place, pipe - key


def _column(
    name: str, values: ArrayLike, least: int, most: int, kind: type[Number], size: int | None = None
) -> NDArray[Number]:
    """A column as an array of one kind, after checking that its values fit."""
    array = np.asarray(values)
    if array.ndim != 1 or (array.size and not np.issubdtype(array.dtype, np.integer)):
        raise SchemeError(
            say("column %(name)s is not a list of whole numbers; give one number for each row", name=name)
        )
    if size is not None and array.size != size:
        raise SchemeError(
            say(
                "column %(name)s has %(size)s values where %(size2)s are needed",
                name=name,
                size=array.size,
                size2=size,
            )
        )
    if array.size and not (least <= array.min() and array.max() <= most):
        raise SchemeError(
            say(
                "column %(name)s holds values from %(min)s to %(max)s; they must lie from %(least)s to %(most)s",
                name=name,
                min=array.min(),
                max=array.max(),
                least=least,
                most=most,
            )
        )
    return array.astype(kind)


def _joined(
    stop: Index, rank: Index, first: Short, last: Short, shift: Short, tone: Short | None
) -> tuple[Index, Index, Short, Short, Short, Short | None]:
    """Rows in order of rank, stop, tone, shift, first key, with runs that overlap or touch made one."""
    tones = np.zeros(stop.size, np.int16) if tone is None else tone
    order = np.lexsort((first, shift, tones, stop, rank))
    order = order[last[order] >= first[order]]
    stop, rank, first, last = stop[order], rank[order], first[order], last[order]
    shift, tones = shift[order], tones[order]
    other = np.ones(order.size, np.bool_)
    other[1:] = (stop[1:] != stop[:-1]) | (rank[1:] != rank[:-1])
    other[1:] |= (shift[1:] != shift[:-1]) | (tones[1:] != tones[:-1])
    # Farthest key so far inside each group of equal rows: groups are lifted apart, then accumulated.
    lift = np.cumsum(other) * (4 * _MOST_KEY)
    farthest = np.maximum.accumulate(last + lift)
    begins = np.ones(order.size, np.bool_)
    begins[1:] = first[1:] + lift[1:] > farthest[:-1] + 1
    starts = np.flatnonzero(begins)
    ends = np.append(starts[1:], order.size)[: starts.size] - 1
    last = (farthest[ends] - lift[ends]).astype(np.int16)
    return (
        stop[starts],
        rank[starts],
        first[starts],
        last,
        shift[starts],
        tones[starts] if tones.any() else None,
    )
