"""The loader of fixtures in bulk: what it creates, changes, leaves alone and refuses."""

import json
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inventory.fixture_loading import FixtureError, load_fixtures, loading_marker
from inventory.models import Claim, Control, ControlPosition, Instrument, Layer, Place, Stop

pytestmark = pytest.mark.django_db

ORGAN = {"reference": "ORG-1", "name": "Organ", "status": "in use", "place": ["PLC-2"]}


def row(model: str, **fields: object) -> dict[str, object]:
    return {"model": f"inventory.{model}", "fields": fields}


ROWS = [
    row("place", reference="PLC-2", name="Village", kind="town", parent=["PLC-1"]),
    row("place", reference="PLC-1", name="Island", kind="island"),
    row("instrument", **ORGAN),
    row("layer", instrument=["ORG-1"], code="old", name="old", when="1800~", older_than=["ORG-1", "new"]),
    row("layer", instrument=["ORG-1"], code="new", name="new", when="1850"),
    row("specification", instrument=["ORG-1"], code="now", name="Now", basis="as found"),
    row("keyboard", specification=["ORG-1", "now"], code="I", keys=3),
    row(
        "stop", specification=["ORG-1", "now"], code="a", keyboard=["ORG-1", "now", "I"], label="A", name="A"
    ),
    row(
        "stop", specification=["ORG-1", "now"], code="b", keyboard=["ORG-1", "now", "I"], label="B", name="B"
    ),
    row("control", specification=["ORG-1", "now"], code="k"),
    row("controlposition", control=["ORG-1", "now", "k"], code="1", stops=[["ORG-1", "now", "a"]]),
    row("claim", instrument=["ORG-1"], code="c", about="name", value="Great organ"),
]


@pytest.fixture
def fixture(tmp_path: Path) -> Path:
    path = tmp_path / "rows.json"
    path.write_text(json.dumps(ROWS))
    return path


def test_rows_are_created_with_their_ties_and_their_days(fixture: Path) -> None:
    loaded = load_fixtures([fixture])
    assert (loaded.created, loaded.changed, loaded.same) == (len(ROWS), 0, 0)
    assert Place.objects.get(reference="PLC-2").parent.reference == "PLC-1"  # named before it stood there
    old = Layer.objects.get(code="old")
    assert old.older_than.code == "new"
    assert old.when_earliest.year == 1800 and old.when_sort is not None
    assert [stop.code for stop in ControlPosition.objects.get().stops.all()] == ["a"]
    assert Claim.objects.get().instrument.reference == "ORG-1"


def test_a_second_load_leaves_everything_alone_and_a_changed_row_is_changed(fixture: Path) -> None:
    load_fixtures([fixture])
    assert load_fixtures([fixture]).same == len(ROWS)
    rows = json.loads(fixture.read_text())
    rows[2]["fields"]["name"] = "Other organ"
    rows[10]["fields"]["stops"] = [["ORG-1", "now", "b"]]
    fixture.write_text(json.dumps(rows))
    loaded = load_fixtures([fixture])
    assert (loaded.created, loaded.changed) == (0, 1)
    assert Instrument.objects.get().name == "Other organ"
    assert [stop.code for stop in ControlPosition.objects.get().stops.all()] == ["b"]
    assert Stop.objects.count() == 2 and Control.objects.count() == 1


def test_a_row_that_names_nothing_is_refused_and_nothing_is_kept(tmp_path: Path) -> None:
    path = tmp_path / "bad.json"
    path.write_text(json.dumps([ROWS[1], row("layer", instrument=["ORG-9"], code="x", name="x")]))
    with pytest.raises(FixtureError, match="ORG-9"):
        load_fixtures([path])
    assert not Place.objects.exists()
    with pytest.raises(CommandError, match="ORG-9"):
        call_command("loaddata", str(path), verbosity=0, skip_checks=True)


def test_the_same_row_twice_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "twice.json"
    path.write_text(json.dumps([ROWS[1], ROWS[1]]))
    with pytest.raises(FixtureError, match="twice"):
        load_fixtures([path])


def test_other_fixtures_are_left_to_django(tmp_path: Path) -> None:
    path = tmp_path / "keys.json"
    path.write_text(json.dumps([{"model": "inventory.place", "pk": 7, "fields": ROWS[1]["fields"]}]))
    call_command("loaddata", str(path), verbosity=0, skip_checks=True)
    assert Place.objects.get().pk == 7


def test_a_load_leaves_a_mark_only_where_it_changed_something(
    fixture: Path, settings, tmp_path: Path
) -> None:
    settings.DATA_DIR = tmp_path
    assert loading_marker() == ""
    load_fixtures([fixture])
    marks = [loading_marker()]
    load_fixtures([fixture])
    assert loading_marker() == marks[0] != ""
    for change in ({"name": "Other organ"}, {"stops": [["ORG-1", "now", "b"]]}, {"older_than": None}, {}):
        rows = json.loads(fixture.read_text())
        for at in (2, 3, 10):
            rows[at]["fields"] |= {
                name: value for name, value in change.items() if name in rows[at]["fields"]
            }
        rows[4]["fields"] |= {} if change else {"older_than": ["ORG-1", "old"]}
        fixture.write_text(json.dumps(rows))
        load_fixtures([fixture])
        marks.append(loading_marker())
    # A name, a tie to many, nothing (a tie that is left out is left alone), a tie of a row to its like.
    assert [one != other for one, other in zip(marks, marks[1:], strict=False)] == [True, True, False, True]


def test_a_folder_that_cannot_be_written_does_not_stop_a_load(
    fixture: Path, settings, tmp_path: Path
) -> None:
    settings.DATA_DIR = tmp_path / "nowhere"
    assert load_fixtures([fixture]).created == len(ROWS) and loading_marker() == ""
