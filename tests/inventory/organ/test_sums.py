"""The sums of a scheme: hand-solved, then published values, then properties."""

from collections import Counter, defaultdict

import pytest
from hypothesis import given, settings

from inventory.organ.calls import CalledPipes
from inventory.organ.schemes import Call, Keyboard, Rank, Scheme, Segment, Stop, answered_calls
from inventory.organ.sums import needed_pipes, sum_scheme
from tests.inventory.organ.scheme_cases import (
    SHORT_OCTAVE,
    features_of,
    full_keyboard,
    full_rank,
    random_scheme,
    schemes,
    short_keyboard,
    unit,
)


def needed(keys, footages):
    return needed_pipes(CalledPipes(unit(keys, footages)), "R").needed


def test_sixty_one_keys_at_two_pitches_on_one_row():
    # DESIGN §4, "Checks"; the 73 pipes after Miller 1913 (values.md §1, SEEN).
    sums = sum_scheme(unit(61, ["8", "4"]))
    assert (sums.calls, sums.pipes_called, sums.pipes_shared, sums.pipes_own) == (122, 73, 49, 24)
    assert (sums.depth, sums.pipes_repeated, sums.pipes_uncalled, sums.pipes_recorded) == (2, 0, 0, 73)
    assert sums.economy == pytest.approx(1 - 73 / 122)
    eight, four = sums.stops
    assert (eight.keys, eight.shared, eight.own, eight.silent) == (61, 49, 12, 0)
    assert (four.keys, four.shared, four.own, four.silent) == (61, 49, 12, 0)
    assert eight.partners == (("s1", -12, 49),) and four.partners == (("s0", 12, 49),)
    assert eight.sharing == "part"


def test_five_c_keys_need_six_c_pipes():
    # Common practice: the lowest only at 8′, the highest only at 4′, four at both.
    called = CalledPipes(unit(61, ["8", "4"]))
    c_pipes = {pipe: asks for (_, pipe), asks in called.answered.items() if pipe % 12 == 1 and pipe <= 61}
    c_keys = set(range(1, 62, 12)) - {61}
    called_by = defaultdict(set)
    for call in called.calls:
        if call.key in c_keys:
            called_by[call.pipe].add(call.stop)
    assert len(c_keys) == 5 and len(called_by) == 6
    assert called_by[1] == {"s0"} and called_by[61] == {"s1"}
    assert sum(stops == {"s0", "s1"} for stops in called_by.values()) == 4
    assert set(c_pipes) == set(called_by)


@pytest.mark.parametrize(
    ("keys", "footages", "pipes"),
    [
        (61, ["8", "4"], 73),  # Miller 1913, octave couplers (SEEN)
        (54, ["8", "4"], 66),  # Dickson 1882: 54 notes, 66 grooves (SEEN)
        (56, ["32", "16", "8", "4", "2", "1"], 116),  # Audsley 1905 after Grove, "Extension organ" (SEEN-2nd)
        (61, ["16", "8", "4", "2"], 97),  # encyclopaedia, "Tibia Clausa" (SEEN)
        (61, ["16", "8", "4"], 85),  # DERIVED, values.md §1
        (61, ["16", "8", "4", "2", "1"], 109),
        (61, ["32", "16", "8", "4", "2", "1"], 121),
        (61, ["16", "8", "4", "2", "1 3/5"], 101),  # the trap's full compass (DERIVED)
        (61, ["16", "8", "4", "2", "5 1/3", "2 2/3"], 97),  # both quints fit (DERIVED)
        (32, ["16", "8", "4"], 56),
        (30, ["16", "8", "4"], 54),
        (32, ["16", "8"], 44),
        (30, ["16", "8"], 42),
        # Praetorius 1618/19: 2', 1 1/3', 1' on one row, n + 12 (Grove, SEEN)
        (45, ["2", "1 1/3", "1"], 57),
        # practice.md §2.3 table [CALC]
        (51, ["16", "8", "4", "2"], 87),
        (27, ["16", "10 2/3"], 34),
        (30, ["32", "16", "8"], 54),
    ],
)
def test_the_extension_rule(keys, footages, pipes):
    assert needed(keys, footages) == pipes
    assert sum_scheme(unit(keys, footages)).pipes_called == pipes


