"""Signatures: 12 pairs that must be the same, 20 that must differ, each with its reason."""

import random
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from inventory.organ.calls import CalledPipes
from inventory.organ.families import find_families
from inventory.organ.schemes import Chest, Keyboard, Rank, Scheme, Segment, Stop
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank, random_scheme, short_keyboard, unit


def sign(scheme):
    """Signatures of all families, in no order."""
    found = [family.signature for family in find_families(CalledPipes(scheme))]
    return {tier: sorted(getattr(s, tier) for s in found) for tier in ("idea", "execution", "size")}


def build(stops, ranks, segments, keyboards=None, **more):
    """A scheme from short rows: stops (id, keyboard, footage), segments (stop, first, last, rank, interval)."""
    keyboards = keyboards or (full_keyboard("I"), full_keyboard("II"), full_keyboard("P", 30, kind="pedal"))
    made = tuple(Segment(s, (a, b), r, interval=i, device=(d or [None])[0]) for s, a, b, r, i, *d in segments)
    return Scheme(
        keyboards, tuple(ranks), tuple(Stop(i, k, f"Stop {i}", f) for i, k, f in stops), made, **more
    )


EXTENSION = build(
    [("a", "I", "8"), ("b", "I", "4")], [full_rank("R", 73)], [("a", 1, 61, "R", 0), ("b", 1, 61, "R", 12)]
)
FOLDBACK = build(
    [("a", "I", "8"), ("b", "I", "4")],
    [full_rank("R")],
    [("a", 1, 61, "R", 0), ("b", 1, 49, "R", 12), ("b", 50, 61, "R", 0)],
)
SILENT_TOP = build(
    [("a", "I", "8"), ("b", "I", "4")], [full_rank("R")], [("a", 1, 61, "R", 0), ("b", 1, 61, "R", 12)]
)
COMMON_BASS = build(
    [("a", "I", "8"), ("b", "I", "8")],
    [full_rank("R"), full_rank("Q", 49, 48)],
    [("a", 1, 61, "R", 0), ("b", 1, 12, "R", 0), ("b", 13, 61, "Q", 0)],
)
DUPLEX = build(
    [("a", "I", "8"), ("b", "II", "8")], [full_rank("R")], [("a", 1, 61, "R", 0), ("b", 1, 61, "R", 0)]
)
TRANSMISSION = build(
    [("a", "I", "8"), ("b", "P", "8")], [full_rank("R")], [("a", 1, 61, "R", 0), ("b", 1, 30, "R", 0)]
)
TWELVE_SMALL = build(
    [("a", "I", "16"), ("b", "I", "8")],
    [full_rank("R"), full_rank("big", 12, 24)],
    [("b", 1, 61, "R", 0), ("a", 1, 12, "big", -12), ("a", 13, 61, "R", -12)],
)


def with_devices(scheme, device):
    return replace(scheme, segments=tuple(replace(s, device=device) for s in scheme.segments))


def with_stops(scheme, **changes):
    return replace(scheme, stops=tuple(replace(s, **changes) for s in scheme.stops))


def renamed(scheme, rng):
    """The same scheme with new ids and every list shuffled."""

    def mix(values):
        values = list(values)
        rng.shuffle(values)
        return tuple(values)

    new = {
        x.id: f"n{rng.randrange(10**9)}.{i}"
        for i, x in enumerate((*scheme.keyboards, *scheme.ranks, *scheme.stops))
    }
    return Scheme(
        mix(replace(k, id=new[k.id]) for k in scheme.keyboards),
        mix(replace(r, id=new[r.id]) for r in scheme.ranks),
        mix(
            replace(s, id=new[s.id], keyboard=new[s.keyboard], name=f"x{rng.random()}") for s in scheme.stops
        ),
        mix(replace(s, stop=new[s.stop], rank=new[s.rank]) for s in scheme.segments),
        chests=tuple(replace(c, stops=c.stops and mix(new[s] for s in c.stops)) for c in scheme.chests),
    )


