"""An export reads one moment and keeps nobody from saving."""

import threading

import pytest
from django.db import connection

from inventory.actions import change_record
from inventory.models import Instrument
from publishing.snapshot import reading_snapshot
from tests.factory import make_instrument, make_people


@pytest.mark.django_db(transaction=True)
def test_a_curator_saves_while_an_export_reads_and_the_export_sees_one_moment():
    people = make_people()
    organ = make_instrument(people.surveyor, name="before")
    saved: list[str] = []

    def save() -> None:
        try:
            mine = Instrument.objects.get(pk=organ.pk)
            mine.name = "after"
            change_record(mine, version=1, by=people.curator, put=[mine])
            saved.append("saved")
        finally:
            connection.close()

    with reading_snapshot():
        assert Instrument.objects.get(pk=organ.pk).name == "before"
        curator = threading.Thread(target=save)
        curator.start()
        curator.join(timeout=10)
        assert saved == ["saved"], "the curator waited for the export"
        assert Instrument.objects.get(pk=organ.pk).name == "before"
    assert Instrument.objects.get(pk=organ.pk).name == "after"


@pytest.mark.django_db(transaction=True)
def test_afterwards_transactions_take_the_write_lock_at_their_start_again():
    usual = getattr(connection, "transaction_mode", None)
    with reading_snapshot():
        pass
    assert getattr(connection, "transaction_mode", None) == usual
    if connection.vendor == "sqlite":
        assert usual == "IMMEDIATE"


@pytest.mark.django_db
def test_inside_a_larger_transaction_it_takes_part_in_that():
    with reading_snapshot():
        assert connection.in_atomic_block
