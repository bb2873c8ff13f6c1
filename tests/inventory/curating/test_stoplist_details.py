"""The further cells of a stoplist's tables: mixtures, families, layers, knobs that draw several stops, couplers."""

from __future__ import annotations

import re

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from inventory.actions import change_record
from inventory.curating.cells import BadCell, read_composition_cell, write_composition
from inventory.models import Control, ControlPosition, Coupler, Instrument, Layer, Segment, Stop
from tests.factory import add_shared_rank, make_instrument, make_term
from tests.inventory.curating.test_stoplists import fields_of, read_text, table_of


@pytest.fixture
def organ(people):
    made = make_instrument(people.curator)
    add_shared_rank(made, people.curator)
    return made


@pytest.fixture
def desk(people):
    client = Client()
    client.force_login(people.curator)
    return client


def drawn(control: str) -> list[list[str]]:
    positions = ControlPosition.objects.filter(control__code=control).order_by("number")
    return [sorted(position.stops.values_list("code", flat=True)) for position in positions]


def test_a_mixture_is_typed_as_people_write_it():
    text = "C: 2, 1 1/3, 1; c: 4, 2 2/3, 2"
    rows = read_composition_cell(text)
    assert rows == [
        {"from_note": 36, "footages": ["2", "1 1/3", "1"]},
        {"from_note": 48, "footages": ["4", "2 2/3", "2"]},
    ]
    assert write_composition(rows) == text and read_composition_cell("") is None
    assert read_composition_cell("2 2/3, 2")[0] == {"from_note": None, "footages": ["2 2/3", "2"]}
    for bad in ("C: 2 +", "nowhere: 2", "C: zero"):
        with pytest.raises(BadCell):
            read_composition_cell(bad)


def test_composition_family_and_layer_are_saved_from_the_table(desk, organ, people):
    make_term("family", "flutes", en="Flutes")
    layer = Layer(instrument=organ, code="first", name="The first organ")
    change_record(organ, version=organ.version, by=people.curator, put=[layer])
    address, sent = table_of(desk, organ)
    sent |= {
        "stop.flute-4.composition": "2, 1 1/3; c: 4", "stop.flute-4.family": "flutes", "stop.flute-4.layer": "first",
    }  # fmt: skip
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    stop = Stop.objects.get(code="flute-4")
    assert (stop.family.code, stop.layer.code, stop.composition[1]["from_note"]) == ("flutes", "first", 48)
    address, sent = table_of(desk, organ)
    assert sent["stop.flute-4.composition"] == ["2, 1 1/3; c: 4"] and sent["stop.flute-4.layer"] == ["first"]
    version = Instrument.objects.get(pk=organ.pk).version
    desk.post(address, {**sent, "step": "save"})
    assert Instrument.objects.get(pk=organ.pk).version == version  # read and written, nothing changed


def test_what_was_read_of_a_mixture_is_kept(desk, people):
    bare = make_instrument(people.curator)
    _address, answer = read_text(desk, bare, "Great C-g3, 56 keys\nMixture III (15.19.22)\n")
    sent = fields_of(answer.content.decode())
    assert sent["stop.new-1.composition"] == ["2, 1 1/3, 1"] or sent["stop.new-1.composition"] == [
        "C: 2, 1 1/3, 1"
    ]


def test_a_knob_with_two_positions_is_typed_saved_and_changed(desk, organ):
    address, sent = table_of(desk, organ)
    sent = fields_of(desk.post(address, {**sent, "step": "control|add|"}).content.decode())
    sent |= {"control.new-1.label": "Flutes", "control.new-1.draws": "Flute 8 | Flute 8 + flute 4"}
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    assert drawn("flutes") == [["flute-8"], ["flute-4", "flute-8"]]
    address, sent = table_of(desk, organ)
    assert sent["control.flutes.draws"] == ["Flute 8 | Flute 4 + Flute 8"]
    sent["control.flutes.draws"] = ["Flute 4"]
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    assert drawn("flutes") == [["flute-4"]]
    sent["control.flutes.draws"] = ["Trumpet"]
    html = desk.post(address, {**sent, "step": "save"}).content.decode()
    assert "no stop of this list" in html and drawn("flutes") == [["flute-4"]]