# values.md §1, "54: 66 78 90 102 - 56: 68 80 92 104 - 58: 70 82 94 106" (DERIVED).
@pytest.mark.parametrize(
    ("keys", "pipes"), [(54, [66, 78, 90, 102]), (56, [68, 80, 92, 104]), (58, [70, 82, 94, 106])]
)
def test_octaves_added_to_shorter_compasses(keys, pipes):
    pitches = ["8", "4", "2", "1", "1/2"]
    assert [needed(keys, pitches[: n + 2]) for n in range(4)] == pipes


# values.md §1, "8' + mutation only, 61 / 58 / 56 / 54 keys" (DERIVED).
@pytest.mark.parametrize(
    ("footage", "pipes"),
    [
        ("2 2/3", [80, 77, 75, 73]),
        ("2", [85, 82, 80, 78]),
        ("1 3/5", [89, 86, 84, 82]),
        ("1 1/3", [92, 89, 87, 85]),
        ("1", [97, 94, 92, 90]),
    ],
)
def test_one_mutation_from_an_eight_foot_row(footage, pipes):
    # "n + (highest − lowest)" holds for whole compasses; 8′ + 1′ leave a middle both reach, no gap.
    assert [needed(keys, ["8", footage]) for keys in (61, 58, 56, 54)] == pipes


def test_ninety_seven_pipes_also_drawn_as_a_tierce_leave_four_silent_keys():
    # values.md §1, the trap (DERIVED).
    scheme = unit(61, ["16", "8", "4", "2", "1 3/5"], pipes=97)
    sums = sum_scheme(scheme)
    assert (sums.calls, sums.pipes_shared) == (301, 85)
    assert sums.stops[4].silent == 4
    need = needed_pipes(CalledPipes(scheme), "R")
    assert (need.needed, need.above, need.below) == (101, 4, 0)


def test_three_rows_of_a_small_unit_organ():
    # values.md §1: 97 + 73 + 73 = 243 (DERIVED).
    assert needed(61, ["16", "8", "4", "2"]) + 2 * needed(61, ["8", "4"]) == 243


def test_a_manual_row_played_from_the_pedal_needs_twelve_more_pipes():
    # Dickson 1882: "only twelve large pipes will be necessary" (SEEN); 73 and pedal reaching pipe 32 (DERIVED).
    scheme = Scheme(
        (full_keyboard("I"), full_keyboard("P", 32, kind="pedal")),
        (full_rank("R", 73, 24),),
        (Stop("m", "I", "Flute", "8"), Stop("p", "P", "Subbass", "16")),
        (Segment("m", (1, 61), "R", interval=0), Segment("p", (1, 32), "R", interval=-12)),
    )
    called = CalledPipes(scheme)
    assert needed_pipes(called, "R").needed == 73
    assert max(c.pipe for c in called.calls if c.stop == "p") == 32
    assert (
        sum(len({a.stop for a in asks}) == 1 and asks[0].stop == "p" for asks in called.answered.values())
        == 12
    )


def test_a_common_bass_saves_twelve_pipes():
    # Dickson 1882, ch. IV: five stops of 54 with one shared bass octave, 12 fewer pipes (SEEN).
    stops = tuple(Stop(f"s{n}", "I", f"Stop {n}", "8") for n in range(5))
    ranks = (*(full_rank(f"R{n}", 54) for n in range(4)), full_rank("R4", 42, 48))
    segments = [Segment(f"s{n}", (1, 54), f"R{n}", shift=0) for n in range(4)]
    segments += [Segment("s4", (1, 12), "R0", shift=0), Segment("s4", (13, 54), "R4", shift=-12)]
    sums = sum_scheme(Scheme((full_keyboard(keys=54),), ranks, stops, tuple(segments)))
    assert sums.calls == 5 * 54 and sums.pipes_called == 5 * 54 - 12 and sums.pipes_shared == 12
    assert sums.stops[4].sharing == "part" and sums.stops[1].sharing == "independent"


