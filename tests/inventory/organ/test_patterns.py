"""Patterns between and within stops, families, roles."""

import pytest

from inventory.organ.calls import CalledPipes
from inventory.organ.families import find_families
from inventory.organ.patterns import SchemePatterns, folded_calls, sharing_roles
from inventory.organ.schemes import Rank, Scheme, Segment, Stop
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank, unit


def scheme_of(stops, ranks, segments, keyboards=None):
    keyboards = keyboards or (full_keyboard("I"), full_keyboard("II"), full_keyboard("P", 30, kind="pedal"))
    return Scheme(
        keyboards,
        tuple(ranks),
        tuple(Stop(i, k, f"Stop {i}", f) for i, k, f in stops),
        tuple(Segment(s, (a, b), r, interval=i) for s, a, b, r, i in segments),
    )


def names(scheme):
    patterns = SchemePatterns(CalledPipes(scheme))
    return [(p.pattern, *p.stops, p.interval) for p in (*patterns.of_pairs, *patterns.of_stops)]


@pytest.mark.parametrize(
    ("keyboard", "footage", "interval", "keys", "pattern"),
    [
        ("I", "8", 0, (1, 12), "common bass"),
        ("I", "8", 0, (25, 61), "partial borrowing"),
        ("I", "8", 0, (13, 24), "partial borrowing"),
        ("I", "8", 0, (1, 61), "partial borrowing"),
        ("I", "4", 12, (1, 61), "octave extension"),
        ("I", "16", -12, (13, 61), "octave extension"),
        ("I", "2", 24, (1, 61), "octave extension"),
        ("I", "2 2/3", 19, (1, 61), "derived mutation"),
        ("II", "8", 0, (1, 61), "duplex"),
        ("P", "8", 0, (1, 30), "transmission"),
        ("P", "4", 12, (1, 30), "transmission with extension"),
        ("II", "4", 12, (1, 61), "transmission with extension"),
        ("II", "2 2/3", 19, (1, 42), "transmission with extension"),
    ],
)
def test_pairs_by_keyboard_and_interval(keyboard, footage, interval, keys, pattern):
    scheme = scheme_of(
        [("a", "I", "8"), ("b", keyboard, footage)],
        [full_rank("R", 97)],
        [("a", 1, 61, "R", 0), ("b", *keys, "R", interval)],
    )
    assert names(scheme) == [(pattern, "a", "b", -interval)]


def test_a_common_bass_names_borrower_and_host_apart_from_the_unified():
    scheme = scheme_of(
        [("host", "I", "8"), ("string", "I", "8"), ("twin", "II", "8")],
        [full_rank("R"), full_rank("Q", 49, 48)],
        [
            ("host", 1, 61, "R", 0),
            ("string", 1, 12, "R", 0),
            ("string", 13, 61, "Q", 0),
            ("twin", 1, 61, "R", 0),
        ],
    )
    roles = sharing_roles(SchemePatterns(CalledPipes(scheme)))
    assert roles["string"] == {"common bass"}
    assert roles["host"] == {"host of a common bass", "unified"}
    assert roles["twin"] == {"unified"}


def test_a_bass_row_of_two_trebles_has_no_host():
    scheme = scheme_of(
        [("a", "I", "8"), ("b", "I", "8")],
        [full_rank("bass", 12), full_rank("R", 49, 48), full_rank("Q", 49, 48)],
        [("a", 1, 12, "bass", 0), ("b", 1, 12, "bass", 0), ("a", 13, 61, "R", 0), ("b", 13, 61, "Q", 0)],
    )
    roles = sharing_roles(SchemePatterns(CalledPipes(scheme)))
    assert roles["a"] == roles["b"] == {"common bass"}
    assert names(scheme) == [("common bass", "a", "b", 0)]


def test_foldback_on_own_pipes_is_no_second_kinship():
    scheme = scheme_of(
        [("a", "I", "8"), ("b", "I", "4")],
        [full_rank("R")],
        [("a", 1, 61, "R", 0), ("b", 1, 49, "R", 12), ("b", 50, 61, "R", 0)],
    )
    assert names(scheme) == [("octave extension", "a", "b", -12), ("foldback on own pipes", "b", None)]
    assert {call.key for call in folded_calls(CalledPipes(scheme), "b")} == set(range(50, 62))


def test_foldback_with_pipes_of_its_own_needs_no_sharing():
    scheme = scheme_of(
        [("m", "I", None)], [full_rank("R", 24, 60), full_rank("Q", 12, 72)],
        [("m", 1, 24, "R", 24), ("m", 25, 36, "Q", 12)],
    )  # fmt: skip
    assert names(scheme) == [("foldback with pipes of its own", "m", None)]
    assert find_families(CalledPipes(scheme)) == ()


def test_foldback_is_seen_where_the_rank_has_no_known_pitch():
    scheme = Scheme(
        (full_keyboard(),), (Rank("R", 61),), (Stop("s", "I", "Octave", "4"),),
        (Segment("s", (1, 49), "R", shift=12), Segment("s", (50, 61), "R", shift=0)),
    )  # fmt: skip
    assert names(scheme) == [("foldback on own pipes", "s", None)]


def test_a_resultant_is_one_stop_at_a_fifth():
    # values.md §1: resultant 32' = 16' + 10 2/3' (Miller 1913; Wedgwood 1905, SEEN).
    scheme = scheme_of(
        [("r", "P", "32")], [full_rank("R", 49, 24)], [("r", 1, 30, "R", -12), ("r", 1, 30, "R", -5)]
    )
    assert names(scheme) == [("resultant", "r", None)]


def test_a_compound_whose_label_is_its_lower_pitch_is_no_resultant():
    scheme = scheme_of(
        [("r", "I", "4")], [full_rank("R", 97)], [("r", 1, 61, "R", 12), ("r", 1, 61, "R", 19)]
    )
    assert names(scheme) == []


def test_polyphone_pipes_are_never_sharing():
    rank = Rank("R", 6, tuple(range(36, 48, 2)), tones={n: (34 + 2 * n, 35 + 2 * n) for n in range(1, 7)})
    scheme = scheme_of([("a", "I", "8")], [rank], [("a", 1, 12, "R", 0)], keyboards=(full_keyboard(keys=12),))
    assert names(scheme) == [("polyphone", "a", None)]
    assert find_families(CalledPipes(scheme)) == ()


def test_families_are_connected_and_name_every_rank_they_use():
    scheme = scheme_of(
        [("a", "I", "8"), ("b", "I", "4"), ("c", "II", "8"), ("d", "II", "4"), ("e", "P", "16")],
        [full_rank("R", 73), full_rank("Q", 73), full_rank("low", 12, 24), full_rank("alone")],
        [("a", 1, 61, "R", 0), ("b", 1, 61, "R", 12), ("c", 1, 61, "Q", 0), ("d", 1, 61, "Q", 12),
         ("e", 1, 12, "low", -12), ("e", 13, 30, "R", -12)],
    )  # fmt: skip
    families = find_families(CalledPipes(scheme))
    assert [(f.stops, f.ranks) for f in families] == [(("a", "b", "e"), ("R", "low")), (("c", "d"), ("Q",))]


def test_a_chain_of_strangers_is_one_family():
    scheme = unit(13, ["8", "4", "2"])
    assert [f.stops for f in find_families(CalledPipes(scheme))] == [("s0", "s1", "s2")]
