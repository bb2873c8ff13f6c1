"""Non-return valves: by hand, and by filling stripped nets in everything a player can do."""

from __future__ import annotations

import random

import pytest

from inventory.organ.schemes import Chest, Control, Coupler, Keyboard, Rank, Scheme, Segment, Stop
from inventory.organ.valves_needed import draws_with, net_of, schedule_valves
from tests.inventory.organ.fault_cases import random_case
from tests.inventory.organ.fault_enumerator import calls_of, gates_of, levels_of, states_of
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank, random_scheme, unit


def two_stops(kind: str = "slider", boards: tuple[str, str] = ("I", "I"), shift: int = 0, **more) -> Scheme:
    keyboards = tuple(full_keyboard(name, 3) for name in dict.fromkeys(boards))
    stops = (Stop("a", boards[0], "Flute"), Stop("b", boards[1], "Flute"))
    segments = (Segment("a", (1, 3), "R", shift=0), Segment("b", (1, 3), "R", shift=shift))
    return Scheme(
        keyboards, (full_rank("R", 4),), stops, segments, chests=(Chest("c", kind, ("a", "b")),), **more
    )


def needed(scheme: Scheme) -> set[tuple[str, int, int]]:
    return {(call.stop, call.key, call.pipe) for call in schedule_valves(scheme).needed}


def test_a_common_bass_on_a_slider_chest_needs_no_valve():
    assert needed(two_stops()) == set()


def test_a_common_bass_on_stop_channels_needs_valves_since_it_joins_two_channels():
    assert needed(two_stops("stop channel")) == {(s, k, k) for s in "ab" for k in (1, 2, 3)}


def test_borrowing_between_manuals_needs_two_flaps_a_pipe():
    # Dickson 1882, on borrowing between manuals: two non-return flaps per shared pipe (values.md §1, SEEN).
    assert len(needed(two_stops(boards=("I", "II")))) == 2 * 3


def test_an_octave_extension_needs_valves_only_where_the_pipe_is_shared():
    schedule = schedule_valves(unit(61, ["8", "4"]))
    # values.md §1: 61 keys at 8' + 4' share 49 pipes; two branches each.
    assert len(schedule.needed) == 2 * 49 and schedule.recorded == ()


def test_an_alternating_slider_needs_none_whether_said_by_its_control_or_by_its_device():
    knob = (Control("knob", (("a",), (), ("b",))),)
    assert needed(two_stops(boards=("I", "II"), controls=knob)) == set()
    scheme = two_stops(boards=("I", "II"))
    segments = tuple(
        Segment(s.stop, s.keys, s.rank, s.shift, device="alternating-slider") for s in scheme.segments
    )
    assert (
        needed(Scheme(scheme.keyboards, scheme.ranks, scheme.stops, segments, chests=scheme.chests)) == set()
    )


def test_a_knob_does_not_help_on_stop_channels_where_the_idle_stop_is_not_drawn():
    knob = (Control("knob", (("a",), ("b",))),)
    assert len(needed(two_stops("stop channel", controls=knob))) == 6


def test_stops_drawn_by_one_position_play_each_others_stop_channel():
    assert needed(two_stops("stop channel", controls=(Control("k", (("a", "b"),)),))) == set()


def test_a_unit_chest_needs_no_valve():
    assert needed(two_stops("unit", shift=1)) == set()


def test_a_permanent_pull_down_spares_the_valve_of_the_channel_it_always_plays():
    pull = (Coupler("pull", "II", "I", 0, always=True),)
    # Playing II always plays I, so only II's channel can be filled while nobody plays it.
    assert needed(two_stops(boards=("I", "II"), couplers=pull)) == {("b", k, k) for k in (1, 2, 3)}


def test_foldback_on_its_own_pipes_joins_two_channels_of_one_stop():
    scheme = Scheme(
        (full_keyboard("I", 2),),
        (full_rank("R", 1),),
        (Stop("a", "I", "Flute"),),
        (Segment("a", (1, 2), "R", pipes=(1, 1)),),
    )
    assert needed(scheme) == {("a", 1, 1), ("a", 2, 1)}


