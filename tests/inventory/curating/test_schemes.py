"""Schemes as tables: gestures, what they come to, saved only when saved."""

from __future__ import annotations

import re

import pytest
from django.test import Client

from inventory.actions import change_record
from inventory.models import Keyboard, Rank, Segment, Specification, Stop
from inventory.organ.answers import evaluate_answer, sound_answer
from inventory.schemes import scheme_of
from tests.factory import make_instrument
from tests.inventory.curating.test_stoplists import fields_of


@pytest.fixture
def organ(people):
    root = make_instrument(people.curator)
    one = Specification(instrument=root, code="s", name="As found", basis="as found", is_current=True)
    manual = Keyboard(specification=one, code="I", keys=56, low_note=36)
    pedal = Keyboard(specification=one, code="P", keys=27, low_note=36, kind="pedal", order=1)
    stops = [
        Stop(specification=one, code=code, keyboard=board, label=label, name=label, footage=feet, order=n)
        for n, (code, board, label, feet) in enumerate(
            [("f8", manual, "Flute", "8"), ("f4", manual, "Flute", "4"), ("v8", manual, "Viol", "8"),
             ("b16", pedal, "Bass", "16")]
        )
    ]  # fmt: skip
    change_record(root, version=1, by=people.curator, put=[one, manual, pedal, *stops])
    return root


@pytest.fixture
def desk(people):
    client = Client()
    client.force_login(people.curator)
    return client


def address_of(organ) -> str:
    return f"/instruments/{organ.reference}/stoplists/s/scheme/"


def gesture(desk, organ, sent, what, this, that=""):
    answer = desk.post(address_of(organ), {**sent, "this": this, "that": that, "step": f"gesture|{what}"})
    assert answer.status_code == 200
    return answer.content.decode()


def number(html: str, name: str) -> str:
    return re.search(rf'id="{name}">([^<]*)<', html).group(1)


def test_one_gesture_makes_an_8_and_4_family_of_68_pipes_on_56_keys(desk, organ):
    # Source: values.md §1: pipes = keys + 12 for 8' + 4' on one rank.
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    html = gesture(desk, organ, sent, "octave-up", "f4", "f8")
    assert (number(html, "sum-pipes"), number(html, "sum-calls"), number(html, "sum-shared")) == (
        "68",
        "112",
        "44",
    )
    assert not Rank.objects.exists()  # nothing is saved until it is saved
    saved = desk.post(address_of(organ), {**fields_of(html), "step": "save"})
    assert saved.status_code == 302
    rank = Rank.objects.get()
    assert (rank.pipes, rank.counted, rank.low_note) == (68, "computed", 36)
    again = desk.get(address_of(organ)).content.decode()
    assert number(again, "sum-pipes") == "68"


def test_c1_and_c2_sound_three_pipes_and_one_call_coincides(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    html = gesture(desk, organ, sent, "octave-up", "f4", "f8")
    sent = {**fields_of(html), "drawn": ["f8", "f4"], "held": ["I:25", "I:37"]}
    panel = desk.post(address_of(organ) + "try/", sent).content.decode()
    assert re.findall(r'data-number="(\d+)"', panel) == ["25", "37", "49"]
    assert "4 calls, of which 1 coincide" in panel
    assert 'data-pipe="68"' in panel and 'data-pipe="69"' not in panel
    assert not Segment.objects.exists()


def test_bass_in_common_gives_the_other_stop_its_own_pipes_from_c(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    html = gesture(desk, organ, sent, "bass-common", "v8", "f8")
    desk.post(address_of(organ), {**fields_of(html), "step": "save"})
    answer = evaluate_answer(scheme_of(Specification.objects.get()))
    viol = next(stop for stop in answer["stops"] if stop["id"] == "v8")
    assert (viol["shared"], viol["own"], viol["silent"]) == (12, 44, 0)
    assert [p["pattern"] for p in answer["families"][0]["patterns"]] == ["common bass"]
    assert sorted(Rank.objects.values_list("pipes", flat=True)) == [44, 56]


def test_the_top_octave_folds_back_and_needs_no_pipes_of_its_own(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    html = gesture(desk, organ, sent, "fold-back", "f4")
    desk.post(address_of(organ), {**fields_of(html), "step": "save"})
    scheme = scheme_of(Specification.objects.get())
    segments = sorted((s.keys, s.interval) for s in scheme.segments)
    assert segments == [((1, 44), 12), ((45, 56), 0)]
    assert evaluate_answer(scheme)["pipes_repeated"] == 12
    assert scheme.ranks[0].pipes == 44


def test_the_pedal_takes_a_16_foot_from_the_manual_and_what_is_missing_is_said(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    html = gesture(desk, organ, sent, "pedal-takes", "b16", "f8")
    # Key 1 of a 16' asks an octave below the rank's lowest pipe: twelve pipes to add below.
    assert "12 to add below" in html
    sound = desk.post(address_of(organ), {**fields_of(html), "step": "save"})
    assert sound.status_code == 302
    scheme = scheme_of(Specification.objects.get())
    assert sound_answer(scheme, ["b16"], [("P", 13)])["pipes"][0]["pipe"] == 1


def test_a_counted_rank_is_not_recounted_by_a_gesture(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    sent = fields_of(gesture(desk, organ, sent, "own-rank", "f8"))
    sent |= {"rank.new-1.counted": ["physical"]}
    html = gesture(desk, organ, sent, "octave-up", "f4", "f8")
    assert fields_of(html)["rank.new-1.pipes"] == ["56"]
    assert "12 to add at the top" in html


def test_a_gesture_that_does_not_fit_says_why(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    assert "Choose" in gesture(desk, organ, sent, "octave-up", "", "")
    assert "another one" in gesture(desk, organ, sent, "octave-up", "f8", "f8")
    assert "not in the pedal" in gesture(desk, organ, sent, "pedal-takes", "f4", "f8")
    assert "no such gesture" in gesture(desk, organ, sent, "nonsense", "f4", "f8")


def test_a_segment_is_said_in_one_way_only(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    sent = fields_of(gesture(desk, organ, sent, "own-rank", "f8"))
    wrong = {**sent, "segment.new-1.shift": ["3"], "step": "save"}
    html = desk.post(address_of(organ), wrong).content.decode()
    assert "Say in one way" in html and not Segment.objects.exists()
    for name, value in (("interval", "x"), ("first_key", "0"), ("last_key", ""), ("pipes", "1 q")):
        panel = desk.post(address_of(organ) + "try/", {**sent, f"segment.new-1.{name}": [value]})
        assert panel.status_code == 200, name


def test_nonsense_in_the_live_view_is_no_fault_of_the_server(desk, organ):
    sent = fields_of(desk.get(address_of(organ)).content.decode())
    sent = fields_of(gesture(desk, organ, sent, "own-rank", "f8"))
    for more in (
        {"drawn": ["x"], "held": ["I:999999999", "Z:1", "::", "I:-1", "I:²"]},
        {"look": "nowhere"},
        {"rank.new-1.pipes": ["99999"], "segment.new-1.interval": ["30000"]},
        {"rank.new-1.low_note": [""], "rank.new-1.pipes": [""]},
        {"rank.new-1.missing": ["1 2 99999"]},
        {"segment.new-1.last_key": ["99999"], "segment.new-1.first_key": ["300"]},
    ):
        assert desk.post(address_of(organ) + "try/", {**sent, **more}).status_code == 200, more
