"""Kept rows: the same tables, only edited instruments made anew, nothing trusted that is damaged or private."""

from __future__ import annotations

import json

import pandas as pd
import pytest

from inventory.actions import change_record, withdraw
from inventory.fixture_loading import load_fixtures
from inventory.models import Layer
from publishing.disclosure import instruments as disclosed
from publishing.disclosure.instruments import open_collection
from publishing.disclosure.stamps import row_stamps
from publishing.statistics import keeping, row_store
from publishing.statistics.choosing import View
from publishing.statistics.frames import frames_of, frames_of_rows
from publishing.statistics.keeping import current_frames, refresh
from publishing.statistics.row_store import NAME, RowStore
from publishing.statistics.rows import NAMES, rows_of
from tests.factory import add_shared_rank, make_instrument, make_maker, make_place, make_public


@pytest.fixture
def organs(people, db):
    """Three published instruments that share, and a draft."""
    made = []
    maker = make_public(make_maker(people.curator), people.editor)
    for _number in range(3):
        organ = make_instrument(people.surveyor)
        add_shared_rank(organ, people.curator, keys=24)
        organ.refresh_from_db()
        layer = Layer(instrument=organ, code="built", name="Built", when="1850", maker=maker)
        organ = change_record(organ, version=organ.version, by=people.curator, put=[layer])
        made.append(make_public(organ, people.editor))
    make_instrument(people.surveyor)
    return made


@pytest.fixture(autouse=True)
def _nothing_in_hand():
    keeping._in_hand.clear()


def same(frames, others) -> None:
    for name in NAMES:
        pd.testing.assert_frame_equal(getattr(frames, name), getattr(others, name))


def test_the_tables_are_those_made_without_keeping_anything(organs, tmp_path):
    for view in (View(), View("as built"), View("at year", 1900)):
        fresh = frames_of(open_collection().read_instruments(), view)
        same(current_frames(open_collection(), view, tmp_path), fresh)
        keeping._in_hand.clear()
        same(current_frames(open_collection(), view, tmp_path), fresh)  # from the file
    assert len(fresh.instruments) == 3


def test_an_edit_makes_the_rows_of_one_instrument_anew(organs, people, tmp_path, monkeypatch):
    current_frames(open_collection(), View(), tmp_path)
    asked: list[int] = []
    read = disclosed.read_instruments
    monkeypatch.setattr(
        keeping, "read_instruments", lambda ids, c, **how: asked.extend(ids) or read(ids, c, **how)
    )
    organ = organs[2]
    organ.temperament = "equal"
    change_record(organ, version=organ.version, by=people.curator, put=[organ])
    frames = current_frames(open_collection(), View(), tmp_path)
    assert asked == [organ.pk]
    assert frames.instruments.set_index("reference")["temperament"].to_dict() == {
        one.reference: "equal" if one.pk == organ.pk else "" for one in organs
    }
    asked.clear()
    current_frames(open_collection(), View(), tmp_path)
    assert asked == []


def test_a_maker_that_is_renamed_or_withdrawn_changes_the_instruments_that_name_it(organs, people, tmp_path):
    assert set(current_frames(open_collection(), View(), tmp_path).instruments["maker_name"]) == {
        "Test maker"
    }
    maker = organs[0].layers.first().maker
    maker.name = "Another name"
    maker = change_record(maker, version=maker.version, by=people.editor, put=[maker])
    assert set(current_frames(open_collection(), View(), tmp_path).instruments["maker_name"]) == {
        "Another name"
    }
    withdraw(maker, version=maker.version, by=people.editor, because="a test")
    assert set(current_frames(open_collection(), View(), tmp_path).instruments["maker_name"]) == {""}


