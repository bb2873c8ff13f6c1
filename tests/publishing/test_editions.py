"""Editions: made by editors, numbered, frozen, and without anything private."""

from __future__ import annotations

import dataclasses
import datetime
import hashlib

import pytest
from django.db import DatabaseError, connection, transaction

from inventory import history_guard
from inventory.actions import change_record, withdraw
from inventory.roles import NotAllowed, person_at_the_console
from publishing.editions import EditionRefused, differences, last_edition_figures, make_edition
from publishing.models import KEPT, Edition, EditionIsFrozen, pack
from tests.factory import add_shared_rank, make_instrument, make_place, make_public
from tests.publishing.leak_scanner import Scanner

pytestmark = pytest.mark.django_db
DAY = datetime.date(2031, 3, 1)


@pytest.fixture
def organ(people):
    """A public instrument that shares pipes."""
    made = make_instrument(people.curator, name="First organ")
    add_shared_rank(made, people.curator)
    made.refresh_from_db()
    return make_public(made, people.editor)


def test_only_an_editor_makes_an_edition(people, organ):
    for person in (people.reader, people.surveyor, people.curator):
        with pytest.raises(NotAllowed):
            make_edition(by=person, name="Spring")
    assert make_edition(by=people.editor, name="Spring").number == 1
    assert make_edition(by=people.keeper, name="Summer").number == 2


def test_a_name_is_wanted_once_and_of_some_length(people, organ):
    make_edition(by=people.editor, name="Spring")
    for name in ("Spring", " Spring ", "", "  ", "x" * 101):
        with pytest.raises(EditionRefused):
            make_edition(by=people.editor, name=name)
    assert Edition.editions.count() == 1


def test_signs_that_no_feed_may_hold_are_taken_out(people, organ):
    edition = make_edition(by=people.editor, name="Spring\x08\n 2031", changes="One\x00two\n\nthree")
    assert (edition.name, edition.changes) == ("Spring\ufffd 2031", "One\ufffdtwo\n\nthree")


def test_the_hash_is_that_of_the_list_of_checksums_and_the_list_that_of_the_files(people, organ):
    edition = make_edition(by=people.editor, name="Spring", day=DAY)
    files = dict(edition.files())
    assert edition.digest == hashlib.sha256(files["checksums-sha256.txt"]).hexdigest()
    for line in files["checksums-sha256.txt"].decode().splitlines():
        digest, path = line.split("  ")
        assert hashlib.sha256(files[path]).hexdigest() == digest


def test_the_same_state_on_the_same_day_gives_the_same_edition(people, organ):
    made = []
    for _turn in range(2):
        with transaction.atomic():
            edition = make_edition(by=people.editor, name="Spring", day=DAY)
            made.append(
                (edition.digest, bytes(edition.archive), edition.figures, edition.counts, edition.records)
            )
            transaction.set_rollback(True)
    assert made[0] == made[1]


def test_an_edition_is_neither_changed_nor_deleted_by_the_program(people, organ):
    edition = make_edition(by=people.editor, name="Spring")
    edition.name = "Autumn"
    with pytest.raises(EditionIsFrozen):
        edition.save()
    with pytest.raises(EditionIsFrozen):
        edition.delete()


def test_an_edition_is_neither_changed_nor_deleted_in_the_database(people, organ):
    make_edition(by=people.editor, name="Spring")
    history_guard.protect(connection, KEPT)
    try:
        for change in (
            lambda: Edition.editions.update(archive=b""),
            lambda: Edition.editions.update(digest="0" * 64),
            lambda: Edition.editions.all().delete(),
        ):
            with pytest.raises(DatabaseError, match="editions are frozen"), transaction.atomic():
                change()
    finally:
        history_guard.release(connection, KEPT)
    assert Edition.editions.update(digest="0" * 64) == 1  # without the guard it would have gone through