def test_a_short_octave_at_two_pitches_needs_57_pipes():
    # values.md §2: C/E–c³ is 45 keys (DERIVED); issue 2: one row at 8′+4′ needs 57.
    keyboard = short_keyboard()
    assert keyboard.keys == 45 and keyboard.notes[:8] == SHORT_OCTAVE
    notes = tuple(sorted({note + add for note in keyboard.notes for add in (0, 12)}))
    scheme = Scheme(
        (keyboard,),
        (Rank("R", len(notes), notes),),
        (Stop("a", "I", "Principal", "8"), Stop("b", "I", "Octave", "4")),
        (Segment("a", (1, 45), "R", interval=0), Segment("b", (1, 45), "R", interval=12)),
    )
    sums = sum_scheme(scheme)
    assert needed_pipes(CalledPipes(scheme), "R").needed == 57 == len(notes) == sums.pipes_called
    assert sums.stops[0].partners == (("b", -12, 33),)
    # practice.md, corrections: 16′ on C/E adds 12 pipes, 8 of them in the 16′ octave.
    low = sorted({note - 12 for note in keyboard.notes} - set(keyboard.notes))
    assert len(low) == 12 and sum(note < 36 for note in low) == 8


def test_ten_knobs_on_three_rows():
    # practice.md §9.5 [CALC]: 186 pipes, 486 stop-keys, ratio 2.61, 66 pipes of one stop, at most 6 users.
    from pathlib import Path

    from inventory.organ.scheme_files import read_scheme

    path = Path(__file__).parent / "schemes" / "ten-knobs-three-rows.json"
    scheme, notes = read_scheme(path.read_bytes())
    sums = sum_scheme(scheme)
    assert notes == []
    assert (sums.pipes_recorded, sums.pipes_called, sums.calls) == (186, 186, 486)
    assert round(sums.calls / sums.pipes_called, 2) == 2.61
    assert (sums.pipes_own, sums.depth, sums.pipes_uncalled, sums.pipes_repeated) == (66, 6, 0, 7)
    users = {(c.stop, c.key) for c in answered_calls(scheme) if (c.rank, c.pipe) == ("A", 37)}
    assert users == {("I.flute16", 37), ("I.flute8", 25), ("I.nazard", 6), ("II.flute8", 25), ("II.flute4", 13),
                     ("P.flute8", 25)}  # fmt: skip


def test_a_repeated_pipe_is_one_stop_at_two_keys():
    scheme = Scheme(
        (full_keyboard(keys=14),),
        (full_rank("R", 12, 48),),
        (Stop("s", "I", "Octave", "4"),),
        (Segment("s", (1, 12), "R", interval=12), Segment("s", (13, 14), "R", interval=0)),
    )
    sums = sum_scheme(scheme)
    assert (sums.calls, sums.pipes_called, sums.pipes_repeated, sums.pipes_own, sums.depth) == (
        14,
        12,
        2,
        12,
        1,
    )


def test_a_polyphone_pipe_is_neither_repeated_nor_a_partner_across_its_notes():
    # practice.md §2.2: six stopped pipes for twelve notes, each speaking two adjacent notes.
    keyboard = full_keyboard(keys=12)
    rank = Rank("R", 6, tuple(range(36, 48, 2)), tones={n: (34 + 2 * n, 35 + 2 * n) for n in range(1, 7)})
    stops = (Stop("a", "I", "Subbass", "8"), Stop("b", "I", "Echo", "8"))
    segments = tuple(Segment(s.id, (1, 12), "R", interval=0) for s in stops)
    sums = sum_scheme(Scheme((keyboard,), (rank,), stops, segments))
    assert (sums.calls, sums.pipes_called, sums.pipes_shared, sums.pipes_repeated) == (24, 6, 6, 0)
    assert sums.stops[0].partners == (("b", 0, 12),)


def test_pipes_reached_only_by_couplers_are_not_uncalled():
    keyboard = Keyboard("I", tuple(range(36, 97)), reach=12)
    scheme = Scheme(
        (keyboard,),
        (full_rank("R", 73),),
        (Stop("s", "I", "Flute", "8"),),
        (Segment("s", (1, 73), "R", shift=0),),
    )
    sums = sum_scheme(scheme)
    assert (sums.calls, sums.pipes_called, sums.pipes_uncalled, sums.stops[0].keys) == (61, 61, 0, 61)
    assert needed_pipes(CalledPipes(scheme), "R").needed == 73


def test_uncounted_ranks_make_the_record_unknown_not_zero():
    scheme = Scheme(
        (full_keyboard(),), (Rank("R", None), full_rank("Q", 5)), (Stop("s", "I", "Flute", "8"),),
        (Segment("s", (1, 61), "R", shift=0),),
    )  # fmt: skip
    sums = sum_scheme(scheme)
    assert sums.pipes_recorded is None and sums.pipes_called == 61 and sums.pipes_uncalled == 5
    assert sum_scheme(Scheme((), (), (), ())).economy is None


