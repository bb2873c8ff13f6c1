"""A made-up collection as columns, for measuring: 100,000 instruments in seconds.

The same kinds of stops as in `organ/synthetic.py`, made for all instruments at once and
never as objects.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from inventory.organ.columns import NOT_COUNTED, Columns, arrange
from inventory.organ.errors import SchemeError
from inventory.organ.synthetic import UNIFIED_SHARE

Whole = NDArray[np.int64]

HOSTS = 3
"""The first stops of an instrument, whose ranks the unified ones borrow."""
_KINDS = ("own", "mixture", "foldback", "common bass", "extension", "duplex", "short extension")
_INDEPENDENT = (0.88, 0.07, 0.05, 0.0, 0.0, 0.0, 0.0)
_UNIFIED = (0.45, 0.05, 0.05, 0.1, 0.2, 0.1, 0.05)


def make_columns(instruments: int, seed: int) -> Columns:
    """Make up a collection: about 20 stops of about 56 keys each, one instrument in five unified.

    Some keyboards have short octaves (each rank in six rows) or a missing note; some ranks
    fold back, are mixtures, are too short, or were never counted. Raises SchemeError for a
    seed or number below 0.

    >>> columns = make_columns(50, seed=1)
    >>> 800 < columns.stop_instrument.size < 1200
    True
    """
    if instruments < 0 or seed < 0:
        raise SchemeError(f"{instruments} instruments with seed {seed} cannot be made; give numbers from 0")
    random = np.random.default_rng(seed)
    keys_of = random.choice([49, 51, 54, 56, 58, 61, 61], instruments)
    unified = random.random(instruments) < UNIFIED_SHARE
    layout = random.choice(3, instruments, p=[0.89, 0.05, 0.06])  # whole, one note missing, short octave
    owner = np.repeat(np.arange(instruments), random.integers(14, 27, instruments))
    first_stop = np.searchsorted(owner, np.arange(instruments))
    place = np.arange(owner.size) - first_stop[owner]
    draw = random.random(owner.size)
    edges = np.where(unified[owner, None], np.cumsum(_UNIFIED), np.cumsum(_INDEPENDENT))
    kind = np.minimum((draw[:, None] >= edges).sum(axis=1), len(_KINDS) - 1)
    kind[place < HOSTS] = 0
    keys = np.where((place >= HOSTS) & (random.random(owner.size) < 0.15), 27, keys_of[owner])  # pedal stops
    # Ranks: one for a stop of its own, three for a mixture, none for a borrower.
    own_ranks = np.array([1, 3, 1, 1, 0, 0, 0])[kind]
    rank_owner = np.repeat(owner, own_ranks)
    first_rank = np.cumsum(own_ranks) - own_ranks
    rank_stop = np.repeat(np.arange(owner.size), own_ranks)
    pipes = keys[rank_stop].copy()
    host_rank = (place < HOSTS)[rank_stop]
    pipes[host_rank & unified[rank_owner]] += 12  # an extension of one octave is complete
    pipes[kind[rank_stop] == 2] -= 12
    pipes[random.random(pipes.size) < 0.02] -= 4
    pipes[random.random(pipes.size) < 0.02] = NOT_COUNTED
    host = first_rank[first_stop[owner] + random.integers(0, HOSTS, owner.size)]
    rows = _rows(kind, keys, first_rank, host, random)
    rows = _with_layouts(rows, layout[owner], kind)
    return arrange(instruments, owner, np.ones_like(owner), keys, keys, rank_owner, pipes, *rows)


def _rows(
    kind: Whole, keys: Whole, own: Whole, host: Whole, random: np.random.Generator
) -> tuple[Whole, ...]:
    """Stop, rank, first key, last key, shift of every row, kind by kind."""
    found: list[tuple[Whole, ...]] = []

    def add(stops: Whole, rank: Whole, first: Whole | int, last: Whole, shift: Whole | int) -> None:
        found.append(tuple(np.broadcast_arrays(stops, rank, first, last, shift)))

    own_, mixture, foldback, bass, extension, duplex, short = (np.flatnonzero(kind == k) for k in range(7))
    add(own_, own[own_], 1, keys[own_], 0)
    for more in range(3):
        add(mixture, own[mixture] + more, 1, keys[mixture], 0)
    add(foldback, own[foldback], 1, keys[foldback] - 12, 0)
    add(foldback, own[foldback], keys[foldback] - 11, keys[foldback], -12)
    add(bass, host[bass], 1, np.full(bass.size, 12), 0)
    add(bass, own[bass], 13, keys[bass], 0)
    add(extension, host[extension], 1, keys[extension], random.choice([12, 12, 12, 19, 7], extension.size))
    add(duplex, host[duplex], 1, keys[duplex], 0)
    # Two octaves up, with the top octave folded back onto the same pipes.
    add(short, host[short], 1, keys[short] - 12, 24)
    add(short, host[short], keys[short] - 11, keys[short], 12)
    stop, rank, first, last, shift = (np.concatenate(parts) for parts in zip(*found, strict=True))
    return stop, rank, first, last, shift


def _with_layouts(rows: tuple[Whole, ...], layout: Whole, kind: Whole) -> tuple[Whole, ...]:
    """Split the rows that start at key 1 of a short octave; shift those of a keyboard with a missing note."""
    stop, rank, first, last, shift = rows
    own = np.isin(kind[stop], (0, 1, 2))
    # Missing C sharp: the ranks that others borrow are whole, so keys above the first go one pipe up.
    apart = (layout[stop] == 1) & ~own & (first == 1) & (last > 1)
    short = (layout[stop] == 2) & (first == 1) & (last > 6)
    parts = [tuple(column[~(apart | short)] for column in rows)]
    for chosen, splits in (
        (apart, ((1, 1, 0), (2, None, 1))),
        # The keys E F F# G G# sound C F D G E: pipes 1 4 2 5 3 of a rank in order of pitch.
        (short, ((1, 1, 0), (2, 2, 2), (3, 3, -1), (4, 4, 1), (5, 5, -2), (6, None, 0))),
    ):
        at = np.flatnonzero(chosen)
        for low, high, more in splits:
            end = last[at] if high is None else np.full(at.size, high)
            parts.append((stop[at], rank[at], np.full(at.size, low), end, shift[at] + more))
    return tuple(np.concatenate(column) for column in zip(*parts, strict=True))