SAME = [
    ("ids and order are nothing", "size", EXTENSION, renamed(EXTENSION, random.Random(1))),
    ("a foot mark is nothing", "size", EXTENSION,
     replace(EXTENSION, stops=(replace(EXTENSION.stops[0], footage="8′"), EXTENSION.stops[1]))),
    ("names of stops are language, not idea", "size", EXTENSION, with_stops(EXTENSION, name="Gedackt")),
    ("shift is shorthand for interval", "size", EXTENSION,
     replace(EXTENSION, segments=(Segment("a", (1, 61), "R", shift=0), Segment("b", (1, 61), "R", shift=12)))),
    ("a list of pipes says the same", "size", EXTENSION,
     replace(EXTENSION, segments=(Segment("a", (1, 61), "R", pipes=tuple(range(1, 62))), EXTENSION.segments[1]))),
    ("a segment told in two parts", "size", EXTENSION,
     replace(EXTENSION, segments=(Segment("a", (1, 20), "R", interval=0), Segment("a", (21, 61), "R", interval=0),
                                  EXTENSION.segments[1]))),
    ("a compass of 54 is the same idea", "execution", EXTENSION, unit(54, ["8", "4"])),
    ("a device is no idea", "idea", EXTENSION, with_devices(EXTENSION, "flap-valves")),
    ("twelve basses in a row of their own or in one row", "idea", TWELVE_SMALL, unit(61, ["16", "8"])),
    ("a short octave is compass, not idea", "idea", EXTENSION,
     build([("a", "I", "8"), ("b", "I", "4")], [Rank("R", None, low=36)], [("a", 1, 45, "R", 0), ("b", 1, 45, "R", 12)],
           keyboards=(short_keyboard(),))),
    ("evidence is about us, not the organ", "size", EXTENSION,
     replace(EXTENSION, segments=tuple(replace(s, evidence="seen") for s in EXTENSION.segments))),
    ("an independent stop beside the family", "size", EXTENSION,
     replace(EXTENSION, ranks=(*EXTENSION.ranks, full_rank("Q")),
             stops=(*EXTENSION.stops, Stop("z", "II", "Gamba", "8")),
             segments=(*EXTENSION.segments, Segment("z", (1, 61), "Q", interval=0)))),
]  # fmt: skip

TREBLE_BORROWED = build(
    [("a", "I", "8"), ("b", "I", "8")],
    [full_rank("R"), full_rank("Q", 24)],
    [("a", 1, 61, "R", 0), ("b", 1, 24, "Q", 0), ("b", 25, 61, "R", 0)],
)
FOLD_OWN_ROW = build(
    [("a", "I", "8"), ("b", "I", "4")],
    [full_rank("R"), full_rank("top", 12, 85)],
    [("a", 1, 61, "R", 0), ("b", 1, 49, "R", 12), ("b", 50, 61, "top", 0)],
)
LIMITED = replace(SILENT_TOP, stops=(SILENT_TOP.stops[0], replace(SILENT_TOP.stops[1], keys=(1, 49))),
                  segments=(SILENT_TOP.segments[0], replace(SILENT_TOP.segments[1], keys=(1, 49))))  # fmt: skip
TWO_BY_TWO = [("a", 1, 61, "R", 0), ("c", 1, 61, "R", 0), ("b", 1, 61, "Q", 0), ("d", 1, 61, "Q", 0)]
PAIRED = build(
    [("a", "I", "8"), ("b", "I", "8"), ("c", "II", "8"), ("d", "II", "8"), ("e", "P", "8")],
    [full_rank("R"), full_rank("Q")],
    [*TWO_BY_TWO, ("e", 1, 30, "R", 0), ("e", 1, 30, "Q", 0)],
)
CROSSED = build(
    [("a", "I", "8"), ("b", "I", "8"), ("c", "II", "8"), ("d", "I", "8"), ("e", "P", "8")],
    [full_rank("R"), full_rank("Q")],
    [*TWO_BY_TWO, ("e", 1, 30, "R", 0), ("e", 1, 30, "Q", 0)],
)
RESULTANT = build(
    [("a", "P", "16"), ("b", "P", "32")], [full_rank("R", 49, 24)],
    [("a", 1, 30, "R", -12), ("b", 1, 30, "R", -12), ("b", 1, 30, "R", -5)],
)  # fmt: skip
SAME_ROW_TWICE = build(
    [("a", "P", "16"), ("b", "P", "32")], [full_rank("R", 49, 24)],
    [("a", 1, 30, "R", -12), ("b", 1, 30, "R", -12)],
)  # fmt: skip

DIFFERENT = [
    ("folding back is not adding twelve pipes", "idea", EXTENSION, FOLDBACK),
    ("a silent top is not a complete treble", "idea", EXTENSION, SILENT_TOP),
    ("a silent top is not a folded one", "idea", SILENT_TOP, FOLDBACK),
    ("folding back on pipes of its own is not folding on the row", "idea", FOLDBACK, FOLD_OWN_ROW),
    ("a stop that ends by design is not one whose top is silent", "idea", SILENT_TOP, LIMITED),
    ("a common bass is not a duplex", "idea", COMMON_BASS, DUPLEX),
    ("a borrowed treble is not a common bass", "idea", COMMON_BASS, TREBLE_BORROWED),
    ("duplex is not transmission", "idea", DUPLEX, TRANSMISSION),
    ("another footage", "idea", unit(61, ["8", "4"]), unit(61, ["16", "8"])),
    ("a third pitch", "idea", unit(61, ["8", "4"]), unit(61, ["8", "4", "2"])),
    ("a mutation is not an octave", "idea", unit(61, ["8", "2 2/3"]), unit(61, ["8", "4"])),
    ("tierce and quint differ", "idea", unit(61, ["8", "1 3/5"]), unit(61, ["8", "2 2/3"])),
    ("extension on one keyboard or across two", "idea", EXTENSION,
     replace(EXTENSION, stops=(EXTENSION.stops[0], replace(EXTENSION.stops[1], keyboard="II")))),
    ("manual or pedal", "idea", EXTENSION,
     replace(EXTENSION, keyboards=(full_keyboard("I", kind="pedal"), *EXTENSION.keyboards[1:]))),
    ("flaps and relays", "execution", with_devices(EXTENSION, "flap-valves"), with_devices(EXTENSION, "stop-relay")),
    ("a device nobody saw is not a device seen", "execution", EXTENSION, with_devices(EXTENSION, "flap-valves")),
    ("54 keys and 61", "size", unit(54, ["8", "4"]), unit(61, ["8", "4"])),
    ("a longer row than is asked", "size", EXTENSION, replace(EXTENSION, ranks=(full_rank("R", 85),))),
    ("two duplexes are not a duplex and a borrowing", "idea", PAIRED, CROSSED),
    ("a resultant is not the row under another name", "idea", RESULTANT, SAME_ROW_TWICE),
]  # fmt: skip


