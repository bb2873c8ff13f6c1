"""The sums of a whole collection: against hand-solved cases, the call set, and the sums of one scheme."""

from collections import defaultdict

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.collection import Sums, sum_collection
from inventory.organ.columns import Columns, arrange, columns_of
from inventory.organ.errors import SchemeError
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop, answered_calls
from inventory.organ.sums import sum_scheme
from inventory.organ.synthetic import make_scheme
from inventory.organ.synthetic_columns import make_columns

MANUAL = Keyboard("I", tuple(range(36, 97)))


def one(
    stops: int, rank_pipes: list[int], rows: list[tuple[int, int, int, int, int]], keys: int = 61
) -> Sums:
    """Sums of one instrument whose rows are (stop, rank, first key, last key, shift)."""
    first, ranks = [1] * stops, [0] * len(rank_pipes)
    last = [keys] * stops
    columns = arrange(1, [0] * stops, first, last, last, ranks, rank_pipes, *zip(*rows, strict=True))
    return sum_collection(columns)


def instrument(sums: Sums, at: int = 0) -> tuple[int, ...]:
    """Calls, pipes called, shared, own, repeated, depth."""
    fields = (
        sums.calls,
        sums.pipes_called,
        sums.pipes_shared,
        sums.pipes_own,
        sums.pipes_repeated,
        sums.depth,
    )
    return tuple(int(field[at]) for field in fields)


def of_stops(sums: Sums) -> list[tuple[int, ...]]:
    """Keys, own, shared, silent of every stop."""
    fields = (sums.stop_keys, sums.stop_own, sums.stop_shared, sums.stop_silent)
    return [tuple(map(int, row)) for row in zip(*fields, strict=True)]


def assert_equals_one_by_one(schemes: list[Scheme], instruments_at_once: int = 3) -> None:
    """Every number equals the sums of each scheme, and the two sums by definition from the call set."""
    sums = sum_collection(columns_of(schemes), instruments_at_once)
    stops = iter(of_stops(sums))
    for at, scheme in enumerate(schemes):
        single = sum_scheme(scheme)
        assert instrument(sums, at) == (
            single.calls,
            single.pipes_called,
            single.pipes_shared,
            single.pipes_own,
            single.pipes_repeated,
            single.depth,
        )
        assert sums.economy[at] == pytest.approx(
            np.nan if single.economy is None else single.economy, nan_ok=True
        )
        for stop in single.stops:
            assert next(stops) == (stop.keys, stop.own, stop.shared, stop.silent), stop.stop
        askers: dict[tuple[str, int], set[tuple[str, int]]] = defaultdict(set)
        for call in answered_calls(scheme):
            askers[call.rank, call.pipe].add((call.stop, call.key))
        assert sums.calls[at] == sum(map(len, askers.values()))
        assert sums.pipes_called[at] == len(askers)
        assert sums.depth[at] == max((len({s for s, _ in a}) for a in askers.values()), default=0)
    assert next(stops, None) is None


def test_8_and_4_foot_on_one_rank_of_73() -> None:
    # DESIGN §4: calls 122, pipes 73 (after Miller 1913), shared 49, own 24, each stop 49 and 12.
    sums = one(2, [73], [(0, 0, 1, 61, 0), (1, 0, 1, 61, 12)])
    assert instrument(sums) == (122, 73, 49, 24, 0, 2)
    assert of_stops(sums) == [(61, 12, 49, 0)] * 2
    assert sums.economy[0] == 1 - 73 / 122


def test_rows_wired_beyond_the_keyboard_call_only_on_its_keys() -> None:
    sums = one(1, [-1], [(0, 0, -3, 70, 0)])
    assert instrument(sums) == (61, 61, 0, 61, 0, 1)
    assert of_stops(sums) == [(61, 61, 0, 0)]


def test_foldback_on_own_pipes_repeats_and_does_not_share() -> None:
    sums = one(1, [61], [(0, 0, 1, 49, 12), (0, 0, 50, 61, 0)])
    assert instrument(sums) == (61, 49, 0, 49, 12, 1)
    assert of_stops(sums) == [(61, 61, 0, 0)]


def test_a_short_rank_leaves_keys_silent() -> None:
    sums = one(2, [61], [(0, 0, 1, 61, 0), (1, 0, 1, 61, 12)])
    assert instrument(sums) == (110, 61, 49, 12, 0, 2)
    assert of_stops(sums) == [(61, 12, 49, 0), (61, 0, 49, 12)]


def test_a_mixture_on_three_ranks_speaks_while_one_rank_does() -> None:
    sums = one(1, [61, 61, 24], [(0, 0, 1, 61, 12), (0, 1, 1, 61, 19), (0, 2, 1, 61, 0)])
    assert instrument(sums) == (49 + 42 + 24, 115, 0, 115, 0, 1)
    assert of_stops(sums) == [(61, 49, 0, 12)]


def test_a_key_is_shared_once_however_many_of_its_pipes_are() -> None:
    rows = [(0, 0, 1, 61, 0), (1, 1, 1, 61, 0), (2, 0, 1, 61, 0), (2, 1, 1, 61, 0)]
    sums = one(3, [61, 61], rows)
    assert instrument(sums) == (244, 122, 122, 0, 0, 2)
    assert of_stops(sums)[2] == (61, 0, 61, 0)


def test_a_rank_asked_by_many_stops_is_as_deep_as_they_are() -> None:
    sums = one(21, [200], [(s, 0, 1, 61, s) for s in range(21)])
    assert instrument(sums)[5] == 21 and instrument(sums)[1] == 81


