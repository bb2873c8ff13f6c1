"""Findings and valves: what does not add up, and what is no finding."""

from dataclasses import replace

import pytest
from hypothesis import given, settings

from inventory.organ.answers import evaluate_answer
from inventory.organ.devices import DEVICES
from inventory.organ.findings import CODES, find_findings
from inventory.organ.schemes import Chest, Control, Keyboard, Rank, Scheme, Segment, Stop
from inventory.organ.valves_needed import schedule_valves
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank, schemes, unit


def codes(scheme):
    return [finding.code for finding in find_findings(scheme)]


def one(scheme, code):
    (found,) = [finding for finding in find_findings(scheme) if finding.code == code]
    return found


def by_relay(scheme):
    return replace(scheme, segments=tuple(replace(s, device="stop-relay") for s in scheme.segments))


def test_a_tierce_above_the_row_leaves_four_silent_top_keys():
    # values.md §1, the trap (DERIVED): 97 pipes, offset 12 + 28 = 40 > 36.
    scheme = by_relay(unit(61, ["16", "8", "4", "2", "1 3/5"], pipes=97))
    assert codes(scheme) == ["pipe-outside-rank", "silent-keys", "count-differs"]
    silent = one(scheme, "silent-keys")
    assert silent.where == {"stop": "s4", "keys": [58, 59, 60, 61]}
    assert "4 top keys silent" in silent.message and "1 3/5" in silent.message
    assert one(scheme, "pipe-outside-rank").where["pipes"] == [98, 99, 100, 101]
    assert one(scheme, "count-differs").where == {"rank": "R", "recorded": 97, "needed": 101}


def test_an_octave_drawn_without_extension_has_a_silent_top_octave():
    # Encyclopaedia, "Extension organ" (values.md §1, SEEN): no pipes for the top octave, else twelve more.
    scheme = by_relay(unit(61, ["8", "4"], pipes=61))
    assert one(scheme, "silent-keys").where["keys"] == list(range(50, 62))
    assert one(scheme, "count-differs").where["needed"] == 73


def test_silence_by_design_is_no_finding():
    rows = [
        Stop("half", "I", "Cornet", "8", keys=(26, 61)),
        Stop("prepared", "I", "Horn", "8", state="prepared"),
    ]
    scheme = Scheme(
        (full_keyboard(),),
        (full_rank("R", 36, 61),),
        tuple(rows),
        (Segment("half", (26, 61), "R", interval=0),),
    )
    assert codes(scheme) == []


def test_keys_no_segment_covers_are_asked_about():
    scheme = Scheme(
        (full_keyboard(),), (full_rank("R", 49, 48),), (Stop("s", "I", "Gamba", "8"),),
        (Segment("s", (13, 61), "R", interval=0),),
    )  # fmt: skip
    assert codes(scheme) == ["silent-keys"]
    assert "no segment covers them" in one(scheme, "silent-keys").message


def test_pipes_nobody_calls_and_those_only_couplers_reach():
    stop, segment = Stop("s", "I", "Flute", "8"), Segment("s", (1, 61), "R", shift=0)
    plain = Scheme((full_keyboard(),), (full_rank("R", 73),), (stop,), (segment,))
    assert one(plain, "uncalled-pipes").where["pipes"] == list(range(62, 74))
    reached = Scheme((full_keyboard(reach=12),), plain.ranks, (stop,), (replace(segment, keys=(1, 73)),))
    assert codes(reached) == []


def test_one_pipe_asked_twice_by_one_key():
    scheme = unit(5, ["8"])
    scheme = replace(scheme, segments=(*scheme.segments, Segment("s0", (2, 3), "R", shift=0)))
    found = one(scheme, "asked-twice")
    assert found.where == {"stop": "s0", "rank": "R", "keys": [2, 3], "segments": [0, 1]}


def test_a_label_against_the_known_pitch_of_its_rank():
    scheme = unit(61, ["4"])
    scheme = replace(scheme, stops=(Stop("s0", "I", "Flute", "8"),))
    found = one(scheme, "pitch-contradicts-label")
    assert "the label says 8′ (0)" in found.message and "which is 4′" in found.message
    assert found.where["segments"] == [0]


