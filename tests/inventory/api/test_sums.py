"""The sums: exchange files in, the answers of the commands out."""

from __future__ import annotations

import json
from io import StringIO

import pytest
from django.core.management import call_command

from inventory.models import Keyboard, Segment
from tests.factory import add_shared_rank, make_instrument, make_public
from tests.inventory.api.asking import assert_error
from tests.inventory.api.test_rights import SCHEME

# W. E. Dickson, Practical Organ-Building, 2nd ed. 1882, by way of DESIGN §4: 61 keys at 8′ and 4′ on one rank.
TWO_PITCHES = {
    "keyboards": [{"id": "I", "low": 36, "keys": 61}],
    "ranks": [{"id": "flute", "pipes": 73, "low": 36}],
    "stops": [
        {"id": "flute-8", "keyboard": "I", "name": "Flute", "footage": "8"},
        {"id": "flute-4", "keyboard": "I", "name": "Flute", "footage": "4"},
    ],
    "segments": [
        {"stop": "flute-8", "keys": [1, 61], "rank": "flute", "shift": 0},
        {"stop": "flute-4", "keys": [1, 61], "rank": "flute", "shift": 12},
    ],
}


@pytest.fixture
def file_of(tmp_path):
    """A document as a file for a command."""

    def write(name, document):
        path = tmp_path / name
        path.write_text(document if isinstance(document, str) else json.dumps(document), encoding="utf-8")
        return str(path)

    return write


def command(*words):
    out = StringIO()
    call_command(*words, "--json", stdout=out, stderr=StringIO())
    return json.loads(out.getvalue())


def test_a_scheme_is_evaluated_as_by_the_command(db, programs, file_of):
    answer = programs.anonymous.post("evaluate", TWO_PITCHES)
    sums = answer.json()
    assert (sums["calls"], sums["pipes_called"], sums["pipes_shared"], sums["pipes_own"]) == (122, 73, 49, 24)
    assert sums == command("evaluate_scheme", file_of("s.json", TWO_PITCHES))


def test_what_is_not_read_is_said_in_a_header(db, programs):
    answer = programs.anonymous.post("evaluate", {**TWO_PITCHES, "colour": "red\n"})
    assert answer.status_code == 200
    assert "colour" in json.loads(answer["Upperboard-Notes"])[0]


def test_a_sound_is_told_as_by_the_command(db, programs, file_of):
    body = {"scheme": TWO_PITCHES, "stops": ["flute-8", "flute-4"],
            "keys": [{"keyboard": "I", "key": key} for key in (1, 13, 25)]}  # fmt: skip
    heard = programs.anonymous.post("sound", body).json()
    # Common practice: three C keys need four C pipes, two of them called twice.
    assert (heard["calls"], heard["coincide"], len(heard["pipes"])) == (6, 2, 4)
    path = file_of("s.json", TWO_PITCHES)
    assert heard == command("sound", path, "--stops", "flute-8,flute-4", "--keys", "I:1,13,25")


def test_trials_are_explained_and_the_next_one_named(db, programs):
    trials = [
        {
            "stops": ["a"],
            "keys": [{"keyboard": "I", "key": key}],
            "heard": [{"stop": "a", "key": key, "as": manner}],
        }
        for key, manner in ((1, "silent"), (2, "speaks"))
    ]
    answer = programs.anonymous.post("trace", {"scheme": SCHEME, "trials": trials}).json()
    assert answer["size"] == 1 and answer["unexplained"] == []
    failures = [f for group in answer["groups"] for e in group["explanations"] for f in e["failures"]]
    parts = {f["part"] for f in failures} | {other["part"] for f in failures for other in f["same_as"]}
    assert "pallet:I:1" in parts and "pipe:r:1" in parts
    body = {"scheme": SCHEME, "trials": trials, "odds": {"pipe": {"dead": 0.9}}}
    best = programs.anonymous.post("trace", body).json()["groups"][0]["explanations"][0]["failures"][0]
    assert best["part"] == "pipe:r:1"


