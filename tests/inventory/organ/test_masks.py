"""Sets as bits of words: against Python's own sets of numbers."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.masks import (
    Words,
    count_bits,
    count_in_groups,
    deepest,
    groups_of,
    holds_any,
    move_bits,
    run_masks,
    union_counts,
)

Sets = list[frozenset[int]]
WORDS = 3
sets = st.lists(st.frozensets(st.integers(0, 64 * WORDS - 1), max_size=9), min_size=1, max_size=20)


def words_of(members: Sets, number: int = WORDS) -> Words:
    whole = [sum(1 << m for m in some) for some in members]
    words = [[value >> 64 * index & (1 << 64) - 1 for value in whole] for index in range(number)]
    return np.array(words, np.uint64).reshape(number, len(members))


def sets_of(words: Words) -> Sets:
    return [
        frozenset(64 * i + bit for i, word in enumerate(column) for bit in range(64) if word >> bit & 1)
        for column in words.T.tolist()
    ]


@given(st.lists(st.tuples(st.integers(0, 200), st.integers(-3, 200)), min_size=1, max_size=20))
def test_runs_hold_every_member_from_low_to_below_high(runs: list[tuple[int, int]]) -> None:
    low, high = (np.array(column, np.int16) for column in zip(*runs, strict=True))
    assert sets_of(run_masks(low, high)) == [frozenset(range(a, b)) for a, b in runs]


def test_a_run_of_64_is_one_full_word_and_no_runs_make_no_sets() -> None:
    assert run_masks(np.array([0]), np.array([64])).tolist() == [[2**64 - 1]]
    assert run_masks(np.array([64]), np.array([128])).tolist() == [[0], [2**64 - 1]]
    assert run_masks(np.zeros(0, np.int16), np.zeros(0, np.int16)).shape == (1, 0)


@given(sets)
def test_members_are_counted(members: Sets) -> None:
    words = words_of(members)
    assert count_bits(words).tolist() == [len(some) for some in members]
    assert holds_any(words).tolist() == [bool(some) for some in members]


@settings(deadline=None)
@given(sets, st.data())
def test_counts_in_groups_are_how_many_sets_hold_a_member(members: Sets, data: st.DataObject) -> None:
    labels = np.array(sorted(data.draw(st.integers(0, 4)) for _ in members))
    starts, sizes = groups_of(labels)
    planes = [sets_of(plane) for plane in count_in_groups(words_of(members), starts, sizes)]
    depths = deepest(count_in_groups(words_of(members), starts, sizes)).tolist()
    for group, (start, size) in enumerate(zip(starts.tolist(), sizes.tolist(), strict=True)):
        inside = members[start : start + size]
        counted = {m: sum(m in some for some in inside) for m in frozenset().union(*inside)}
        digits = {m: sum((m in plane[group]) << p for p, plane in enumerate(planes)) for m in counted}
        assert digits == counted
        assert depths[group] == max(counted.values(), default=0)
        assert all(plane[group] <= counted.keys() for plane in planes)


@given(sets, st.data())
def test_moving_keeps_what_stays_inside(members: Sets, data: st.DataObject) -> None:
    places = [data.draw(st.integers(-200, 200)) for _ in members]
    number = data.draw(st.integers(1, 4))
    moved = sets_of(move_bits(words_of(members), np.array(places, np.int16), number))
    assert moved == [
        frozenset(m + by for m in some if 0 <= m + by < 64 * number)
        for some, by in zip(members, places, strict=True)
    ]


@given(sets, st.data())
def test_unions_are_counted_by_owner(members: Sets, data: st.DataObject) -> None:
    owners = [data.draw(st.sampled_from([0, 3, 70_000])) for _ in members]
    who, count = union_counts(np.array(owners, np.int32), words_of(members))
    joined = {
        o: frozenset().union(*(s for s, own in zip(members, owners, strict=True) if own == o)) for o in owners
    }
    assert dict(zip(who.tolist(), count.tolist(), strict=True)) == {o: len(s) for o, s in joined.items()}


def test_groups_of_nothing_are_none() -> None:
    starts, sizes = groups_of(np.zeros(0, np.int32))
    assert starts.size == sizes.size == 0
