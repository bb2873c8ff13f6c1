"""Current specifications' rows → `organ.columns.Columns`, read as columns, never as objects.

Rows without gaps are turned into runs by arithmetic on whole arrays. Short octaves, rows
with gaps, lists of pipes and polyphone pipes are few different ones many times over: each
different one goes once through `organ.columns.columns_of`, which is also what tests hold
this module against.
"""

from __future__ import annotations

import json
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from inventory.models import Keyboard, Rank, Segment, Specification, Stop
from inventory.organ import schemes as organ
from inventory.organ.columns import NOT_COUNTED, Columns, arrange, columns_of
from inventory.row_tables import NONE, Table, Wanted, Whole, read_tables


@dataclass(frozen=True)
class StoredCollection:
    """Columns of every current specification, and which row of the database each number stands for."""

    specifications: Whole
    """Primary key of the specification of each instrument, rising."""
    stops: Whole
    """Primary key of each stop."""
    ranks: Whole
    columns: Columns


_WANTED = (
    Wanted(Specification, ("id",), where="WHERE is_current"),
    Wanted(Keyboard, ("id",), ("keys", "low_note"), ("notes",)),
    Wanted(Rank, ("id", "specification_id"), ("pipes", "low_note"), ("notes", "tones")),
    Wanted(Stop, ("id", "specification_id", "keyboard_id"), ("first_key", "last_key", "asks")),
    Wanted(Segment, ("stop_id", "rank_id"), ("first_key", "last_key", "shift", "interval"), ("pipes",)),
)


def read_rows() -> StoredCollection:
    """Read the tables and work out the runs."""
    found, keyboard_rows, rank_rows, stop_rows, segment_rows = read_tables(_WANTED)
    specifications = found.numbers["id"]
    keyboards, segments = keyboard_rows.numbers, segment_rows.numbers
    ranks, rank_owner = _of(specifications, rank_rows.numbers)
    stops, stop_owner = _of(specifications, stop_rows.numbers)
    board, _known = _places(keyboards["id"], stops["keyboard_id"])
    keys = keyboards["keys"][board]
    # Empty limits mean the whole keyboard.
    first = np.where(stops["first_key"] == NONE, 1, stops["first_key"])
    last = np.where(stops["last_key"] == NONE, keys, stops["last_key"])
    stop, known = _places(stops["id"], segments["stop_id"])
    rank, known_too = _places(ranks["id"], segments["rank_id"])
    asking = known & known_too
    asking[asking] &= stops["asks"][stop[asking]] == 1
    if not asking.all():
        segments, stop, rank = _pick(segments, asking), stop[asking], rank[asking]

    low = ranks["low_note"][rank]
    shift = np.where(
        segments["shift"] != NONE,
        segments["shift"],
        keyboards["low_note"][board[stop]] + segments["interval"] - low,
    )
    polyphone = ranks["tones"][rank] > 0
    gaps = (keyboards["notes"][board[stop]] > 0) | (ranks["notes"][rank] > 0)
    special = polyphone | (segments["pipes"] > 0) | (gaps & (segments["shift"] == NONE))
    plain = ~special & ((segments["shift"] != NONE) | (low != NONE))
    parts = [
        (
            stop[plain],
            rank[plain],
            np.maximum(segments["first_key"][plain], 1),
            np.minimum(segments["last_key"][plain], keys[stop[plain]]),
            shift[plain],
            np.zeros(np.count_nonzero(plain), np.int16),
        )
    ]
    at = np.flatnonzero(special)
    if at.size:
        footage = _footages(stops["id"][stop[at][polyphone[at]]])
        words = np.stack(
            [
                keyboards["keys"][board[stop[at]]],
                keyboards["low_note"][board[stop[at]]],
                keyboards["notes"][board[stop[at]]],
                ranks["pipes"][rank[at]],
                low[at],
                ranks["notes"][rank[at]],
                ranks["tones"][rank[at]],
                *(segments[name][at] for name in ("first_key", "last_key", "shift", "interval")),
                segments["pipes"][at],
            ]
        ).T
        texts = _Texts(
            keyboard_rows.texts["notes"],
            rank_rows.texts["notes"],
            rank_rows.texts["tones"],
            segment_rows.texts["pipes"],
            footage,
        )
        parts.append(tuple(_special_rows(words, stop[at], rank[at], stops["id"], texts).astype(np.int32)))
    rows = [np.concatenate(column) for column in zip(*parts, strict=True)]
    columns = arrange(
        specifications.size,
        stop_owner,
        np.maximum(first, 1),
        np.minimum(last, keys),
        keys,
        rank_owner,
        np.where(ranks["pipes"] == NONE, NOT_COUNTED, ranks["pipes"]),
        *rows,
    )
    return StoredCollection(specifications, stops["id"].copy(), ranks["id"].copy(), columns)


def _of(specifications: Whole, rows: Table) -> tuple[Table, Whole]:
    """Rows of these specifications in order of specification, and the place of each one's."""
    place, mine = _places(specifications, rows["specification_id"])
    if not mine.all():
        rows, place = _pick(rows, mine), place[mine]
    if np.any(place[1:] < place[:-1]):
        order = np.argsort(place, kind="stable")
        rows, place = _pick(rows, order), place[order]
    return rows, place


def _pick(rows: Table, which: NDArray[Any]) -> Table:
    """Some rows of a table."""
    return {name: column[which] for name, column in rows.items()}