def test_a_place_that_turns_out_to_be_a_building_changes_the_group_of_its_instruments(
    organs, people, tmp_path
):
    island = make_public(make_place(people.editor, name="Isle", kind="island"), people.editor)
    church = make_public(make_place(people.editor, name="Church", parent=island), people.editor)
    organ = organs[0]
    organ.place = church
    change_record(organ, version=organ.version, by=people.curator, put=[organ])
    for kind, group in (("town", church), ("building", island)):
        church.kind = kind
        church = change_record(church, version=church.version, by=people.editor, put=[church])
        frames = current_frames(open_collection(), View(), tmp_path)
        assert set(frames.instruments["place"]) == {"", group.reference}


def test_fixtures_loaded_over_the_same_versions_make_the_rows_anew(organs, tmp_path, settings):
    settings.DATA_DIR = tmp_path
    current_frames(open_collection(), View(), tmp_path)
    organ = organs[0]
    fields = {"reference": organ.reference, "name": "As the fixture has it"}
    fixture = tmp_path / "rows.json"
    fixture.write_text(json.dumps([{"model": "inventory.instrument", "fields": fields}]))
    assert load_fixtures([fixture]).changed == 1
    assert type(organ).objects.get(pk=organ.pk).version == organ.version
    names = current_frames(open_collection(), View(), tmp_path).instruments.set_index("reference")["name"]
    assert names[organ.reference] == "As the fixture has it"


def test_what_is_withdrawn_is_in_no_table_and_not_in_the_file(organs, people, tmp_path):
    current_frames(open_collection(), View(), tmp_path)
    gone = organs[1]
    withdraw(gone, version=gone.version, by=people.editor, because="a test")
    frames = current_frames(open_collection(), View(), tmp_path)
    assert gone.reference not in set(frames.instruments["reference"]) and len(frames.instruments) == 2
    assert gone.reference not in RowStore(tmp_path, "as-found").keys()


@pytest.mark.parametrize("content", [b"", b"not a database", b"SQLite format 3\x00" + b"x" * 5000])
def test_a_damaged_file_costs_time_and_changes_no_figure(organs, tmp_path, content):
    fresh = frames_of(open_collection().read_instruments())
    (tmp_path / NAME).write_bytes(content)
    same(current_frames(open_collection(), View(), tmp_path), fresh)


def test_a_line_that_is_cut_short_is_made_anew(organs, tmp_path):
    fresh = frames_of(open_collection().read_instruments())
    current_frames(open_collection(), View(), tmp_path)
    store = RowStore(tmp_path, "as-found")
    with store._open() as file:
        file.execute("UPDATE kept SET rows = substr(rows, 1, 20) WHERE reference = ?", (organs[2].reference,))
    file.close()
    keeping._in_hand.clear()
    same(current_frames(open_collection(), View(), tmp_path), fresh)


def test_a_folder_that_is_not_there_changes_no_figure(organs, tmp_path):
    fresh = frames_of(open_collection().read_instruments())
    same(current_frames(open_collection(), View(), tmp_path / "nowhere"), fresh)


def test_rows_of_few_views_are_kept(organs, tmp_path, monkeypatch):
    monkeypatch.setattr(row_store, "MOST_VIEWS", 2)
    collection = open_collection()
    keys = row_stamps(collection)
    for year in range(1900, 1904):
        refresh(RowStore(tmp_path, f"at-{year}"), collection, View("at year", year), keys)
    assert RowStore(tmp_path, "at-1903").keys()
    assert not RowStore(tmp_path, "at-1900").keys()


def test_rows_that_come_in_small_chunks_make_the_same_tables(organs):
    made = list(open_collection().read_instruments())
    rows = sorted((o.reference, rows_of(o, View())) for o in made)
    same(frames_of_rows(View(), rows, chunk=1), frames_of(made))
    same(frames_of_rows(View(), rows, chunk=2), frames_of(made))


def test_rows_need_no_answer_read_with_the_instrument(organs):
    collection = open_collection()
    ids = [organ.pk for organ in organs]
    bare = disclosed.read_instruments(ids, collection, evaluated=False)
    assert all(not one.current.answer for one in bare)
    whole = [rows_of(organ, View()) for organ in disclosed.read_instruments(ids, collection)]
    assert [rows_of(organ, View()) for organ in bare] == whole
    assert whole[0].tables["patterns"]
