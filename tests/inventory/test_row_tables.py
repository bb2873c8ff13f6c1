"""Both ways of reading tables give the same arrays."""

import logging

import numpy as np
import pytest
from django.core.management import call_command
from django.db import connection, transaction

from inventory import row_tables
from inventory.column_rows import _WANTED, read_rows
from inventory.intake.collections import make_collection
from inventory.models import Rank, Segment
from inventory.row_tables import NONE, Wanted, read_tables

needs_arrow = pytest.mark.skipif(
    connection.vendor != "sqlite", reason="only SQLite is read by a process of its own"
)


@pytest.fixture
def filled(transactional_db, people, monkeypatch):
    """A small collection, committed, and large enough for a process of its own."""
    call_command("loaddata", "vocabularies", verbosity=0)
    make_collection(12, 5, by=people.keeper, search=False)
    monkeypatch.setattr(row_tables, "WORTH_A_PROCESS", 1)


def said(found):
    """Columns with the texts themselves instead of their numbers."""
    return [
        {
            name: [table.texts[name][n] for n in column.tolist()] if name in table.texts else column.tolist()
            for name, column in table.numbers.items()
        }
        for table in found
    ]


@needs_arrow
def test_arrow_and_cursor_read_the_same(filled):
    assert row_tables._can_stream(_WANTED)
    streamed = row_tables._streamed(_WANTED)
    fetched = [row_tables._fetched(table) for table in _WANTED]
    assert said(streamed) == said(fetched)
    assert len(streamed[-1].numbers["stop_id"]) == Segment.objects.count() > 0
    assert len(streamed[2].texts["notes"]) > 1, "some row of pipes has gaps"


@needs_arrow
def test_columns_are_the_same_either_way(filled, monkeypatch):
    streamed = read_rows()
    monkeypatch.setattr(row_tables, "WORTH_A_PROCESS", 10**9)
    fetched = read_rows()
    for name in ("stop", "rank", "first_key", "last_key", "shift", "rank_pipes", "stop_first", "stop_keys"):
        assert np.array_equal(getattr(streamed.columns, name), getattr(fetched.columns, name)), name


@needs_arrow
def test_an_open_transaction_reads_its_own_rows(filled):
    with transaction.atomic():
        Segment.objects.all().delete()
        assert not read_tables(_WANTED)[-1].numbers["stop_id"].size


@needs_arrow
def test_a_reading_process_that_fails_is_reported_and_the_cursor_reads(filled, monkeypatch, caplog, tmp_path):
    expected = said(read_tables(_WANTED))
    broken = tmp_path / "broken.py"
    broken.write_text("raise SystemExit('no driver here')")
    monkeypatch.setattr(row_tables, "_STREAM", broken)
    with caplog.at_level(logging.WARNING):
        assert said(read_tables(_WANTED)) == expected
    assert "no driver here" in caplog.text


@needs_arrow
def test_empty_tables_have_empty_columns_of_the_same_kinds(transactional_db):
    streamed = row_tables._streamed(_WANTED)
    assert said(streamed) == said([row_tables._fetched(table) for table in _WANTED])
    assert streamed[-1].numbers["shift"].size == 0


def test_small_numbers_survive_packing_at_their_limits(db):
    numbers = [(NONE, 32_767, NONE, 0), (32_767, NONE, 32_767, -1), (0, -1, 1, NONE), (-1, 0, 0, 0)]
    names = ("a", "b", "c", "d")
    rows = " UNION ALL ".join(
        "SELECT " + ", ".join(f"{n} AS {c}" for n, c in zip(row, names, strict=True)) for row in numbers
    )
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT {row_tables._packed(names)} FROM ({rows}) AS four")
        packed = np.array([row[0] for row in cursor.fetchall()], np.int64)
    unpacked = row_tables._unpacked(names, packed)
    assert list(zip(*(unpacked[name].tolist() for name in names), strict=True)) == numbers


def test_empty_numbers_are_told_from_nought(db):
    read = read_tables([Wanted(Rank, ("id",), ("pipes", "low_note"), ("tones",))])[0]
    assert set(read.numbers) == {"id", "pipes", "low_note", "tones"}