def _places(ids: Whole, wanted: Whole) -> tuple[Whole, NDArray[np.bool_]]:
    """Where rows with these ids stand (0 where they are not), and whether they are there at all."""
    if not ids.size or not wanted.size:
        return np.zeros(wanted.size, np.int64), np.zeros(wanted.size, np.bool_)
    least, most = int(ids.min()), int(ids.max())
    if most - least < 8 * ids.size + 1_000:  # numbered almost without gaps: look up instead of searching
        table = np.full(most - least + 1, -1, np.int32)
        table[ids - least] = np.arange(ids.size, dtype=np.int32)
        inside = (wanted >= least) & (wanted <= most)
        place = table[np.where(inside, wanted - least, 0)]
        there = inside & (place >= 0)
        return np.where(there, place, 0), there
    order = np.argsort(ids, kind="stable")
    by_id = ids[order]
    place = np.minimum(np.searchsorted(by_id, wanted), ids.size - 1)
    there = by_id[place] == wanted
    return np.where(there, order[place], 0), there


def _footages(stop_ids: Whole) -> dict[int, str]:
    """Footages of the stops on polyphone pipes: they tell which note a key asks."""
    wanted = np.unique(stop_ids).tolist()
    found: dict[int, str] = {}
    for start in range(0, len(wanted), 900):
        rows = Stop.objects.filter(pk__in=wanted[start : start + 900]).values_list("pk", "footage")
        found |= dict(rows)
    return found


@dataclass(frozen=True)
class _Texts:
    """Texts by number."""

    boards: list[str]
    ranks: list[str]
    tones: list[str]
    pipes: list[str]
    footages: dict[int, str]
    """By primary key of the stop."""


def _special_rows(words: Whole, stop: Whole, rank: Whole, stop_ids: Whole, texts: _Texts) -> Whole:
    """Rows (stop, rank, first, last, shift, tone) of segments that arithmetic alone cannot turn into runs."""
    # Segments of one stop on one polyphone rank are worked out together: the first to ask a pipe says which note.
    shared = np.flatnonzero(words[:, 6] > 0)
    owners = zip(stop[shared].tolist(), rank[shared].tolist(), strict=True)
    together: dict[tuple[int, int], list[tuple[int, ...]]] = {}
    for owner_of, word in zip(owners, map(tuple, words[shared].tolist()), strict=True):
        together.setdefault(owner_of, []).append(word)
    different, which = _different(words[words[:, 6] == 0])
    runs = [_runs([tuple(word)], "", texts) for word in different.tolist()]
    sizes = np.array([len(found) for found in runs], np.int64)
    flat = np.array([run for found in runs for run in found], np.int64).reshape(-1, 4)
    alone = np.flatnonzero(words[:, 6] == 0)
    times = sizes[which] if which.size else np.zeros(0, np.int64)
    owner = np.repeat(alone, times)
    begins = np.cumsum(sizes) - sizes
    inside = np.arange(owner.size) - np.repeat(np.cumsum(times) - times, times)
    picked = flat[np.repeat(begins[which], times) + inside] if owner.size else flat[:0]
    parts = [np.concatenate([stop[owner][None], rank[owner][None], picked.T])]
    known: dict[Any, list[tuple[int, int, int, int]]] = {}
    rows: list[tuple[int, ...]] = []
    for (one, row), asking in together.items():
        footage = texts.footages.get(int(stop_ids[one]), "")
        asked = footage, *asking
        if asked not in known:
            known[asked] = _runs(asking, footage, texts)
        rows += [(one, row, *run) for run in known[asked]]
    parts.append(np.array(rows, np.int64).reshape(-1, 6).T)
    return np.concatenate(parts, axis=1)


def _different(words: Whole) -> tuple[Whole, Whole]:
    """The rows that differ, and for each row which of them it is; sorts single numbers, not rows."""
    code, size = np.zeros(len(words), np.int64), 1
    for column in words.T if len(words) else ():
        span = int(column.max() - column.min()) + 1
        if size * span >= 1 << 62:
            known, code = np.unique(code, return_inverse=True)
            size = known.size
        code, size = code * span + (column - column.min()), size * span
    _known, firsts, which = np.unique(code, return_index=True, return_inverse=True)
    return words[firsts], which


def _runs(words: list[tuple[int, ...]], footage: str, texts: _Texts) -> list[tuple[int, int, int, int]]:
    """(first key, last key, shift, tone) of segments of one stop on one rank, by the one-scheme code."""
    keys, low, board, pipes, rank_low, notes, tones = words[0][:7]
    keyboard = organ.Keyboard(
        "K", tuple(json.loads(texts.boards[board])) if board else tuple(range(low, low + keys))
    )
    count = None if pipes == NONE else pipes
    nominal: tuple[int, ...] | None = tuple(json.loads(texts.ranks[notes])) if notes else None
    if nominal is None and rank_low != NONE and count is not None:
        nominal = tuple(range(rank_low, rank_low + count))
    told = json.loads(texts.tones[tones]) if tones else {}
    rank = organ.Rank(
        "R",
        count,
        nominal,
        low=nominal[0] if nominal else None if rank_low == NONE else rank_low,
        tones={int(pipe): tuple(found) for pipe, found in told.items()},
    )
    segments = tuple(
        organ.Segment(
            "S",
            (first, last),
            "R",
            None if shift == NONE else shift,
            None if interval == NONE else interval,
            tuple(json.loads(texts.pipes[listed])) if listed else None,
        )
        for *_same, first, last, shift, interval, listed in words
    )
    scheme = organ.Scheme((keyboard,), (rank,), (organ.Stop("S", "K", "S", footage or None),), segments)
    found = columns_of([scheme])
    tone = found.tone if found.tone is not None else np.zeros(found.rows, np.int16)
    return list(
        zip(
            found.first_key.tolist(),
            found.last_key.tolist(),
            found.shift.tolist(),
            tone.tolist(),
            strict=True,
        )
    )
