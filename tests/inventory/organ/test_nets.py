"""Nets: parts, ways of failing, neighbours, and what every part feeds."""

from inventory.organ.nets import Failure, feeds, possible_failures, run_name
from inventory.organ.schemes import Chest, Rank, Scheme, Segment, Stop
from inventory.organ.valves_needed import net_of
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


def organ(kind="slider", layout="chromatic", **more):
    """Two pitches of one row and a stop of its own, three keys."""
    return Scheme(
        (full_keyboard("I", 3),),
        (full_rank("R", 5), full_rank("Q", 3)),
        (Stop("A", "I", "Flute"), Stop("B", "I", "Octave"), Stop("D", "I", "String")),
        (
            Segment("A", (1, 3), "R", shift=0),
            Segment("B", (1, 3), "R", shift=2),
            Segment("D", (1, 3), "Q", shift=0),
        ),
        chests=(Chest("c", kind, ("A", "B", "D"), None, layout),),
        **more,
    )


def parts(net):
    return {failure.part for failure in possible_failures(net)}


def test_a_slider_chest_has_the_parts_the_exchange_format_names():
    found = parts(net_of(organ()))
    for part in ("pallet:I:1", "channel:I:1", "slider:A", "groove:A:1", "pipe:R:1", "valve:A:3", "valve:B:1"):
        assert part in found
    # Only pipe 3 is shared (A at key 3, B at key 1), so only two valves are there.
    assert {part for part in found if part.startswith("valve")} == {"valve:A:3", "valve:B:1"}


def test_a_spring_chest_has_a_pallet_for_each_stop_and_key_in_place_of_the_slider():
    found = parts(net_of(organ("spring")))
    assert "pallet:A:1" in found and "pallet:I:1" in found and "slider:A" not in found


def test_a_spring_pallet_is_told_from_a_keyboard_of_the_same_name():
    scheme = Scheme(
        (full_keyboard("P", 1, kind="pedal"),),
        (full_rank("R", 1),),
        (Stop("P", "P", "Bass"),),
        (Segment("P", (1, 1), "R", shift=0),),
        chests=(Chest("c", "spring", ("P",)),),
    )
    assert {"pallet:P:1", "pallet:stop P:1"} <= parts(net_of(scheme))


def test_a_chest_with_cones_has_stop_valves_stop_channels_and_cones():
    found = parts(net_of(organ("stop channel")))
    assert {"stopvalve:A", "stopchannel:A", "cone:A:1", "stopchannel:A|stopchannel:B"} <= found
    assert not any(part.startswith(("pallet", "slider")) for part in found)


def test_a_unit_chest_has_contacts_switches_lines_and_valves_and_no_runs():
    net = net_of(organ("unit"))
    assert {"contact:A:1", "switch:A", "line:R:1", "pipevalve:R:1"} <= parts(net)
    assert not net.beside and not any(failure.fails == "runs" for failure in possible_failures(net))


def test_contacts_fail_shut_or_open_and_never_slightly():
    ways = {f.fails for f in possible_failures(net_of(organ("unit"))) if f.part == "contact:A:1"}
    assert ways == {"shut", "open"}


def test_neighbours_are_channels_and_grooves_along_and_across():
    net = net_of(organ())
    runs = {f.part for f in possible_failures(net) if f.fails == "runs"}
    assert {"channel:I:1|channel:I:2", "groove:A:1|groove:A:2", "groove:A:1|groove:B:1"} <= runs
    assert "channel:I:1|channel:I:3" not in runs and "groove:A:1|groove:D:1" not in runs


def test_without_chests_there_is_one_slider_chest_and_no_runs():
    scheme = organ()
    bare = Scheme(scheme.keyboards, scheme.ranks, scheme.stops, scheme.segments)
    assert not net_of(bare).beside and "slider:A" in parts(net_of(bare))


def test_a_blank_channel_parts_its_neighbours():
    scheme = organ()
    chest = Chest("c", "slider", ("A", "B", "D"), (("I", 1), ("I", 3), ("I", 2)))
    net = net_of(Scheme(scheme.keyboards, scheme.ranks, scheme.stops, scheme.segments, chests=(chest,)))
    assert ("channel:I:1", "channel:I:3") in net.beside and ("channel:I:1", "channel:I:2") not in net.beside


def test_a_duplex_pipe_is_on_channels_of_both_keyboards():
    scheme = Scheme(
        (full_keyboard("I", 2), full_keyboard("II", 2)),
        (full_rank("R", 2),),
        (Stop("A", "I", "Flute"), Stop("B", "II", "Flute")),
        (Segment("A", (1, 2), "R", shift=0), Segment("B", (1, 2), "R", shift=0)),
        chests=(Chest("c", "slider", ("A", "B"), (("I", 1), ("II", 1), ("I", 2), ("II", 2))),),
    )
    net = net_of(scheme)
    assert {"channel:I:1", "channel:II:1"} <= net.spaces
    assert ("channel:I:1", "channel:II:1") in net.beside
    assert feeds(net, "pipe:R:1").keys == {("I", 1), ("II", 1)}


def test_what_parts_feed():
    net = net_of(organ())
    assert feeds(net, "pallet:I:1").stops == {"A", "B", "D"}
    assert feeds(net, "pallet:I:1").pipes == {"pipe:R:1", "pipe:R:3", "pipe:Q:1"}
    assert feeds(net, "slider:B").pipes == {"pipe:R:3", "pipe:R:4", "pipe:R:5"}
    assert feeds(net, "valve:B:1").pipes == {"pipe:R:3"} and feeds(net, "valve:B:1").keys == {("I", 1)}
    assert feeds(net, "pipe:R:3").stops == {"A", "B"}
    assert feeds(net_of(organ("unit")), "line:R:3").keys == {("I", 3), ("I", 1)}
    assert feeds(net, "no such part").pipes == frozenset()


def test_stops_that_do_not_sound_are_not_in_the_net():
    scheme = organ()
    for state in ("prepared", "missing", "silenced"):
        stops = (Stop("A", "I", "Flute", state=state), *scheme.stops[1:])
        net = net_of(Scheme(scheme.keyboards, scheme.ranks, stops, scheme.segments))
        assert ("A", 1) not in net.calls and "slider:A" not in net.gates_of_part


def test_a_missing_pipe_cannot_fail():
    scheme = organ()
    ranks = (Rank("R", 5, scheme.ranks[0].notes, missing=frozenset({1})), scheme.ranks[1])
    net = net_of(Scheme(scheme.keyboards, ranks, scheme.stops, scheme.segments))
    assert Failure("pipe:R:1", "dead") not in set(possible_failures(net))


def test_runs_have_one_name_whichever_side_is_named_first():
    assert run_name("channel:I:10", "channel:I:9") == "channel:I:9|channel:I:10"
