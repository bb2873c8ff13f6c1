"""The data package against the official profiles and another reader; each check shown on a broken copy."""

from __future__ import annotations

import csv
import hashlib
import io
import json
from pathlib import Path

import jsonschema
import pytest

from publishing.formats.columns import Column
from publishing.formats.datapackage import TABLES

frictionless = pytest.importorskip("frictionless")
pytestmark = pytest.mark.django_db


def write(files: dict[str, bytes], folder: Path) -> Path:
    for path, content in files.items():
        (folder / path).write_bytes(content)
    return folder


def problems(folder: Path) -> set[str]:
    """Kinds of errors another reader finds."""
    found = frictionless.validate(str(folder / "datapackage.json"))
    kinds = {error.type for task in found.tasks for error in task.errors}
    return kinds | {error.type for error in found.errors}


@pytest.mark.parametrize("version", ["1.0", "2.0"])
def test_the_descriptor_is_valid_under_the_official_profile(demo, schemas, version):
    profile = json.loads((schemas / "frictionless" / version / "datapackage.json").read_text())
    validator = jsonschema.validators.validator_for(profile)(profile)
    for files in (demo.files, demo.frozen):
        document = json.loads(files["datapackage.json"])
        assert [error.message for error in validator.iter_errors(document)] == []
    broken = document | {"resources": [{**document["resources"][0], "name": 7}]}
    assert list(validator.iter_errors(broken))


def test_another_reader_finds_no_fault(demo, tmp_path):
    assert problems(write(demo.files, tmp_path)) == set()


def test_another_reader_finds_no_fault_in_the_frozen_edition(demo, tmp_path):
    assert problems(write(demo.frozen, tmp_path)) == set()


BREAKAGES = {
    "hash": ("stops.csv", b"present", b"missing", "hash-count"),
    "bytes": ("stops.csv", b"\r\n", b"\r\n ", "byte-count"),
    "type": ("keyboards.csv", b",manual,", b",manual,many", "type-error"),
    "list": ("keyboards.csv", b"36 37 ", b"36, 37 ", "extra-cell"),
    "closed list": ("stop_ranks.csv", b",certain,", b",surely,", "constraint-error"),
    "reference": ("stop_ranks.csv", b"\r\nORG-0001,", b"\r\nORG-none,", "foreign-key"),
    "heading": ("ranks.csv", b"low_note_midi", b"low_note", "incorrect-label"),
    "key": ("instruments.csv", b"ORG-0002,", b"ORG-0001,", "primary-key"),
}


@pytest.mark.parametrize("what", BREAKAGES)
def test_another_reader_finds_what_was_broken(demo, tmp_path, what):
    file, old, new, expected = BREAKAGES[what]
    content = demo.files[file]
    assert old in content
    files = demo.files | {file: content.replace(old, new, 1)}
    if what not in ("hash", "bytes"):  # the descriptor agrees, so that the fault itself is seen
        document = json.loads(files["datapackage.json"])
        for resource in document["resources"]:
            if resource["path"] == file:
                resource["bytes"] = len(files[file])
                resource["hash"] = "sha256:" + hashlib.sha256(files[file]).hexdigest()
        files["datapackage.json"] = json.dumps(document).encode()
    assert expected in problems(write(files, tmp_path))


def test_the_same_data_give_the_same_bytes(demo):
    assert demo.files == demo.again
    # The edition read the records anew.
    assert [
        path for path in demo.files if path.endswith(".csv") and demo.files[path] != demo.frozen[path]
    ] == []
    assert demo.release.version.startswith("state-")


def test_the_checksums_are_those_of_every_other_file(demo):
    for files in (demo.files, demo.frozen):
        listed = dict(
            reversed(line.split("  ")) for line in files["checksums-sha256.txt"].decode().splitlines()
        )
        assert listed == {
            path: hashlib.sha256(content).hexdigest()
            for path, content in files.items()
            if path != "checksums-sha256.txt"
        }


def test_every_table_has_its_columns_and_only_full_rows(demo):
    for table in TABLES:
        rows = list(csv.reader(io.StringIO(demo.files[table.file].decode("utf-8"), newline="")))
        assert rows[0] == [column.name for column in table.columns]
        assert {len(row) for row in rows} == {len(table.columns)}


def test_the_demo_fills_every_table_but_that_of_withdrawn_records(demo):
    empty = {table.name for table in TABLES if demo.files[table.file].count(b"\r\n") < 2}
    assert empty <= {"withdrawn"}


SUFFIXES = ("_midi", "_semitones", "_channels", "_px", "_hz", "_c", "_m", "_degrees", "_fraction", "_water",
            "_feet", "_year", "_key", "_pipe", "_pipes", "_stops", "_calls", "_shared", "_called", "_heard",
            "_tried")  # fmt: skip


def bears_its_unit(column: Column) -> bool:
    return not column.unit or column.name in ("keys", "pipes") or column.name.endswith(SUFFIXES)


def test_a_column_with_a_unit_bears_it_in_its_name():
    assert [c.name for table in TABLES for c in table.columns if not bears_its_unit(c)] == []
    assert not bears_its_unit(Column("pitch", "number", "Pitch.", unit="hertz"))


def test_every_reference_names_a_table_and_its_columns():
    columns = {table.name: {column.name for column in table.columns} for table in TABLES}
    for table in TABLES:
        assert set(table.key) <= columns[table.name]
        for reference in table.references:
            assert set(reference.columns) <= columns[table.name]
            assert set(reference.there) <= columns[reference.table or table.name]
