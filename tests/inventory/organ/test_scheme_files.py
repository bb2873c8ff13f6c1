"""Scheme files: what is read, what is noted, what is refused, and how fast."""

import json
import random
import time

import pytest
from hypothesis import given, settings

from inventory.organ.errors import SchemeError
from inventory.organ.json_text import read_json
from inventory.organ.scheme_files import read_scheme
from inventory.organ.scheme_writing import scheme_to_dict
from tests.inventory.organ.scheme_cases import random_scheme, schemes


def good():
    return {
        "keyboards": [{"id": "I", "low": 36, "keys": 61}],
        "ranks": [{"id": "R", "pipes": 73, "low": 36}],
        "stops": [
            {"id": "a", "keyboard": "I", "name": "Flute", "footage": "8"},
            {"id": "b", "keyboard": "I", "name": "Flute", "footage": "4"},
        ],
        "segments": [
            {"stop": "a", "keys": [1, 61], "rank": "R", "interval": 0},
            {"stop": "b", "keys": [1, 61], "rank": "R", "shift": 12},
        ],
    }


def changed(path, value):
    """The good document with one value changed (or taken out)."""
    document = good()
    at = document
    *way, last = path
    for step in way:
        at = at[step]
    if value is REMOVED:
        del at[last]
    else:
        at[last] = value
    return document


REMOVED = object()
LONG = int("9" * 18)