def test_a_knob_and_a_stop_of_one_save(desk, organ):
    address, sent = table_of(desk, organ)
    sent = fields_of(desk.post(address, {**sent, "step": "stop|duplicate|flute-4"}).content.decode())
    sent = fields_of(desk.post(address, {**sent, "step": "control|add|"}).content.decode())
    sent |= {"stop.new-1.label": "Piccolo", "control.new-1.label": "All", "control.new-1.draws": "Piccolo"}
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    assert drawn("all") == [["piccolo-flute-4"]]


def test_two_people_at_one_knob_the_second_sees_both(desk, organ, people):
    address, sent = table_of(desk, organ)
    sent = fields_of(desk.post(address, {**sent, "step": "control|add|"}).content.decode())
    sent |= {"control.new-1.label": "Knob", "control.new-1.draws": "Flute 8"}
    desk.post(address, {**sent, "step": "save"})
    other = Client()
    other.force_login(people.editor)
    address, mine = table_of(desk, organ)
    other.post(address, {**mine, "control.knob.draws": "Flute 8 | Flute 4", "step": "save"})
    # I left the knob alone: theirs stands.
    answer = desk.post(address, {**mine, "stop.flute-8.note": "mine", "step": "save"})
    assert answer.status_code == 302 and drawn("knob") == [["flute-8"], ["flute-4"]]
    address, mine = table_of(desk, organ)
    other.post(address, {**mine, "control.knob.draws": "Flute 4", "step": "save"})
    html = desk.post(address, {**mine, "control.knob.draws": "Flute 4 | Flute 8", "step": "save"})
    assert html.status_code == 409 and "Flute 4 | Flute 8" in html.content.decode()
    assert drawn("knob") == [["flute-4"]]
    sent = fields_of(html.content.decode())
    assert desk.post(address, {**sent, "step": "save"}).status_code == 302
    assert drawn("knob") == [["flute-4"], ["flute-8"]]


def test_a_coupler_that_is_permanent(desk, organ):
    address, sent = table_of(desk, organ)
    sent = fields_of(desk.post(address, {**sent, "step": "coupler|add|"}).content.decode())
    assert sent["coupler.new-1.moves"] == ["key"]
    sent |= {
        "coupler.new-1.label": "Pull-down", "coupler.new-1.shift": "0", "coupler.new-1.always": "yes",
        "coupler.new-1.from_keyboard": "I", "coupler.new-1.to_keyboard": "I",
    }  # fmt: skip
    desk.post(address, {**sent, "step": "save"})
    assert Coupler.objects.get().always is True and not Control.objects.exists()


def test_a_step_does_not_hide_that_somebody_saved_in_between(desk, organ, people):
    address, mine = table_of(desk, organ)
    other = Client()
    other.force_login(people.editor)
    other.post(address, {**mine, "stop.flute-8.label": "Theirs", "step": "save"})
    sent = fields_of(
        desk.post(address, {**mine, "stop.flute-8.label": "Mine", "step": "stop|add|"}).content.decode()
    )
    assert sent["record_version"] == mine["record_version"]
    sent = {**sent, "stop.lines": ["flute-4", "flute-8"], "step": "save"}
    assert desk.post(address, sent).status_code == 409
    assert Stop.objects.get(code="flute-8").label == "Theirs"


def test_tables_of_60_stops_take_under_20_queries(desk, organ, people):
    stoplist = organ.specifications.get()
    board, rank = stoplist.keyboards.get(), stoplist.ranks.get()
    rows = []
    for number in range(60):
        stop = Stop(
            specification=stoplist, code=f"s{number}", keyboard=board, label=f"Stop {number}", name="x"
        )
        rows += [stop, Segment(stop=stop, code="all", first_key=1, last_key=56, rank=rank, interval=0)]
    change_record(organ, version=organ.version, by=people.curator, put=rows)
    for last in ("", "scheme/", "copy/"):
        with CaptureQueriesContext(connection) as queries:
            assert desk.get(f"/instruments/{organ.reference}/stoplists/as-found/{last}").status_code == 200
        tables = [re.search("FROM .inventory_([a-z]+)", one["sql"]) for one in queries]
        assert len(queries) < 20, (last, " ".join(one.group(1) for one in tables if one))