def test_a_stoplist_is_read_as_by_the_command(db, programs, file_of):
    text = "Great (C–f3)\nOpen Diapason 8\nFlute 4"
    answer = programs.anonymous.post("read-stoplist", {"text": text, "language": "en"}).json()
    assert [stop["footage"] for stop in answer["divisions"][0]["stops"]] == ["8", "4"]
    assert answer == command("read_stoplist", file_of("s.txt", text), "--language", "en")


def test_the_scheme_of_a_record_is_a_file_that_evaluates_to_its_evaluation(people, programs):
    organ = make_instrument(people.surveyor)
    add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    organ = make_public(organ, people.editor)
    path = f"instruments/{organ.reference}"
    scheme = programs.anonymous.get(f"{path}/scheme")
    assert scheme["ETag"] == programs.anonymous.get(path)["ETag"]
    sums = programs.anonymous.get(f"{path}/evaluation?specification=as-found").json()
    assert sums == programs.anonymous.post("evaluate", scheme.json()).json()
    assert (sums["calls"], sums["pipes_called"]) == (112, 68)
    body = {
        "record": f"{organ.reference}/as-found",
        "stops": ["flute-8"],
        "keys": [{"keyboard": "I", "key": 1}],
    }
    assert programs.anonymous.post("sound", body).json()["calls"] == 1
    assert_error(programs.anonymous.get(f"{path}/scheme?specification=never"), 404)


def test_rows_that_make_no_scheme_are_said_to_and_do_no_harm(people, programs):
    organ = make_instrument(people.surveyor)
    specification = add_shared_rank(organ, people.curator)
    path = f"instruments/{organ.reference}/evaluation"
    Segment.objects.filter(stop__code="flute-8").update(interval=None, pipes=[1, 2])
    assert_error(programs.curator.get(path), 409, "no-scheme")
    Segment.objects.filter(stop__code="flute-8").update(interval=0, pipes=None)
    for nonsense in ("abc", [{}], {"a": 1}, [[1]], [1e30]):
        Keyboard.objects.filter(specification=specification).update(notes=nonsense)
        assert_error(programs.curator.get(path), 409, "no-scheme")
    assert_error(
        programs.curator.get(f"instruments/{make_instrument(people.surveyor).reference}/scheme"), 404
    )


@pytest.mark.parametrize(
    "name, body, where",
    [
        ("evaluate", {}, "the file"),
        ("evaluate", {**SCHEME, "stops": [{"id": "a b", "keyboard": "I", "name": "x"}]}, "stops[0].id"),
        ("evaluate", {**SCHEME, "segments": [{"stop": "a", "keys": [5, 1], "rank": "r"}]}, "segments[0].keys"),
        ("sound", {"scheme": SCHEME, "stops": ["none"], "keys": []}, ""),
        ("sound", {"scheme": SCHEME, "stops": [["a"]], "keys": []}, "stops[0]"),
        ("sound", {"scheme": SCHEME, "stops": ["a"], "keys": [{"keyboard": "I", "key": 1.5}]}, "keys[0].key"),
        ("trace", {"scheme": SCHEME, "trials": [{"stops": ["a"]}]}, "trials[0]"),
        ("trace", {"scheme": SCHEME, "trials": [], "odds": {"pipe": {"dead": 2}}}, "odds.pipe.dead"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_said_with_its_place(db, programs, name, body, where):
    said = assert_error(programs.anonymous.post(name, body), 422, "cannot-be-read")
    assert where in (said["where"], said["message"].partition(":")[0]) or not where


@pytest.mark.parametrize(
    "name, body",
    [
        ("evaluate", []),
        ("sound", {"stops": [], "keys": []}),
        ("sound", {"scheme": SCHEME, "record": "x", "stops": [], "keys": []}),
        ("sound", {"scheme": SCHEME, "stops": [], "keys": [], "extra": 1}),
        ("trace", {"scheme": SCHEME}),
        ("trace", {"scheme": 7, "trials": []}),
        ("read-stoplist", {"text": ["a"]}),
        ("read-stoplist", {"text": "a", "language": "xx"}),
    ],
)
def test_a_body_of_another_form_is_refused(db, programs, name, body):
    assert_error(programs.anonymous.post(name, body), 400)