def test_octave_breaks_mixtures_and_resultants_do_not_contradict_a_label():
    rank = full_rank("R", 97, 24)
    segments = (
        Segment("fold", (1, 49), "R", interval=12),
        Segment("fold", (50, 61), "R", interval=0),
        Segment("res", (1, 61), "R", interval=-12),
        Segment("res", (1, 61), "R", interval=-5),
        Segment("mix", (1, 61), "R", interval=19),
        Segment("mix", (1, 61), "R", interval=24),
    )
    stops = (
        Stop("fold", "I", "Octave", "4"),
        Stop("res", "I", "Acoustic", "32"),
        Stop("mix", "I", "Mixture", None),
    )
    assert "pitch-contradicts-label" not in codes(Scheme((full_keyboard(),), (rank,), stops, segments))


def test_labels_of_a_rank_of_unknown_pitch_are_compared_with_each_other():
    def scheme(third):
        return Scheme(
            (full_keyboard(),),
            (Rank("R", 97),),
            (Stop("a", "I", "Bourdon", "16"), Stop("b", "I", "Flute", "8"), Stop("c", "I", "Flute", third)),
            tuple(Segment(s, (1, 61), "R", shift=n) for s, n in (("a", 0), ("b", 12), ("c", 24))),
        )

    assert "pitch-contradicts-label" not in codes(scheme("4"))
    assert "pitch-contradicts-label" not in codes(scheme(None))
    found = one(scheme("2"), "pitch-contradicts-label")
    assert found.where["stops"] == ["c"] and "the other stops say C₁" in found.message


def test_keys_outside_keyboard_and_stop_are_errors():
    scheme = Scheme(
        (full_keyboard(keys=5),), (full_rank("R", 9),),
        (Stop("a", "I", "Flute", "8", keys=(1, 9)), Stop("b", "I", "Flute", "8", keys=(2, 3))),
        (Segment("a", (1, 9), "R", shift=0), Segment("b", (1, 3), "R", shift=0)),
    )  # fmt: skip
    found = [f for f in find_findings(scheme) if f.code == "key-outside-compass"]
    assert [f.where for f in found] == [
        {"stop": "a", "keys": [1, 9]},
        {"segment": 0, "stop": "a", "keys": [1, 9]},
        {"segment": 1, "stop": "b", "keys": [1, 3]},
    ]
    assert {f.severity for f in found} == {"error"}


def test_missing_pipes_are_told_apart_from_recorded_ones():
    scheme = replace(unit(5, ["8"]), ranks=(Rank("R", 5, tuple(range(36, 41)), missing=frozenset({2})),))
    assert "so 4 stand" in one(scheme, "count-differs").message


# -- valves -------------------------------------------------------------------------------


def borrowed(*devices, chests=(), controls=()):
    """Twelve pipes, each drawn from two manuals."""
    return Scheme(
        (full_keyboard("I", 12), full_keyboard("II", 12)), (full_rank("R", 12),),
        (Stop("a", "I", "Flute", "8"), Stop("b", "II", "Flute", "8")),
        (Segment("a", (1, 12), "R", shift=0, device=devices[0]), Segment("b", (1, 12), "R", shift=0, device=devices[1])),
        controls, chests,
    )  # fmt: skip


def count(scheme):
    found = schedule_valves(scheme)
    return len(found.needed), len(found.recorded), len(found.not_seen)


def test_borrowing_between_manuals_needs_two_flaps_a_pipe():
    # Dickson 1882 (values.md §1, SEEN): two non-return leather flaps per shared pipe.
    assert count(borrowed(None, None)) == (24, 0, 24)
    assert count(borrowed("flap-valves", "flap-valves")) == (24, 24, 0)
    assert count(borrowed("flap-valves", None)) == (24, 12, 12)
    assert codes(borrowed("flap-valves", None)) == ["non-return-not-recorded"]
    assert one(borrowed("flap-valves", None), "non-return-not-recorded").where["stop"] == "b"
    assert codes(borrowed("flap-valves", "flap-valves")) == []


def test_a_common_bass_needs_none():
    # DESIGN §4: same channel.
    scheme = Scheme(
        (full_keyboard(),), (full_rank("R"), full_rank("Q", 49, 48)),
        (Stop("a", "I", "Gedackt", "8"), Stop("b", "I", "Gamba", "8")),
        (Segment("a", (1, 61), "R", interval=0), Segment("b", (1, 12), "R", interval=0),
         Segment("b", (13, 61), "Q", interval=0)),
    )  # fmt: skip
    assert count(scheme) == (0, 0, 0) and codes(scheme) == []


def test_an_alternating_slider_needs_none():
    assert count(borrowed("alternating-slider", "alternating-slider")) == (0, 0, 0)
    # Said of one way only, the other is not known to alternate.
    assert count(borrowed("alternating-slider", None)) == (24, 0, 24)