def test_a_prepared_stop_calls_nothing_and_missing_pipes_are_still_called():
    scheme = Scheme(
        (full_keyboard(keys=2),),
        (Rank("R", 2, (36, 37), missing=frozenset({1})),),
        (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "8", state="prepared")),
        (Segment("a", (1, 2), "R", shift=0), Segment("b", (1, 2), "R", shift=0)),
    )
    sums = sum_scheme(scheme)
    assert (sums.calls, sums.pipes_shared, sums.stops[1].silent) == (2, 0, 2)


@settings(max_examples=150, deadline=None)
@given(schemes())
def test_what_holds_of_every_scheme(scheme):
    called = CalledPipes(scheme)
    sums = sum_scheme(scheme, called)
    calls = answered_calls(scheme)
    assert called.calls == calls and sums.calls == len(calls)
    by_pipe = defaultdict(set)
    for call in calls:
        by_pipe[call.rank, call.pipe].add((call.stop, call.key))
    assert sums.calls == sum(len(pairs) for pairs in by_pipe.values())
    assert sums.pipes_called == len(by_pipe) <= sums.calls or sums.calls == 0
    assert sums.pipes_shared == sum(len({s for s, _ in pairs}) > 1 for pairs in by_pipe.values())
    assert sums.pipes_own + sums.pipes_shared == sums.pipes_called
    assert sums.depth <= len(scheme.stops)
    for stop in sums.stops:
        assert (
            stop.own + stop.shared + stop.silent == stop.keys and min(stop.own, stop.shared, stop.silent) >= 0
        )
    joined = {(s.stop, p.stop, p.interval) for s in sums.stops for p in s.partners}
    assert joined == {(b, a, -interval) for a, b, interval in joined}


def test_the_made_up_schemes_are_ugly_enough():
    import random

    shares = Counter()
    for seed in range(300):
        shares.update(features_of(random_scheme(random.Random(seed))))
    for feature in ("foldback", "gaps", "mixture", "short octave", "outside rank"):
        assert shares[feature] >= 30, shares


def test_two_segments_asking_one_pipe_are_one_call():
    scheme = Scheme(
        (full_keyboard(keys=1),), (full_rank("R", 1),), (Stop("s", "I", "Flute", "8"),),
        (Segment("s", (1, 1), "R", shift=0), Segment("s", (1, 1), "R", interval=0)),
    )  # fmt: skip
    assert CalledPipes(scheme).calls == {Call("s", 1, "R", 1)}


def test_four_rows_behind_thirteen_knobs():
    # values.md §1: stoplist printed in Miller 1913, compass 61/32 (SEEN); 73 + 85 + 73 + 61 = 292 (DERIVED).
    # Row, its knobs as (keyboard, footage, interval), its lowest note.
    rows = {
        "diapason": ([("P", "16", -12), ("I", "8", 0)], 24, 73),
        "flute": (
            [
                ("P", "16", -12),
                ("I", "16", -12),
                ("I", "8", 0),
                ("I", "4", 12),
                ("II", "8", 0),
                ("II", "4", 12),
            ],
            24,
            85,
        ),
        "gamba": ([("I", "8", 0), ("I", "4", 12), ("II", "8", 0)], 36, 73),
        "horn": ([("I", "8", 0), ("II", "8", 0)], 36, 61),
    }
    keyboards = (full_keyboard("I"), full_keyboard("II"), full_keyboard("P", 32, kind="pedal"))
    stops, segments = [], []
    for row, (knobs, _low, _pipes) in rows.items():
        for n, (keyboard, footage, interval) in enumerate(knobs):
            stops.append(Stop(f"{row}{n}", keyboard, row, footage))
            segments.append(Segment(f"{row}{n}", (1, 32 if keyboard == "P" else 61), row, interval=interval))
    ranks = tuple(full_rank(row, pipes, low) for row, (_knobs, low, pipes) in rows.items())
    sums = sum_scheme(Scheme(keyboards, ranks, tuple(stops), tuple(segments)))
    assert len(stops) == 13 and sums.pipes_called == sums.pipes_recorded == 292
    # Every knob counted as a row of its own: the wrong answer.
    assert sums.calls == 11 * 61 + 2 * 32 == 735
