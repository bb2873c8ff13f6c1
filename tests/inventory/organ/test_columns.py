"""Columns of a collection: what they hold, and what is refused."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.columns import NOT_COUNTED, Columns, arrange, columns_of
from inventory.organ.errors import SchemeError
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop, answered_calls
from inventory.organ.synthetic import make_scheme

GOOD: dict[str, Any] = {
    "instruments": 2,
    "stop_instrument": [0, 1],
    "stop_first": [1, 1],
    "stop_last": [61, 30],
    "stop_keys": [61, 30],
    "rank_instrument": [0, 1],
    "rank_pipes": [73, NOT_COUNTED],
    "stop": [1, 0],
    "rank": [1, 0],
    "first_key": [1, 1],
    "last_key": [30, 61],
    "shift": [0, 12],
}


def rows(columns: Columns) -> list[tuple[int, ...]]:
    """Stop, rank, first key, last key, shift of each row."""
    values = (columns.stop, columns.rank, columns.first_key, columns.last_key, columns.shift)
    return [tuple(map(int, row)) for row in zip(*values, strict=True)]


def calls(columns: Columns) -> set[tuple[int, int, int, int]]:
    """Stop, key, rank, pipe of every row, each pipe that exists on keys that exist."""
    found = []
    for stop, rank, first, last, shift in rows(columns):
        for key in range(max(1, first), min(last, int(columns.stop_keys[stop])) + 1):
            pipes = int(columns.rank_pipes[rank])
            if key + shift >= 1 and (pipes == NOT_COUNTED or key + shift <= pipes):
                found.append((stop, key, rank, key + shift))
    if columns.tone is None:
        assert len(found) == len(set(found)), "a call is made twice"
    return set(found)


def test_rows_are_put_in_order_of_rank_and_stop() -> None:
    assert rows(arrange(**GOOD)) == [(0, 0, 1, 61, 12), (1, 1, 1, 30, 0)]


def test_runs_that_overlap_touch_or_lie_inside_become_one() -> None:
    same = {**GOOD, "stop": [0] * 5, "rank": [0] * 5, "shift": [0] * 5}
    found = arrange(**{**same, "first_key": [20, 1, 11, 3, 40], "last_key": [30, 10, 12, 4, 39]})
    assert rows(found) == [(0, 0, 1, 12, 0), (0, 0, 20, 30, 0)]


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"shift": [0]}, "column shift has 1 values where 2 are needed"),
        ({"rank": [2, 0]}, "column rank holds values from 0 to 2; they must lie from 0 to 1"),
        ({"last_key": [30, 2000]}, "column last_key holds values from 30 to 2000"),
        ({"rank_pipes": [73, -2]}, "column rank_pipes holds values from -2 to 73; they must lie from -1"),
        ({"stop_instrument": [1, 0]}, "column stop_instrument falls"),
        ({"stop": [0, 1]}, "joins a stop and a rank of two instruments"),
        ({"shift": [0.5, 1.0]}, "column shift is not a list of whole numbers"),
        ({"first_key": [[1, 1]]}, "column first_key is not a list of whole numbers"),
        ({"stop_last": [61]}, "column stop_last has 1 values"),
    ],
)
def test_what_does_not_fit_is_refused_with_its_column(wrong: dict[str, Any], says: str) -> None:
    with pytest.raises(SchemeError, match=says):
        arrange(**{**GOOD, **wrong})


def test_an_empty_collection_has_empty_columns() -> None:
    columns = columns_of([])
    assert (columns.instruments, columns.rows, columns.stop_instrument.size) == (0, 0, 0)


def test_a_short_octave_splits_into_runs_of_constant_shift() -> None:
    # C/E: the keys E F F# G G# A sound C F D G E A; the rank stands in order of pitch.
    notes = (36, 41, 38, 43, 40, 45, *range(46, 85))
    scheme = Scheme(
        (Keyboard("I", notes),),
        (Rank("r", 45, tuple(sorted(notes))),),
        (Stop("s", "I", "Flute", "8"),),
        (Segment("s", (1, 45), "r", interval=0),),
    )
    assert rows(columns_of([scheme])) == [
        (0, 0, 5, 5, -2), (0, 0, 3, 3, -1), (0, 0, 1, 1, 0), (0, 0, 6, 45, 0), (0, 0, 4, 4, 1), (0, 0, 2, 2, 2),
    ]  # fmt: skip


def test_a_list_of_pipes_too_short_asks_nothing_beyond_it() -> None:
    scheme = Scheme(
        (Keyboard("I", tuple(range(36, 46)), reach=3),),
        (Rank("r", None),),
        (Stop("s", "I", "x"), Stop("t", "I", "y", state="prepared")),
        (Segment("s", (2, 9), "r", pipes=(5, 6, 9)), Segment("t", (1, 9), "r", shift=0)),
    )
    assert rows(columns_of([scheme])) == [(0, 0, 2, 3, 3), (0, 0, 4, 4, 5)]


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 2**32 - 1), st.booleans()), min_size=1, max_size=3))
def test_columns_hold_the_call_set_of_every_scheme(seeds: list[tuple[int, bool]]) -> None:
    schemes = [make_scheme(*seed) for seed in seeds]
    columns = columns_of(schemes)
    expected = set()
    stops = ranks = 0
    for scheme in schemes:
        stop_at = {s.id: n for n, s in enumerate(scheme.stops, start=stops)}
        rank_at = {r.id: n for n, r in enumerate(scheme.ranks, start=ranks)}
        expected |= {(stop_at[c.stop], c.key, rank_at[c.rank], c.pipe) for c in answered_calls(scheme)}
        stops, ranks = stops + len(stop_at), ranks + len(rank_at)
    assert calls(columns) == expected
    assert np.array_equal(columns.stop_instrument, np.sort(columns.stop_instrument))