def test_recorded_flaps_are_told_from_those_not_seen():
    scheme = two_stops(boards=("I", "II"))
    first, second = scheme.segments
    flapped = Segment(first.stop, first.keys, first.rank, first.shift, device="flap-valves")
    schedule = schedule_valves(
        Scheme(scheme.keyboards, scheme.ranks, scheme.stops, (flapped, second), chests=scheme.chests)
    )
    assert {call.stop for call in schedule.recorded} == {"a"}
    assert {call.stop for call in schedule.not_seen} == {"b"}


@pytest.mark.parametrize("block", range(4))
def test_with_these_valves_nothing_unplayed_fills_and_without_any_one_of_them_something_does(block):
    checked = 0
    for seed in range(block * 40, block * 40 + 40):
        scheme, _ = random_case(random.Random(seed))
        wanted = {tuple(call) for call in schedule_valves(scheme).needed}
        bare = Scheme(
            scheme.keyboards,
            scheme.ranks,
            scheme.stops,
            tuple(Segment(s.stop, s.keys, s.rank, s.shift, s.interval, s.pipes) for s in scheme.segments),
            scheme.controls,
            scheme.chests,
            scheme.couplers,
        )
        board = {s.id: s.keyboard for s in scheme.stops}
        states = states_of(scheme)
        assert not unplayed_filled(bare, wanted, states, board), seed
        for one in wanted:
            assert unplayed_filled(bare, wanted - {one}, states, board, one), (seed, one)
            checked += 1
    assert checked > 20


def unplayed_filled(scheme, valves, states, board, stripped=None):
    """Whether a channel or stop channel holds wind though nobody plays it, in any state."""
    gates = gates_of(scheme, valves)
    if stripped is not None:
        ends = ("groove", *stripped[:2]), ("pipe", *stripped[2:])
        gates = [(*g[:3], False, *g[4:]) if g[:2] == ends else g for g in gates]
    for touches in states:
        for space, level in levels_of(gates, [], touches, {}).items():
            if level and space[0] == "channel" and (space[1], space[2]) not in touches:
                return True
            if level and space[0] == "stopchannel" and space[1] not in touches:
                return True
    return False


def test_ugly_schemes_have_a_schedule_that_adds_up_and_a_net():
    for seed in range(150):
        scheme = random_scheme(random.Random(seed))
        schedule = schedule_valves(scheme)
        assert set(schedule.recorded) | set(schedule.not_seen) == set(schedule.needed)
        assert not set(schedule.recorded) & set(schedule.not_seen)
        net = net_of(scheme)
        assert all(pipe in net.pipes for pipes in net.calls.values() for pipe in pipes)


def test_a_stop_in_two_controls_may_be_drawn_by_either():
    controls = (Control("x", (("a",), ("b",))), Control("y", (("a", "c"),)))
    scheme = Scheme((), (), (), (), controls=controls)
    assert {frozenset(d) for d in draws_with(scheme, ["a", "b"])} == {frozenset("abc")}


def test_calls_of_the_enumerator_are_those_of_the_net():
    for seed in range(40):
        scheme, _ = random_case(random.Random(seed))
        ours = {(stop, key, p) for (stop, key), pipes in net_of(scheme).calls.items() for p in pipes}
        assert ours == {(s, k, f"pipe:{r}:{p}") for s, k, r, p, _, _ in calls_of(scheme)}


def test_short_octave_keyboards_join_channels_by_note_not_by_number():
    keyboard = Keyboard("I", (36, 41, 38, 43, 40, 45, 46, 47, 48, 50, 52, 53))
    rank = Rank("R", 24, tuple(range(36, 60)))
    stops = (Stop("a", "I", "Flute", "8"), Stop("b", "I", "Flute", "4"))
    segments = (Segment("a", (1, 12), "R", interval=0), Segment("b", (1, 12), "R", interval=12))
    scheme = Scheme((keyboard,), (rank,), stops, segments)
    # Shared are c d e f (keys 9-12 at 8', and the keys of C D E F, which are 1 3 5 2, at 4').
    assert needed(scheme) == {("a", 9, 13), ("a", 10, 15), ("a", 11, 17), ("a", 12, 18)} | {
        ("b", 1, 13),
        ("b", 3, 15),
        ("b", 5, 17),
        ("b", 2, 18),
    }
