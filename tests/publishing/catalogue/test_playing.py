"""Runs lose nothing: unpacked here as the page unpacks them, they are the calls and gates of the core."""

import json
from importlib.resources import files

import pytest

from inventory.organ.schemes import answered_calls
from inventory.organ.valves_needed import net_of
from publishing.catalogue.playing import SPACES, packed_net, playing_data
from publishing.catalogue.playing_pitch import nearest_temperament, tuning_of
from tests.publishing.catalogue.playing_schemes import hand_made_schemes

SCHEMES = hand_made_schemes()


def moved(name, by):
    if not by:
        return name
    stem, _colon, number = name.rpartition(":")
    return f"{stem}:{int(number) + by}"


@pytest.mark.parametrize("name", SCHEMES)
def test_runs_of_calls_unpack_to_every_call_that_can_sound(name):
    scheme = SCHEMES[name]
    data = playing_data(scheme)
    unpacked = [
        (stop, key + n, data["ranks"][rank]["id"], pipe + n)
        for stop, runs in data["calls"].items()
        for rank, key, pipe, _note, count, _polyphone in runs
        for n in range(count)
    ]
    wanted = {
        tuple(call)
        for call in answered_calls(scheme, beyond_keys=True)
        if scheme.stop[call.stop].state == "present" and call.pipe not in scheme.rank[call.rank].missing
    }
    assert len(unpacked) == len(set(unpacked))
    assert set(unpacked) == wanted


@pytest.mark.parametrize("name", SCHEMES)
def test_runs_of_gates_unpack_to_every_gate_of_the_net(name):
    net = net_of(SCHEMES[name])
    unpacked = []
    for origin, target, part, opened, flags, live, *rest in playing_data(SCHEMES[name])["net"]["gates"]:
        count, steps = rest or (1, [0] * (4 + len(opened)))
        for n in range(count):
            by = [n * step for step in steps]
            touches = frozenset(moved(touch, by[4 + place]) for place, touch in enumerate(opened))
            unpacked.append(
                (moved(origin, by[0]), moved(target, by[1]), moved(part, by[2]), moved(live, by[3]), touches, flags)
            )  # fmt: skip
    wanted = [
        (
            gate.origin, gate.target, gate.part or "", gate.live or "",
            frozenset(t if isinstance(t, str) else f"{t[0]}:{t[1]}" for t in gate.opened_by),
            gate.one_way + 2 * gate.electric,
        )
        for gate in net.gates
    ]  # fmt: skip
    assert sorted(unpacked, key=str) == sorted(wanted, key=str)


def test_an_organ_of_full_compass_takes_few_bytes():
    data = playing_data(SCHEMES["octave extension"])
    assert len(json.dumps(data["calls"])) < 120
    assert len(data["net"]["gates"]) <= 6


def test_ids_that_end_in_digits_or_zeros_stay_themselves():
    from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop

    scheme = Scheme(
        (Keyboard("07", (36, 37)),),
        (Rank("007", 2, (36, 37)),),
        (Stop("0", "07", "Flute", "8"),),
        (Segment("0", (1, 2), "007", shift=0),),
    )
    data = playing_data(scheme)
    names = {run[place] for run in data["net"]["gates"] for place in (0, 1, 2)}
    assert {"channel:07:1", "pallet:07:1", "slider:0", "groove:0:1", "pipe:007:1"} <= names


def test_keys_of_a_short_octave_are_plain_and_the_rest_as_on_a_keyboard():
    board = playing_data(SCHEMES["short octave"])["keyboards"][0]
    # Up to the last note that is out of order (E on the G sharp key); A, B flat, B lie as they always do.
    assert board["raised"] == "00000" + "010" + "0101001010100"
    assert board["notes"][:4] == [[36, 1], [41, 1], [38, 1], [43, 1]]  # C F D G


@pytest.mark.parametrize(
    ("recorded", "name"),
    [
        ("equal", "equal"),
        ("equal, old style", "equal"),
        ("quarter comma, nearly", "quarter-comma meantone"),
        ("near meantone, worn", "quarter-comma meantone"),
        ("as the tuner liked it", None),
        ("", None),
    ],
)
def test_a_recorded_temperament_is_played_as_the_nearest_one_known(recorded, name):
    assert nearest_temperament(recorded) == name


def test_what_was_not_recorded_is_said_not_to_be():
    tuning, words = tuning_of(None, "")
    assert tuning == {"a1": 440.0, "departures": [0.0] * 12}
    assert "not recorded: a′ = 440 Hz" in words and "temperament was not recorded: equal" in words
    tuning, words = tuning_of(("392.40", "21.0"), "quarter comma, softened")
    # Quarter-comma meantone: c lies 10.265 cents above equal when a′ is the same (values as in test_temperaments).
    assert tuning["a1"] == 392.4 and tuning["departures"][0] == pytest.approx(10.265, abs=0.001)
    assert "recorded as “quarter comma, softened”, played as quarter-comma meantone" in words


def test_a_page_carries_its_net_without_what_goes_without_saying():
    net = {
        "gates": [
            ["wind", "channel:II:1", "pallet:II:1", ["II:1"], 0, "", 54, [0, 1, 1, 0, 1]],
            ["channel:II:1", "groove:flute.8:1", "slider:flute.8", ["flute.8"], 0, "", 54, [1, 1, 0, 0, 0]],
            ["groove:flute.8:3", "pipe:flute.8:9", "valve:flute.8:3", [], 1, "", 2, [2, 1, 1, 0]],
            ["groove:flute.8:7", "pipe:flute.8:7", "", [], 0, ""],
        ],
        "missing": ["pipe:flute.8:2"],
    }  # fmt: skip
    assert packed_net(net, ["I", "flute.8", "flute.8"]) == {
        # ~0 channel, ~1 groove, ~2 pipe, ~3 slider, ~4 pallet, ~5 valve; ~11 I and ~12 the flute, ids of the page.
        "gates": [
            ["wind", "~0:II:1", "~4:II:1", ["II:1"], 54],
            ["~0:II:1", "~1:~12:1", "~3:~12", ["~12"], 54],
            ["~1:~12:3", "~2:~12:9", "~5:~12:3", [], 2, 1, "", [2, 1, 1, 0]],
            ["~1:~12:7", "~2:~12:7", "", []],
        ],
        "missing": ["pipe:flute.8:2"],
    }


def test_the_script_of_the_wind_numbers_the_same_spaces_in_the_same_order():
    script = (files("publishing.catalogue") / "assets" / "wind.js").read_text(encoding="utf-8")
    assert f"const SPACES = {json.dumps(list(SPACES))};" in script