@pytest.mark.parametrize(
    ("path", "value", "place"),
    [
        (("keyboards",), REMOVED, "the file"),
        (("keyboards",), {}, "keyboards"),
        (("keyboards", 0), 7, "keyboards[0]"),
        (("keyboards", 0, "id"), "I I", "keyboards[0].id"),
        (("keyboards", 0, "id"), "", "keyboards[0].id"),
        (("keyboards", 0, "id"), "x" * 65, "keyboards[0].id"),
        (("keyboards", 0, "id"), "I\n", "keyboards[0].id"),
        (("keyboards", 0, "id"), "é", "keyboards[0].id"),
        (("keyboards", 0, "keys"), 0, "keyboards[0].keys"),
        (("keyboards", 0, "keys"), 129, "keyboards[0].keys"),
        (("keyboards", 0, "keys"), True, "keyboards[0].keys"),
        (("keyboards", 0, "keys"), 61.0, "keyboards[0].keys"),
        (("keyboards", 0, "keys"), "61", "keyboards[0].keys"),
        (("keyboards", 0, "low"), 100, "keyboards[0]"),
        (("keyboards", 0, "kind"), "console", "keyboards[0].kind"),
        (("keyboards", 0, "notes"), [36, 38], "keyboards[0]"),
        (("keyboards", 0, "notes"), [36, None], "keyboards[0].notes[1]"),
        (("keyboards", 0, "reach"), -1, "keyboards[0].reach"),
        (("keyboards", 0, "reach"), LONG, "keyboards[0].reach"),
        (("ranks", 0, "pipes"), 1001, "ranks[0].pipes"),
        (("ranks", 0, "pipes"), REMOVED, "ranks[0]"),
        (("ranks", 0, "notes"), [36], "ranks[0]"),
        (("ranks", 0, "missing"), [74], "ranks[0].missing[0]"),
        (("ranks", 0, "tones"), {"0": [36]}, "ranks[0].tones"),
        (("ranks", 0, "tones"), {"1": []}, "ranks[0].tones.1"),
        (("ranks", 0, "makes"), "noise", "ranks[0].makes"),
        (("ranks", 0, "counted"), 5, "ranks[0].counted"),
        (("stops", 1, "id"), "a", "stops"),
        (("stops", 0, "keyboard"), "II", "stops[0].keyboard"),
        (("stops", 0, "name"), "a\nb", "stops[0].name"),
        (("stops", 0, "footage"), "banana", "stops[0].footage"),
        (("stops", 0, "footage"), 8, "stops[0].footage"),
        (("stops", 0, "keys"), [0, 5], "stops[0].keys[0]"),
        (("stops", 0, "keys"), [5, 1], "stops[0].keys"),
        (("stops", 0, "keys"), [5], "stops[0].keys"),
        (("stops", 0, "state"), "ok", "stops[0].state"),
        (("segments", 0, "stop"), "zz", "segments[0].stop"),
        (("segments", 0, "rank"), "zz", "segments[0].rank"),
        (("segments", 0, "keys"), [-1, 5], "segments[0].keys[0]"),
        (("segments", 0, "keys"), [9, 3], "segments[0].keys"),
        (("segments", 0, "keys"), "1-5", "segments[0].keys"),
        (("segments", 0, "keys"), REMOVED, "segments[0]"),
        (("segments", 0, "shift"), 1, "segments[0]"),
        (("segments", 0, "interval"), REMOVED, "segments[0]"),
        (("segments", 1, "shift"), LONG, "segments[1].shift"),
        (("segments", 0), {"stop": "a", "keys": [1, 3], "rank": "R", "pipes": [1, 2]}, "segments[0].pipes"),
        (("segments", 0, "chest"), "none", "segments[0].chest"),
        (("segments", 0, "evidence"), "hearsay", "segments[0].evidence"),
        (("controls",), [{"id": "a", "positions": []}], "controls"),
        (("controls",), [{"id": "k", "positions": [["zz"]]}], "controls[0].positions[0]"),
        (("couplers",), [{"id": "a", "from": "I", "to": "I", "shift": 12}], "couplers"),
        (("couplers",), [{"id": "c", "from": "I", "to": "II", "shift": 12}], "couplers[0].to"),
        (("couplers",), [{"id": "c", "from": "I", "to": "I", "shift": 0, "always": 1}], "couplers[0].always"),
        (("chests",), [{"id": "w", "kind": "box"}], "chests[0].kind"),
        (("chests",), [{"id": "w", "kind": "slider", "stops": ["a", "a"]}], "chests[0].stops"),
        (("chests",), [{"id": "w", "kind": "slider", "channels": ["I"]}], "chests[0].channels[0]"),
        (("chests",), [{"id": "w", "kind": "slider", "channels": ["I:62"]}], "chests[0].channels[0]"),
    ],
)
def test_what_cannot_be_read_names_place_and_remedy_on_one_line(path, value, place):
    with pytest.raises(SchemeError) as refused:
        read_scheme(json.dumps(changed(path, value)))
    message = str(refused.value)
    assert refused.value.place == place, message
    assert message.startswith(place) and message.count(": ") >= 2
    assert "\n" not in message and len(message) < 260


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"   \n",
        b"null",
        b"[]",
        b"7",
        b'"text"',
        b"{",
        b"[" * 300_000,
        b'{"a":' * 100_000,
        b"\x00\xff\xfe\x80binary",
        json.dumps(good()).encode("utf-16"),
        b'{"keyboards": NaN}',
        b'{"keyboards": Infinity}',
        json.dumps(good()).replace("61", "1e400").encode(),
        json.dumps(good()).replace("61", "-1e400").encode(),
        json.dumps(good()).replace("61", "9" * 10_000).encode(),
        json.dumps(good()).replace("61", "1e" + "9" * 10_000).encode(),
        json.dumps(good()).replace('"Flute"', '"\\ud800"').encode(),
        b'{"keyboards": [], "keyboards": []}',
        b" " * (8 * 1024 * 1024 + 1),
    ],
    ids=lambda content: ascii(content[:20]),
)
def test_hostile_files_are_refused_at_once(content):
    started = time.perf_counter()
    with pytest.raises(SchemeError) as refused:
        read_scheme(content)
    assert time.perf_counter() - started < 0.9
    assert "\n" not in str(refused.value) and len(str(refused.value)) < 260
    assert ": " in str(refused.value)


