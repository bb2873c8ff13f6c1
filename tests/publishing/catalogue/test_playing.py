"""Runs lose nothing: unpacked here as the page unpacks them, they are the calls and gates of the core."""

import json

import pytest

from inventory.organ.schemes import answered_calls
from inventory.organ.valves_needed import net_of
from publishing.catalogue.playing import playing_data
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
    assert board["notes"][:4] == [36, 41, 38, 43]  # C F D G


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


def test_names_written_once_are_read_again_by_the_page():
    from publishing.catalogue.playing import with_short_names

    net = {"gates": [["channel:II:1", "groove:flute.8:1", "slider:flute.8", ["flute.8"], 0, "", 54, [1, 1]]]}
    short = with_short_names(net, ["II", "flute.8"])
    assert short["gates"][0][:4] == ["channel:II:1", "groove:~1:1", "slider:~1", ["~1"]]
    read = [name.replace("~1", short["names"][1]) for name in short["gates"][0][:3]]
    assert read == net["gates"][0][:3]
