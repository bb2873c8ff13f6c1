"""Sets of pipes or keys as bits of 64-bit words, many sets at once.

`words` always has shape (words of a set, number of sets); member k of a set (from 0) is
bit k % 64 of word k // 64. A *group* is a run of neighbouring sets, given by where it
starts and how many it holds.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Words = NDArray[np.uint64]
Places = NDArray[np.intp]
_LOWEST = np.array([(1 << bits) - 1 for bits in range(65)], dtype=np.uint64)
"""Words with their lowest 0 to 64 bits set."""


def run_masks(low: NDArray[np.signedinteger], high: NDArray[np.signedinteger]) -> Words:
    """Sets of the members `low` to `high` - 1, each at least 0; empty where high <= low.

    >>> run_masks(np.array([0, 3]), np.array([2, 3])).tolist()
    [[3, 0]]
    """
    number = -(-int(high.max(initial=1)) // 64)
    words = np.empty((max(number, 1), low.size), np.uint64)
    for index, word in enumerate(words):
        # take() itself cuts what lies below or above the word to 0 or 64 bits.
        np.take(_LOWEST, high - 64 * index, mode="clip", out=word)
        word &= ~np.take(_LOWEST, low - 64 * index, mode="clip")
    return words


def count_bits(words: Words) -> NDArray[np.int64]:
    """Number of members of each set, shape (sets,).

    >>> count_bits(np.array([[7, 0], [1, 0]], np.uint64)).tolist()
    [4, 0]
    """
    found = np.zeros(words.shape[1], np.int64)
    for word in words:  # a sum along the short axis would be several times slower
        found += np.bitwise_count(word)
    return found


def groups_of(*keys: NDArray[np.integer]) -> tuple[Places, Places]:
    """Where runs of equal keys start, and how many each holds; keys are arrays of one length.

    >>> [found.tolist() for found in groups_of(np.array([4, 4, 5]), np.array([1, 1, 1]))]
    [[0, 2], [2, 1]]
    """
    new = np.ones(keys[0].size, np.bool_)
    if new.size:
        new[1:] = False
        for key in keys:
            new[1:] |= key[1:] != key[:-1]
    starts = np.flatnonzero(new)
    return starts, np.diff(starts, append=new.size)


def count_in_groups(words: Words, starts: Places, sizes: Places) -> list[Words]:
    """How many sets of each group hold each member: binary digits, lowest first, as sets.

    Member k is in plane p of a group where bit p of its count is set. No group is empty.

    >>> three = np.array([[1, 3, 1]], np.uint64)
    >>> [plane.tolist() for plane in count_in_groups(three, np.array([0]), np.array([3]))]
    [[[3]], [[1]]]
    """
    # Largest groups first, so that those still counting are always the first ones: no scattering.
    largest = int(sizes.max(initial=0))
    # Sixteen-bit numbers are sorted by radix, which is several times faster.
    order = np.argsort((-sizes).astype(np.int16 if largest < 1 << 15 else np.int64), kind="stable")
    begins = starts[order]
    planes = [words.take(begins, axis=1)]
    left = np.searchsorted(-sizes[order], -np.arange(1, largest))
    for place, number in enumerate(left, start=1):
        carry = words.take(begins[:number] + place, axis=1)
        for plane in planes:
            counting = plane[:, :number]
            both = counting & carry
            counting ^= carry
            carry = both
        if carry.any():
            planes.append(np.zeros_like(planes[0]))
            planes[-1][:, :number] = carry
    back = np.empty_like(order)
    back[order] = np.arange(order.size)
    return [plane.take(back, axis=1) for plane in planes]


def union(planes: Sequence[Words]) -> Words:
    """Members of any of these rows of sets (at least one row).

    >>> union([np.array([[1]], np.uint64), np.array([[6]], np.uint64)]).tolist()
    [[7]]
    """
    found = planes[0]
    for plane in planes[1:]:
        found = found | plane
    return found


def holds_any(words: Words) -> NDArray[np.bool_]:
    """Whether each set has a member.

    >>> holds_any(np.array([[0, 0], [0, 4]], np.uint64)).tolist()
    [False, True]
    """
    found: NDArray[np.bool_] = np.bitwise_or.reduce(words, axis=0) != 0
    return found


def deepest(planes: Sequence[Words]) -> NDArray[np.int64]:
    """Greatest count of any member of each group, from the digits of `count_in_groups`.

    >>> deepest([np.array([[3]], np.uint64), np.array([[1]], np.uint64)]).tolist()
    [3]
    """
    left = np.full_like(planes[0], ~np.uint64(0))  # members that may still be the deepest
    found = np.zeros(planes[0].shape[1], np.int64)
    for plane in reversed(planes):
        met = left & plane
        some = holds_any(met)
        found = 2 * found + some
        left = np.where(some, met, left)
    return found


def move_bits(words: Words, places: NDArray[np.signedinteger], number: int) -> Words:
    """Every set with its members moved up by its own `places` (down if negative), in `number` words.

    Members moved below 0 or above the last word are lost.

    >>> move_bits(np.array([[6, 6]], np.uint64), np.array([-1, 64]), 2).tolist()
    [[3, 0], [0, 6]]
    """
    padded = np.zeros((len(words) + 2, words.shape[1]), np.uint64)  # a word of nothing at either end
    padded[1:-1] = words
    whole, part = places.astype(np.int64) >> 6, (places & 63).astype(np.uint64)
    back = np.uint64(63) - part
    column = np.arange(words.shape[1])
    moved = np.empty((number, words.shape[1]), np.uint64)
    for index in range(number):
        here = np.clip(index - whole + 1, 0, len(words) + 1)
        below = np.clip(index - whole, 0, len(words) + 1)
        # Two steps, since a shift by all 64 bits is not defined.
        moved[index] = padded[here, column] << part | padded[below, column] >> np.uint64(1) >> back
    return moved


def union_counts(owner: NDArray[np.integer], words: Words) -> tuple[NDArray[np.integer], NDArray[np.int64]]:
    """Owners (from 0, given in any order) and the number of members of the union of each one's sets.

    >>> [found.tolist() for found in union_counts(np.array([1, 0, 1]), np.array([[3, 1, 6]], np.uint64))]
    [[0, 1], [1, 3]]
    """
    short = owner.max(initial=0) < 1 << 16
    order = np.argsort(owner.astype(np.uint16) if short else owner, kind="stable")
    owner = owner[order]
    starts, _sizes = groups_of(owner)
    if not starts.size:
        return owner, np.zeros(0, np.int64)
    return owner[starts], count_bits(np.bitwise_or.reduceat(words.take(order, axis=1), starts, axis=1))
