"""The sums of sharing for a whole collection at once, on arrays of segments.

A collection is *columns*: one row for each run of keys that ask pipes at one shift. No row
is ever expanded to keys. Pipes called at ranks where more than one row meets are bits of
64-bit words: OR gives the pipes called, a carry gives those called twice, counting bits
gives numbers. Ranks that one row alone uses (most of them) need only its length. The work
is done in chunks of instruments that stay in the processor's cache.

A rank takes as many words as its chunk needs: two up to 128 pipes, more where a chunk
holds a longer rank, which is slower there and just as exact.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from inventory.organ.columns import NOT_COUNTED, Columns, Index, Short
from inventory.organ.errors import SchemeError
from inventory.organ.masks import (
    Words,
    count_bits,
    count_in_groups,
    deepest,
    groups_of,
    holds_any,
    move_bits,
    run_masks,
    union,
    union_counts,
)
from inventory.organ.sentences import say

Whole = NDArray[np.int64]

INSTRUMENTS_AT_ONCE = 4_000
_NO_UPPER_END = 16_384  # stands for the length of a rank never counted: above every allowed pipe


@dataclass(frozen=True)
class Sums:
    """The sums of every instrument (shape (instruments,)) and every stop (shape (stops,))."""

    calls: Whole
    pipes_called: Whole
    pipes_shared: Whole
    pipes_own: Whole
    pipes_repeated: Whole
    depth: Whole
    stop_keys: Whole
    stop_own: Whole
    stop_shared: Whole
    stop_silent: Whole

    @property
    def economy(self) -> NDArray[np.float64]:
        """1 - pipes called / calls of each instrument (0..1); NaN where nothing is called."""
        with np.errstate(invalid="ignore", divide="ignore"):
            return np.where(self.calls > 0, 1 - self.pipes_called / self.calls, np.nan)


def sum_collection(columns: Columns, instruments_at_once: int = INSTRUMENTS_AT_ONCE) -> Sums:
    """Work out the sums of §4 for every instrument and stop of a collection.

    Counts are pipes, keys and calls; equal to the sums of one scheme, instrument by
    instrument. Raises SchemeError for columns that are not in order (use `arrange`).
    Source: DESIGN §4.

    >>> from inventory.organ.columns import arrange
    >>> low, high, r, s = [1, 1], [61, 61], [0, 0], [0, 1]
    >>> columns = arrange(1, [0, 0], low, high, high, [0], [73], s, r, low, high, [0, 12])
    >>> sums = sum_collection(columns)
    >>> [int(n[0]) for n in (sums.calls, sums.pipes_called, sums.pipes_shared, sums.pipes_own)]
    [122, 73, 49, 24]
    >>> sums.stop_shared.tolist(), sums.stop_own.tolist()
    ([49, 49], [12, 12])
    """
    if instruments_at_once < 1:
        raise SchemeError(
            say(
                "%(instruments_at_once)s instruments at once is not possible; give 1 or more",
                instruments_at_once=instruments_at_once,
            )
        )
    for name, values in (("instruments of stops", columns.stop_instrument), ("ranks", columns.rank)):
        if np.any(values[1:] < values[:-1]):
            raise SchemeError(
                say("the %(name)s are not in order; make the columns with arrange()", name=name)
            )
    edges = np.append(np.arange(0, columns.instruments, instruments_at_once), columns.instruments)
    rank_edges = np.searchsorted(columns.rank_instrument, edges)
    stop_edges = np.searchsorted(columns.stop_instrument, edges)
    row_edges = np.searchsorted(columns.rank, rank_edges)
    by_instrument = np.zeros((6, columns.instruments), np.int64)
    by_stop = np.zeros((4, columns.stop_instrument.size), np.int64)
    for chunk in range(len(edges) - 1):
        here = slice(edges[chunk], edges[chunk + 1])
        stops = slice(stop_edges[chunk], stop_edges[chunk + 1])
        ranks = slice(rank_edges[chunk], rank_edges[chunk + 1])
        rows = slice(row_edges[chunk], row_edges[chunk + 1])
        _sum_chunk(columns, here, stops, ranks, rows, by_instrument[:, here], by_stop[:, stops])
    return Sums(*by_instrument, *by_stop)


def _sum_chunk(
    c: Columns, here: slice, stops: slice, ranks: slice, rows: slice, by_instrument: Whole, by_stop: Whole
) -> None:
    """Fill the sums of the instruments `here`, whose stops, ranks and rows are these slices."""
    stop, rank = c.stop[rows] - stops.start, c.rank[rows] - ranks.start
    shift, tone = c.shift[rows], None if c.tone is None else c.tone[rows]
    _check_order(stop, rank, tone, c.first_key[rows], c.last_key[rows], shift)
    ends = np.where(c.rank_pipes[ranks] == NOT_COUNTED, np.int16(_NO_UPPER_END), c.rank_pipes[ranks])
    first = np.maximum(np.maximum(c.first_key[rows], np.int16(1)), 1 - shift)
    last = np.minimum(np.minimum(c.last_key[rows], c.stop_keys[stops][stop]), ends[rank] - shift)
    live = last >= first
    if not live.all():  # runs that no pipe answers are no calls at all
        stop, rank, shift, first, last = (a[live] for a in (stop, rank, shift, first, last))
        tone = None if tone is None else tone[live]
    owner = c.rank_instrument[ranks] - here.start
    size = by_instrument.shape[1]
    length = last - first + 1
    # Rows stand in order of instrument: calls are differences of one running sum.
    running = np.concatenate([[0], np.cumsum(length, dtype=np.int64)])
    calls = np.diff(running[np.searchsorted(rank, np.searchsorted(owner, np.arange(size + 1)))])
    starts, sizes = groups_of(rank)
    meeting = np.flatnonzero(np.repeat(sizes > 1, sizes))  # rows that meet others at their rank
    m_shift, m_rank, m_stop = shift[meeting], rank[meeting], stop[meeting]
    alone = calls - _add_up(owner[m_rank], length[meeting], size)
    masks = run_masks(first[meeting] + m_shift - 1, last[meeting] + m_shift)
    # The first fold is by (rank, stop): called at all, and at two keys or more (repeated).
    keys = (m_rank, m_stop) if tone is None else (m_rank, m_stop, tone[meeting])
    part_starts, part_sizes = groups_of(*keys)
    digits = count_in_groups(masks, part_starts, part_sizes)
    once, twice = union(digits), union(digits[1:] or [np.zeros_like(digits[0])])
    if tone is not None:  # notes of one polyphone pipe are not repeats of it, and still one stop's
        starts, sizes = groups_of(m_rank[part_starts], m_stop[part_starts])
        once, twice = (union(count_in_groups(w, starts, sizes)) for w in (once, twice))
        part_starts = part_starts[starts]
    # The second fold is over the stops of each rank: shared pipes, and how deep.
    rank_starts, rank_sizes = groups_of(m_rank[part_starts])
    level = count_in_groups(once, rank_starts, rank_sizes)
    called = union(level)
    shared = union(level[1:] or [np.zeros_like(called)])
    again = union(count_in_groups(twice, rank_starts, rank_sizes))
    at = owner[m_rank[part_starts][rank_starts]]
    by_instrument[0] = calls
    by_instrument[1] = alone + _add_up(at, count_bits(called), size)
    by_instrument[2] = _add_up(at, count_bits(shared), size)
    by_instrument[3] = by_instrument[1] - by_instrument[2]
    by_instrument[4] = _add_up(at, count_bits(again), size)
    by_instrument[5] = calls > 0
    np.maximum.at(by_instrument[5], at, deepest(level))
    # Of every row that meets others: its pipes that are shared.
    group = np.repeat(np.arange(rank_starts.size), groups_of(m_rank)[1])
    near = np.flatnonzero(holds_any(shared)[group])
    touched = shared.take(group[near], axis=1) & masks.take(near, axis=1)
    _sum_stops(c, stops, (stop, shift, first, last), meeting[near], touched, by_stop)


def _sum_stops(
    c: Columns,
    stops: slice,
    row: tuple[Index, Short, Short, Short],
    hit: NDArray[np.intp],
    touched: Words,
    by_stop: Whole,
) -> None:
    """Fill keys, own, shared and silent of the stops; `touched` holds the shared pipes of the rows `hit`."""
    stop, shift, first, last = row
    compass_first, compass_last = c.stop_first[stops], c.stop_last[stops]
    first, last = np.maximum(first, compass_first[stop]), np.minimum(last, compass_last[stop])
    number = compass_first.size
    keys = np.maximum(compass_last - compass_first + 1, 0)
    # A stop of one row needs no set of keys: its length and its shared pipes count themselves.
    several = np.bincount(stop, minlength=number) > 1
    answered = np.zeros(number, np.int64)
    answered[stop] = np.maximum(last - first + 1, 0)
    many = np.flatnonzero(several[stop])
    who, count = union_counts(stop[many], run_masks(first[many] - 1, last[many]))
    answered[who] = count
    owner, move = stop[hit], shift[hit]
    touched = touched & _fit(run_masks(first[hit] + move - 1, last[hit] + move), len(touched))
    shared = np.zeros(number, np.int64)
    shared[owner] = count_bits(touched)
    many = np.flatnonzero(several[owner])
    in_keys = move_bits(touched.take(many, axis=1), -move[many], -(-int(last.max(initial=1)) // 64))
    who, count = union_counts(owner[many], in_keys)
    shared[who] = count
    by_stop[0] = keys
    by_stop[1] = answered - shared
    by_stop[2] = shared
    by_stop[3] = keys - answered


def _fit(words: Words, number: int) -> Words:
    """The same sets in `number` words; only empty words are added or cut."""
    if len(words) >= number:
        return words[:number]
    return np.vstack([words, np.zeros((number - len(words), words.shape[1]), np.uint64)])


def _add_up(owner: NDArray[np.integer], numbers: NDArray[np.integer], owners: int) -> Whole:
    """Sum of the numbers of each owner, shape (owners,); exact, being far below 2^53."""
    return np.bincount(owner, weights=numbers, minlength=owners).astype(np.int64)


def _check_order(
    stop: Index, rank: Index, tone: Short | None, first: Short, last: Short, shift: Short
) -> None:
    """Refuse rows of one stop and rank that are out of order or make a call twice."""
    part = rank[1:] == rank[:-1]
    wrong = part & (stop[1:] < stop[:-1])
    part &= stop[1:] == stop[:-1]
    if tone is not None:
        wrong |= part & (tone[1:] < tone[:-1])
        part &= tone[1:] == tone[:-1]
    wrong |= part & ((shift[1:] < shift[:-1]) | ((shift[1:] == shift[:-1]) & (first[1:] <= last[:-1])))
    if np.any(wrong):
        raise SchemeError(say("rows are out of order or make a call twice; make the columns with arrange()"))