def test_an_edition_keeps_what_it_published_when_the_record_changes_and_goes(people, organ):
    first = make_edition(by=people.editor, name="Spring", day=DAY)
    before = dict(first.files())
    organ.name = "Another name"
    organ = change_record(organ, version=organ.version, by=people.curator, put=[organ])
    withdraw(organ, version=organ.version, by=people.editor, because="A test")
    second = make_edition(by=people.editor, name="Summer", day=DAY)
    assert dict(Edition.editions.get(number=1).files()) == before
    assert b"First organ" in before["instruments.csv"]
    assert b"First organ" not in dict(second.files())["instruments.csv"]
    assert organ.reference.encode() in dict(second.files())["withdrawn.csv"]
    assert differences(first.records, second.records).gone == (("instruments", organ.reference),)


def test_differences_tell_new_changed_and_gone_records(people, organ):
    first = make_edition(by=people.editor, name="Spring")
    new = make_public(make_place(people.curator), people.editor)
    organ.summary = "Changed."
    change_record(organ, version=organ.version, by=people.curator, put=[organ])
    second = make_edition(by=people.editor, name="Summer")
    found = differences(first.records, second.records)
    assert found.new == (("places", new.reference),)
    assert found.changed == (("instruments", organ.reference),) and found.gone == ()
    assert not differences(second.records, second.records)


def test_figures_are_those_of_the_last_edition_and_not_of_today(people, organ):
    assert last_edition_figures() is None
    make_edition(by=people.editor, name="Spring", day=DAY)
    make_public(make_instrument(people.curator), people.editor)
    figures = last_edition_figures()
    assert (figures.number, figures.made_on) == (1, "2031-03-01")
    assert (figures.instruments, figures.described, figures.sharing) == (1, 1, 1)
    # 56 keys at 8′ and 4′ on one rank: 112 calls, 68 pipes, 44 shared (reckoned by hand: 56·2, 56+12, 56-12).
    assert [figures.all[name] for name in ("stops", "calls", "pipes_called", "pipes_shared")] == [
        2,
        112,
        68,
        44,
    ]
    assert figures.devices == {"": 1}
    assert figures.patterns == {"octave extension": 1}
    make_edition(by=people.editor, name="Summer")
    figures = last_edition_figures()
    assert (figures.instruments, figures.described, figures.sharing) == (2, 1, 1)


def test_a_record_that_is_not_public_changes_no_byte_of_an_edition(people, organ):
    def archive() -> bytes:
        with transaction.atomic():
            found = bytes(make_edition(by=people.editor, name="Spring", day=DAY).archive)
            transaction.set_rollback(True)
        return found

    without = archive()
    make_instrument(people.curator, name="A secret organ", owner="A secret owner")
    organ.owner = "Another secret owner"
    type(organ).objects.filter(pk=organ.pk).update(owner=organ.owner)
    assert archive() == without


def test_the_archive_of_the_same_files_has_the_same_bytes():
    files = [("b.txt", b"b" * 1000), ("a.txt", b"")]
    assert pack(files) == pack(files)
    edition = Edition(number=1, archive=pack(files))
    assert list(edition.files()) == files


def test_at_the_console_the_only_editor_is_taken_and_several_are_asked_for(people):
    with pytest.raises(NotAllowed, match="--by"):
        person_at_the_console("", "make edition")
    assert person_at_the_console(people.editor.username, "make edition") == people.editor
    with pytest.raises(NotAllowed, match=people.keeper.username):
        person_at_the_console(people.reader.username, "make edition")
    type(people.editor).objects.filter(pk=people.keeper.pk).update(is_active=False)
    assert person_at_the_console("", "make edition") == people.editor
    type(people.editor).objects.filter(pk=people.editor.pk).update(is_active=False)
    with pytest.raises(NotAllowed, match="nobody may yet"):
        person_at_the_console("", "make edition")


def test_the_scanner_would_see_a_private_word_in_a_frozen_archive(people, organ):
    edition = make_edition(by=people.editor, name="Spring")
    scanner = Scanner(["zq-owners-1"])
    assert not scanner.content(bytes(edition.archive))
    leaking = [*edition.files(), ("leak.csv", b"instrument,owner\r\nORG-1,zq-owners-1\r\n")]
    assert scanner.content(pack(leaking))


def test_differences_are_values():
    found = differences({"makers": {"A": 1}}, {"makers": {"A": 2}, "places": {"P": 1}})
    assert dataclasses.astuple(found) == ((("places", "P"),), (("makers", "A"),), ())
