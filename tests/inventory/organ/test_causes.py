"""One cause behind many failures of a kind."""

from inventory.organ.causes import suggest_cause
from inventory.organ.explanations import explain
from inventory.organ.schemes import Chest, Scheme, Segment, Stop
from inventory.organ.trials import Extra, Heard, Trial
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


def one_stop(kind="slider"):
    return Scheme(
        (full_keyboard("I", 12),),
        (full_rank("R", 12), full_rank("S", 12)),
        (Stop("A", "I", "Flute"), Stop("B", "I", "String")),
        (Segment("A", (1, 12), "R", shift=0), Segment("B", (1, 12), "S", shift=0)),
        chests=(Chest("c", kind, ("A", "B"), None, "chromatic"),),
    )


def cause(scheme, trials):
    return suggest_cause(trials, explain(scheme, trials))


def silent(key, stop="A"):
    return Trial(frozenset({stop}), frozenset({("I", key)}), (Heard(stop, key, "silent"),))


def speaking(key, stop="A"):
    return Trial(frozenset({stop}), frozenset({("I", key)}), (Heard(stop, key, "speaks"),))


def test_three_murmuring_pallets_suggest_leather_of_one_age():
    trials = [
        Trial(frozenset({stop}), frozenset(), (), tuple(Extra(rank, key, "faint") for key in (2, 5, 9)))
        for stop, rank in (("A", "R"), ("B", "S"))
    ]
    sentence = cause(one_stop(), trials)
    assert sentence is not None and "leather of one age" in sentence and "consistent with" in sentence


def test_runs_between_channels_suggest_a_cracked_table():
    trials = []
    for key in (2, 5, 9):
        for stop, rank in (("A", "R"), ("B", "S")):
            extra = (Extra(rank, key + 1, "faint"),)
            heard = (Heard(stop, key, "speaks"),)
            trials.append(Trial(frozenset({stop}), frozenset({("I", key)}), heard, extra))
            # And without the neighbour nothing: named, so that a slight pallet is ruled out.
            heard = (Heard(stop, key + 1, "silent"),)
            trials.append(Trial(frozenset({stop}), frozenset(), heard, ()))
    assert "cracked table" in (cause(one_stop(), trials) or "")


def test_dumb_notes_of_one_stop_on_a_unit_chest_suggest_a_cable():
    trials = [silent(key) for key in (2, 5, 9)] + [speaking(key) for key in (1, 3, 4)]
    assert "cable" in (cause(one_stop("unit"), trials) or "")


def test_two_failures_suggest_nothing():
    assert cause(one_stop(), [silent(2), silent(5), speaking(1)]) is None


def test_many_weak_notes_suggest_low_wind():
    trials = [
        Trial(frozenset({"A"}), frozenset({("I", key)}), (Heard("A", key, "weak" if key > 4 else "speaks"),))
        for key in range(1, 13)
    ]
    assert "low wind" in (cause(one_stop(), trials) or "")
