"""The worked, invented organ of practice.md §9.5 and its triangulation cases, as corrected there."""

from inventory.organ.explanations import explain
from inventory.organ.nets import Failure
from inventory.organ.schemes import Chest, Scheme, Segment, Stop
from inventory.organ.trials import Extra, Heard, Trial
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank

KEYBOARD = {"i16": "I", "i8p": "I", "i8": "I", "i4": "I", "naz": "I", "ii8s": "II", "ii8": "II", "ii4": "II",
            "p16": "P", "p8": "P"}  # fmt: skip
USERS_OF_A37 = [("i16", 37), ("i8", 25), ("naz", 6), ("ii8", 25), ("ii4", 13), ("p8", 25)]
"""practice.md §9.5: pipe A37 serves these six (CALC)."""


def organ(chests=()) -> Scheme:
    rows = [
        ("i16", (1, 54), "A", 0), ("i8p", (1, 54), "B", 0), ("i8", (1, 54), "A", 12), ("i4", (1, 54), "B", 12),
        ("naz", (1, 47), "A", 31), ("naz", (48, 54), "A", 19), ("ii8s", (1, 12), "A", 12),
        ("ii8s", (13, 54), "C", -12), ("ii8", (1, 54), "A", 12), ("ii4", (1, 54), "A", 24),
        ("p16", (1, 27), "A", 0), ("p8", (1, 27), "A", 12),
    ]  # fmt: skip
    return Scheme(
        (full_keyboard("I", 54), full_keyboard("II", 54), full_keyboard("P", 27, kind="pedal")),
        (full_rank("A", 78, 24), full_rank("B", 66), full_rank("C", 42, 48)),
        tuple(Stop(name, board, name) for name, board in KEYBOARD.items()),
        tuple(Segment(stop, keys, rank, shift=shift) for stop, keys, rank, shift in rows),
        chests=chests,
    )


def one_chest() -> tuple[Chest, ...]:
    return (Chest("c", "slider", tuple(KEYBOARD), None, "chromatic"),)


def trial(stop, key, manner, extra=None, also=()):
    drawn = frozenset({stop, *also})
    return Trial(drawn, frozenset({(KEYBOARD[stop], key)}), (Heard(stop, key, manner),), extra)


def every_single(silent):
    last = {"I": 54, "II": 54, "P": 27}
    return [
        trial(stop, key, "silent" if (stop, key) in silent else "speaks")
        for stop, board in KEYBOARD.items()
        for key in range(1, last[board] + 1)
    ]


def singles_of(found):
    return {
        f for g in found.groups for e in g.explanations for x in e.entries for f in (x.failure, *x.same_as)
    }


def test_all_six_users_dumb_is_the_pipe():
    found = explain(organ(), every_single(set(USERS_OF_A37)))
    assert found.size == 1 and singles_of(found) == {Failure("pipe:A:37", "dead")}


def test_one_user_dumb_is_that_branch():
    found = explain(organ(), every_single({("i8", 25)}))
    assert found.size == 1 and found.count == 1
    assert singles_of(found) == {Failure("groove:i8:25", "dead"), Failure("valve:i8:25", "shut")}


def test_a_key_dumb_on_all_stops_of_its_keyboard_is_the_key_path():
    found = explain(organ(), every_single({("ii8s", 25), ("ii8", 25), ("ii4", 25)}))
    assert found.size == 1
    assert singles_of(found) == {Failure("pallet:II:25", "shut"), Failure("channel:II:25", "dead")}


def test_playing_the_second_keyboard_makes_the_first_murmur_only_through_its_own_flap():
    # II Flute 8 at c1 fills A37; I Flute 8 drawn as the twin, I Principal 8 murmurs at c1.
    heard = trial("ii8", 25, "speaks", (Extra("B", 25, "faint"),), also=("i8", "i8p"))
    alone = trial("i8p", 25, "speaks", ())
    # Named without II: with I's stops drawn and no key, c1 of the Principal is silent.
    still = Trial(frozenset({"i8", "i8p"}), frozenset(), (Heard("i8p", 25, "silent"),), ())
    found = explain(organ(), [heard, alone, still])
    assert found.size == 1 and singles_of(found) == {Failure("valve:i8:25", "open")}


def test_without_the_twin_drawn_a_leaking_flap_cannot_be_the_reason():
    heard = trial("ii8", 25, "speaks", (Extra("B", 25, "faint"),), also=("i8p",))
    assert Failure("valve:i8:25", "open") not in singles_of(explain(organ(), [heard]))


def test_on_a_chromatic_chest_the_neighbour_a_semitone_away_is_a_run():
    heard = trial("i8p", 25, "speaks", (Extra("B", 26, "faint"),))
    still = Trial(frozenset({"i8p"}), frozenset(), (Heard("i8p", 26, "silent"),), ())
    # With three keyboards interleaved, the channels of II and P lie between: three runs in a row.
    assert explain(organ(one_chest()), [heard, still]).size == 3
    alone = organ((Chest("c", "slider", ("i16", "i8p", "i8", "i4", "naz"), None, "chromatic"),))
    near = singles_of(explain(alone, [heard, still]))
    assert near == {
        Failure("channel:I:25|channel:I:26", "runs"),
        Failure("groove:i8p:25|groove:i8p:26", "runs"),
    }
    sides = organ((Chest("c", "slider", ("i16", "i8p", "i8", "i4", "naz"), None, "C and C sharp sides"),))
    tone = trial("i8p", 25, "speaks", (Extra("B", 27, "faint"),))
    still = Trial(frozenset({"i8p"}), frozenset(), (Heard("i8p", 27, "silent"),), ())
    far = singles_of(explain(sides, [tone, still]))
    assert far == {
        Failure("channel:I:25|channel:I:27", "runs"),
        Failure("groove:i8p:25|groove:i8p:27", "runs"),
    }