def test_positions_of_one_control_cannot_be_open_together():
    assert count(borrowed(None, None, controls=(Control("k", (("a",), ("b",))),))) == (0, 0, 0)
    assert count(borrowed(None, None, controls=(Control("k", (("a",), ("a", "b"))),))) == (24, 0, 24)


@pytest.mark.parametrize(
    ("kind", "needed"), [("slider", 24), ("spring", 24), ("stop channel", 24), ("unit", 0)]
)
def test_only_a_unit_chest_holds_the_wind_back_by_itself(kind, needed):
    # On stop channels a held key opens both cones, and wind goes back into the channel not drawn.
    assert count(borrowed(None, None, chests=(Chest("w", kind, ("a", "b")),)))[0] == needed


def test_relays_and_unit_valves_need_none_whatever_the_chest():
    for device in ("unit-chest", "stop-relay", "data-relay", "duplex-stop-actions"):
        assert count(borrowed(device, device)) == (0, 0, 0)


def test_a_groove_between_different_channels_is_not_enough():
    assert count(borrowed("grooved-upperboard", "grooved-upperboard")) == (24, 0, 24)


def test_an_extension_needs_valves_only_where_two_channels_meet():
    # 61 keys at 8′+4′: 49 shared pipes, each with two holes.
    assert count(unit(61, ["8", "4"])) == (98, 0, 98)
    branches = schedule_valves(unit(61, ["8", "4"])).needed
    assert {branch.key for branch in branches if branch.stop == "s0"} == set(range(13, 62))


def test_foldback_on_own_pipes_joins_two_channels_of_one_stop():
    scheme = Scheme(
        (full_keyboard(keys=13),), (full_rank("R", 12, 48),), (Stop("s", "I", "Octave", "4"),),
        (Segment("s", (1, 12), "R", interval=12), Segment("s", (13, 13), "R", interval=0)),
    )  # fmt: skip
    assert count(scheme) == (2, 0, 2)


def test_every_device_says_what_it_is_in_one_sentence():
    assert len({d.code for d in DEVICES}) == len(DEVICES) and "unknown" not in {d.code for d in DEVICES}
    for device in DEVICES:
        assert device.non_return in ("needed", "inherent", "not needed")
        assert device.what_it_is.endswith(".") and device.what_it_is.count(".") == 1 and device.source
        assert device.isolates == "no" or device.non_return == "not needed"


@settings(max_examples=100, deadline=None)
@given(schemes())
def test_every_answer_is_plain_and_of_known_codes(scheme):
    import json

    answer = evaluate_answer(scheme)
    json.dumps(answer, allow_nan=False)
    silent = {
        f["where"]["stop"]: len(f["where"]["keys"]) for f in answer["findings"] if f["code"] == "silent-keys"
    }
    for stop in answer["stops"]:
        prepared = scheme.stop[stop["id"]].state == "prepared"
        assert silent.get(stop["id"], 0) == (0 if prepared else stop["silent"])
    for finding in answer["findings"]:
        assert finding["code"] in CODES and finding["severity"] in ("error", "warning", "note")
        assert "\n" not in finding["message"]
    assert answer["valves"]["needed"] == answer["valves"]["recorded"] + answer["valves"]["not_seen"]


def test_words_the_catalogue_never_uses_are_not_in_findings():
    # DESIGN §2: never "lost voices", "deception", "error", "must"; not seen is never missing.
    scheme = unit(61, ["16", "8", "4", "2", "1 3/5"], pipes=97)
    for finding in find_findings(scheme):
        for word in ("lost voice", "deception", "error", "must"):
            assert word not in finding.message


def test_a_keyboard_without_gaps_names_its_notes():
    scheme = by_relay(unit(61, ["8", "4"], pipes=61))
    assert "(50–61, c♯³ to c⁴)" in one(scheme, "silent-keys").message
    assert Keyboard("I", (36,)).keys == 1


def test_pipes_only_a_channel_beyond_the_keys_would_ask_are_a_count_not_a_slip():
    stop, segment = Stop("s", "I", "Flute", "8"), Segment("s", (1, 73), "R", shift=0)
    scheme = Scheme((full_keyboard(reach=12),), (full_rank("R", 61),), (stop,), (segment,))
    assert codes(scheme) == ["count-differs"]
    assert one(scheme, "count-differs").where["needed"] == 73