def test_the_limits_themselves_are_allowed():
    document = good()
    document["keyboards"][0] = {"id": "I", "low": 0, "keys": 128}
    document["ranks"][0] = {"id": "x" * 64, "pipes": 1000}
    document["stops"] = [{"id": f"s{n}", "keyboard": "I", "name": "n", "footage": None} for n in range(1000)]
    document["segments"] = []
    scheme, notes = read_scheme(json.dumps(document))
    assert len(scheme.stops) == 1000 and notes == []
    document["stops"].append(document["stops"][0])
    with pytest.raises(SchemeError, match="limit of 1000"):
        read_scheme(json.dumps(document))


def test_an_interval_needs_a_rank_of_known_pitch():
    document = changed(("ranks", 0), {"id": "R", "pipes": 73})
    with pytest.raises(SchemeError, match="no low or notes"):
        read_scheme(json.dumps(document))


def test_unknown_fields_are_noted_and_not_read():
    scheme, notes = read_scheme(json.dumps(changed(("stops", 0, "colour"), "red")))
    assert len(scheme.stops) == 2
    assert notes == ["stops[0]: not read, as no such field is known: 'colour'"]


def test_an_unknown_device_is_noted_and_taken_as_not_known():
    scheme, notes = read_scheme(json.dumps(changed(("segments", 0, "device"), "magic")))
    assert scheme.segments[0].device is None and "'magic'" in notes[0]


def test_a_reach_above_the_keys_is_the_highest_channel():
    scheme, notes = read_scheme(json.dumps(changed(("keyboards", 0, "reach"), 73)))
    assert scheme.keyboards[0].reach == 12 and "12 channels beyond" in notes[0]
    scheme, notes = read_scheme(json.dumps(changed(("keyboards", 0, "reach"), 12)))
    assert scheme.keyboards[0].reach == 12 and notes == []


def test_shift_over_gaps_is_taken_literally_and_noted():
    document = good()
    document["keyboards"][0] = {"id": "I", "low": 36, "keys": 3, "notes": [36, 41, 38]}
    document["segments"] = [{"stop": "a", "keys": [1, 3], "rank": "R", "shift": 0}]
    scheme, notes = read_scheme(json.dumps(document))
    assert scheme.segments[0].shift == 0 and len(notes) == 1 and "interval" in notes[0]


def test_a_byte_order_mark_and_null_fields_are_allowed():
    document = good()
    document["stops"][0] |= {"footage": None, "keys": None, "state": None}
    document["controls"] = None
    scheme, notes = read_scheme(b"\xef\xbb\xbf" + json.dumps(document).encode())
    assert scheme.stops[0].footage is None and scheme.controls == () and notes == []


def test_an_escaped_backslash_before_u_is_plain_text():
    assert read_json(r'{"a": "\\ud800"}') == {"a": r"\ud800"}
    assert read_json(r'{"a": "\ud83c\udfb9"}') == {"a": "🎹"}


@settings(max_examples=100, deadline=None)
@given(schemes())
def test_writing_and_reading_changes_nothing(scheme):
    written = scheme_to_dict(scheme)
    again, _ = read_scheme(json.dumps(written))
    assert again == scheme and scheme_to_dict(again) == written


def test_no_spoilt_file_does_worse_than_being_refused():
    rng = random.Random(7)
    spoilers = [None, True, -1, 0, 1.5, "x", "", [], {}, [[]], 10**17, "I", "a", "R", [1, 2], "8"]

    def spoil(value):
        if rng.random() < 0.04:
            return rng.choice(spoilers)
        if isinstance(value, dict):
            return {k: spoil(v) for k, v in value.items() if rng.random() > 0.02}
        return [spoil(v) for v in value] if isinstance(value, list) else value

    refused = 0
    for seed in range(300):
        document = spoil(scheme_to_dict(random_scheme(random.Random(seed))))
        try:
            read_scheme(json.dumps(document))
        except SchemeError as error:
            refused += 1
            assert "\n" not in str(error)
    assert refused > 100
