"""The collection read as columns says what the schemes say, one by one."""

import numpy as np
import pytest
from django.core.management import call_command

from inventory import columns
from inventory.actions import change_record
from inventory.column_rows import read_rows
from inventory.columns import read_collection, version_counter
from inventory.fixture_loading import mark_loaded
from inventory.intake.collections import make_collection
from inventory.models import Device, Instrument, Specification, Stop, User
from inventory.organ.calls import CalledPipes
from inventory.organ.collection import sum_collection
from inventory.organ.sums import sum_scheme
from inventory.schemes import schemes_of
from tests.factory import add_shared_rank, make_instrument


@pytest.fixture
def data_folder(tmp_path, settings):
    settings.DATA_DIR = tmp_path
    return tmp_path


@pytest.fixture
def keeper(db):
    call_command("loaddata", "vocabularies", verbosity=0)
    return User.objects.create_user(username="keeper", password="a long enough word", role="keeper")


def assert_columns_equal_schemes(stored):
    """Sums of every instrument and stop, against `schemes_of` and the one-scheme code."""
    sums = sum_collection(stored.columns)
    assert stored.specifications.tolist() == sorted(
        Specification.objects.current().values_list("pk", flat=True)
    )
    place_of_stop = {pk: place for place, pk in enumerate(stored.stops.tolist())}
    pks = {(s, code): pk for pk, s, code in Stop.objects.values_list("pk", "specification_id", "code")}
    for place, (specification, scheme) in enumerate(schemes_of(stored.specifications.tolist()).items()):
        one = sum_scheme(scheme, CalledPipes(scheme))
        found = [
            int(getattr(sums, name)[place])
            for name in ("calls", "pipes_called", "pipes_shared", "pipes_own", "pipes_repeated", "depth")
        ]
        assert found == [
            one.calls, one.pipes_called, one.pipes_shared, one.pipes_own, one.pipes_repeated, one.depth
        ]  # fmt: skip
        for stop in one.stops:
            at = place_of_stop[pks[specification, stop.stop]]
            there = [int(getattr(sums, f"stop_{name}")[at]) for name in ("keys", "own", "shared", "silent")]
            assert there == [stop.keys, stop.own, stop.shared, stop.silent]


def test_the_demo_read_as_columns_equals_its_schemes(db):
    call_command("loaddata", "vocabularies", "demo", verbosity=0)
    stored = read_rows()
    assert stored.specifications.size >= 40
    assert_columns_equal_schemes(stored)


def test_a_made_up_collection_read_as_columns_equals_its_schemes(keeper):
    make_collection(60, 5, by=keeper, search=False)
    stored = read_rows()
    assert stored.columns.tone is not None, "the collection should hold polyphone pipes"
    assert_columns_equal_schemes(stored)


def test_an_empty_record_is_an_empty_collection(db):
    stored = read_rows()
    assert stored.specifications.size == 0 and sum_collection(stored.columns).calls.size == 0


def test_what_was_kept_is_read_again_until_a_record_changes(people, data_folder, monkeypatch):
    instrument = make_instrument(people.curator)
    add_shared_rank(instrument, people.curator)
    first = read_collection()
    with monkeypatch.context() as nothing_else:
        nothing_else.setattr(columns, "read_rows", lambda: pytest.fail("the rows were read again"))
        again = read_collection()
    assert np.array_equal(first.columns.shift, again.columns.shift) and again.columns.tone is None
    stop = Stop.objects.get(code="flute-4")
    stop.state = "prepared"
    instrument = Instrument.objects.get()
    before = version_counter()
    change_record(instrument, version=instrument.version, by=people.curator, put=[stop])
    assert version_counter() != before
    assert sum_collection(read_collection().columns).calls.tolist() == [56]
    before = version_counter()
    mark_loaded()
    assert version_counter() != before == version_counter()[:4] + before[4:]


def test_a_kept_file_that_was_cut_short_is_not_believed(people, data_folder):
    add_shared_rank(make_instrument(people.curator), people.curator)
    whole = read_collection()
    file = data_folder / columns.CACHE
    file.write_bytes(file.read_bytes()[:200])
    assert read_collection().columns.rows == whole.columns.rows
    assert not [name for name in data_folder.iterdir() if name.name.startswith(".")]


def test_a_specification_that_is_not_current_is_left_out(people):
    instrument = make_instrument(people.curator)
    specification = add_shared_rank(instrument, people.curator)
    specification.is_current = False
    instrument = Instrument.objects.get()
    change_record(instrument, version=instrument.version, by=people.curator, put=[specification])
    assert read_rows().specifications.size == 0
    assert not Device.objects.filter(segments__isnull=False).exists()
