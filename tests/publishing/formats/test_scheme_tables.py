"""How a segment becomes a row: by interval where that says the same, pipe by pipe elsewhere."""

from __future__ import annotations

from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop, asked_pipes
from publishing.disclosure.values import SegmentValue
from publishing.formats.scheme_tables import interval_or_pipes


def written(keyboard: Keyboard, rank: Rank, **how) -> tuple[int | None, list[int] | None]:
    scheme = Scheme((keyboard,), (rank,), (Stop("s", "I", "Flute", "8"),), ())
    value = SegmentValue(
        "s", 1, 3, "r", how.get("interval"), how.get("shift"), "", "", "", "", "", how.get("pipes")
    )
    return interval_or_pipes(scheme, value)


PLAIN = Keyboard("I", (36, 37, 38))
SHORT = Keyboard("I", (36, 41, 38))  # C/E short octave: key 2 sounds F, key 3 D


def test_an_interval_stays_an_interval():
    assert written(SHORT, Rank("r", 9, tuple(range(36, 45))), interval=12) == (12, None)


def test_a_shift_becomes_an_interval_where_nothing_has_gaps():
    # Key 1 (36) asks pipe 13, whose note is 36 - 12 + 12 = 36: the key's own pitch on a 16′ rank.
    assert written(PLAIN, Rank("r", 30, tuple(range(24, 54))), shift=12) == (0, None)


def test_a_shift_becomes_a_list_on_a_short_octave():
    assert written(SHORT, Rank("r", 9, tuple(range(36, 45))), shift=1) == (None, [2, 3, 4])


def test_a_shift_becomes_a_list_where_the_ranks_pitch_is_not_known():
    assert written(PLAIN, Rank("r", 9), shift=0) == (None, [1, 2, 3])


def test_a_pipe_below_the_first_is_none():
    assert written(PLAIN, Rank("r", 9), shift=-2) == (None, [0, 0, 1])


def test_an_interval_made_of_a_shift_asks_the_same_pipes():
    rank = Rank("r", 30, tuple(range(30, 60)))
    scheme = Scheme((PLAIN,), (rank,), (Stop("s", "I", "Flute", "8"),), ())
    for shift in range(-3, 30):
        interval, _pipes = written(PLAIN, rank, shift=shift)
        by_shift = list(asked_pipes(scheme, Segment("s", (1, 3), "r", shift=shift)))
        assert list(asked_pipes(scheme, Segment("s", (1, 3), "r", interval=interval))) == by_shift