@pytest.mark.parametrize("shift", [-60, -1, 0, 63, 64, 65, 127, 128, 190, 939])
def test_long_ranks_take_more_words_and_stay_exact(shift: int) -> None:
    rows = [(0, 0, 1, 61, shift), (0, 0, 1, 61, shift + 2), (1, 0, 30, 61, shift + 1)]
    stops = (Stop("a", "I", "x"), Stop("b", "I", "y"))
    segments = tuple(Segment("ab"[s], (f, last), "r", shift=h) for s, _r, f, last, h in rows)
    assert_equals_one_by_one([Scheme((MANUAL,), (Rank("r", 1000),), stops, segments)])


def test_nothing_called_has_no_economy_and_no_depth() -> None:
    sums = sum_collection(
        columns_of([Scheme((MANUAL,), (), (Stop("s", "I", "x"),), ()), Scheme((), (), (), ())])
    )
    assert instrument(sums) == (0, 0, 0, 0, 0, 0) and np.isnan(sums.economy).all()
    assert of_stops(sums) == [(61, 0, 0, 61)]
    empty = sum_collection(columns_of([]))
    assert empty.calls.shape == (0,) and empty.stop_keys.shape == (0,)


def test_notes_of_a_polyphone_pipe_are_no_repeats() -> None:
    keyboard = Keyboard("P", tuple(range(36, 41)), "pedal")
    rank = Rank("r", 3, (36, 38, 40), tones={1: (36, 37), 2: (38, 39)})
    stops = (Stop("a", "P", "Bass", "8"), Stop("b", "P", "Cello", "8"))
    segments = (Segment("a", (1, 5), "r", interval=0), Segment("b", (1, 4), "r", interval=0))
    assert_equals_one_by_one([Scheme((keyboard,), (rank,), stops, segments), make_scheme(3)])


def test_a_polyphone_pipe_asked_twice_for_one_note_is_repeated() -> None:
    keyboard = Keyboard("P", (36, 37, 48), "pedal")
    rank = Rank("r", 1, (36,), tones={1: (36, 37)})
    segments = (Segment("a", (1, 2), "r", interval=0), Segment("a", (3, 3), "r", interval=-12))
    scheme = Scheme((keyboard,), (rank,), (Stop("a", "P", "Bass", "8"),), segments)
    assert_equals_one_by_one([scheme])
    assert sum_collection(columns_of([scheme])).pipes_repeated.tolist() == [1]


def test_made_up_organs_equal_one_by_one_whatever_the_chunk() -> None:
    schemes = [make_scheme(seed, unified=bool(seed % 2)) for seed in range(60)]
    for at_once in (1, 7, 1000):
        assert_equals_one_by_one(schemes, at_once)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.tuples(st.integers(0, 2**32 - 1), st.booleans()), min_size=1, max_size=4))
def test_any_made_up_organ_equals_its_own_sums(seeds: list[tuple[int, bool]]) -> None:
    assert_equals_one_by_one([make_scheme(seed, unified) for seed, unified in seeds])


@st.composite
def wild_schemes(draw: st.DrawFn) -> Scheme:
    """Small schemes where everything overlaps: rows twice, outside keyboard and rank, nested."""
    ranks = tuple(Rank(f"r{i}", draw(st.sampled_from([None, 1, 9, 70, 130]))) for i in range(2))
    stops = tuple(
        Stop(f"s{i}", "I", "x", None, draw(st.sampled_from([None, (1, 5), (8, 20), (9, 3)])))
        for i in range(3)
    )
    segments = tuple(
        Segment(
            draw(st.sampled_from(stops)).id,
            (first := draw(st.integers(1, 14)), first + draw(st.integers(0, 8))),
            draw(st.sampled_from(ranks)).id,
            shift=draw(st.sampled_from([-9, -1, 0, 0, 1, 12, 59, 120])),
        )
        for _ in range(draw(st.integers(0, 12)))
    )
    return Scheme((Keyboard("I", tuple(range(36, 50)), reach=4),), ranks, stops, segments)


@settings(max_examples=200, deadline=None)
@given(st.lists(wild_schemes(), min_size=1, max_size=4))
def test_rows_that_overlap_and_lie_outside_equal_the_call_set(schemes: list[Scheme]) -> None:
    assert_equals_one_by_one(schemes)


def test_columns_out_of_order_are_refused() -> None:
    good = columns_of([make_scheme(1), make_scheme(2)])
    backwards = Columns(**{**vars(good), "rank": good.rank[::-1]})
    with pytest.raises(SchemeError, match="not in order; make the columns with arrange"):
        sum_collection(backwards)
    rows = ("stop", "rank", "first_key", "last_key", "shift")
    twice = Columns(
        **{**vars(good), **{name: np.repeat(getattr(good, name), 2) for name in rows}, "tone": None}
    )
    with pytest.raises(SchemeError, match="make a call twice"):
        sum_collection(twice)
    with pytest.raises(SchemeError, match="give 1 or more"):
        sum_collection(good, 0)


def test_a_made_up_collection_equals_a_loop_over_sets() -> None:
    from tests.benchmarks.set_loop import loop_over_sets

    columns = make_columns(300, seed=5)
    sums, loop = sum_collection(columns, 64), loop_over_sets(columns, 300)
    for name in vars(loop):
        assert getattr(sums, name).tolist() == getattr(loop, name).tolist(), name