def test_there_are_twelve_and_twenty():
    assert len(SAME) == 12 and len(DIFFERENT) == 20


@pytest.mark.parametrize(("reason", "tier", "one", "other"), SAME, ids=[row[0] for row in SAME])
def test_pairs_that_have_one_signature(reason, tier, one, other):
    assert sign(one)["idea"]
    for below in ("idea", "execution", "size"):
        assert sign(one)[below] == sign(other)[below], reason
        if below == tier:
            break


@pytest.mark.parametrize(("reason", "tier", "one", "other"), DIFFERENT, ids=[row[0] for row in DIFFERENT])
def test_pairs_that_differ(reason, tier, one, other):
    assert sign(one)["idea"] and sign(other)["idea"]
    tiers = ("idea", "execution", "size")
    for place, name in enumerate(tiers):
        # Each tier holds the one before: from the first difference on, all differ.
        assert (sign(one)[name] != sign(other)[name]) == (place >= tiers.index(tier)), (reason, name)


def test_who_is_joined_to_whom_shows_where_descriptions_are_alike():
    # Six like manual stops, five duplexes each: in a chain or about one host. Same list, other graph.
    ring = [("a", "b"), ("b", "c"), ("c", "d"), ("d", "e"), ("e", "f"), ("f", "a")]
    triangles = [("a", "b"), ("b", "c"), ("c", "a"), ("d", "e"), ("e", "f"), ("f", "d")]

    def joined(pairs):
        stops = [(name, f"K{name}", "8") for name in "abcdef"]
        keyboards = tuple(Keyboard(f"K{name}", tuple(range(36, 48))) for name in "abcdef")
        ranks = [full_rank(f"R{n}", 12) for n in range(len(pairs))]
        segments = [(stop, 1, 12, f"R{n}", 0) for n, pair in enumerate(pairs) for stop in pair]
        return build(stops, ranks, segments, keyboards=keyboards)

    assert len(sign(joined(ring))["idea"]) == 1 and len(sign(joined(triangles))["idea"]) == 2
    path = joined([("a", "b"), ("b", "c"), ("c", "d"), ("d", "e"), ("e", "f")])
    star = joined([("a", "b"), ("a", "c"), ("a", "d"), ("a", "e"), ("a", "f")])
    assert sign(path)["idea"] != sign(star)["idea"]


@settings(max_examples=120, deadline=None)
@given(st.integers(0, 10**6))
@example(21683)  # a polyphone pipe at one key of one stop and at two keys of the other
def test_new_ids_and_shuffled_lists_change_no_signature(seed):
    rng = random.Random(seed)
    scheme = random_scheme(rng)
    scheme = replace(scheme, controls=(), couplers=())
    assert sign(scheme) == sign(renamed(scheme, rng))


def test_a_signature_is_the_same_in_every_process():
    code = (
        "from tests.inventory.organ.scheme_cases import unit;"
        "from inventory.organ.families import find_families; from inventory.organ.calls import CalledPipes;"
        "print(find_families(CalledPipes(unit(61, ['8', '8', '4', '4'])))[0].signature)"
    )
    root = Path(__file__).resolve().parents[3]
    outputs = {
        subprocess.run(
            [sys.executable, "-c", code], cwd=root, env={"PYTHONHASHSEED": seed, "PYTHONPATH": str(root)},
            capture_output=True, text=True, check=True,
        ).stdout
        for seed in ("1", "2")
    }  # fmt: skip
    assert len(outputs) == 1 and "form" in outputs.pop()


def test_the_idea_reads_as_a_sentence():
    assert sign(EXTENSION)["idea"] == ["manual 8′; manual 4′ | manual 8′ → manual 4′: octave extension -12"]


def test_chests_do_not_enter_a_signature():
    chested = replace(EXTENSION, chests=(Chest("c", "slider", ("a", "b")),))
    assert sign(chested) == sign(EXTENSION)


def test_a_stop_that_ends_early_by_design_is_not_a_complete_one():
    assert sign(LIMITED)["idea"] != sign(EXTENSION)["idea"]
    assert "ends early" in sign(LIMITED)["idea"][0]
