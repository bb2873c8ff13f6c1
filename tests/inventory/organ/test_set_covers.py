"""Fewest sets: by hand, against trying everything, and honest when it gives up."""

from itertools import combinations

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.set_covers import smallest_cover


def fewest_by_trying(sets: list[frozenset[int]]) -> int:
    wanted = frozenset().union(*sets)
    for size in range(len(sets) + 1):
        if any(frozenset().union(*some) == wanted for some in combinations(sets, size)):
            return size
    raise AssertionError


def test_a_set_that_alone_holds_an_element_is_taken():
    assert smallest_cover([[0, 1], [1, 2, 3], [3]]).chosen == (0, 1)


def test_greedy_would_take_three_and_two_are_enough():
    # By hand: the largest set first (0 1 2 3) leaves two more; the two halves need no third.
    cover = smallest_cover([[1, 2, 4, 5], [0, 1, 2], [3, 4, 5]])
    assert cover.chosen == (1, 2) and cover.is_smallest


def test_of_equal_sets_the_first_counts_and_empty_ones_never():
    assert smallest_cover([[], [7], [7]]).chosen == (1,)
    assert smallest_cover([]).chosen == () and smallest_cover([[]]).is_smallest


def test_when_steps_run_out_the_bound_says_so():
    # The ten lines of the complete graph on five points: each point lies on four lines.
    points = [[n for n, pair in enumerate(combinations(range(5), 2)) if p in pair] for p in range(5)]
    assert smallest_cover(points).chosen.__len__() == 4 and smallest_cover(points).is_smallest
    cut_short = smallest_cover(points, most_steps=0)
    assert len(cut_short.chosen) == 4 and cut_short.at_least == 2 and not cut_short.is_smallest


@settings(max_examples=150, deadline=None)
@given(st.lists(st.frozensets(st.integers(0, 11), max_size=5), max_size=9))
def test_it_is_as_short_as_trying_every_choice(sets):
    cover = smallest_cover(sets)
    chosen = frozenset().union(*(sets[place] for place in cover.chosen))
    assert chosen == frozenset().union(*sets)
    assert len(cover.chosen) == cover.at_least == fewest_by_trying(sets)
