"""A study in a file: the script in it recomputes its figures from its tables alone."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import frictionless
import pandas as pd
import pytest

from publishing.formats.release import Release
from publishing.statistics.dictionary import TABLES, types_of
from publishing.statistics.examples import example_instrument
from publishing.statistics.frames import frames_of
from publishing.statistics.study import Subset, choose_subset, study_files, view_of
from publishing.statistics.tables import as_csv, as_parquet

RELEASE = Release("An inventory", "CC BY 4.0", "", "")


def write(folder: Path, organs: list, subset: Subset | None = None) -> Path:
    for path, content in study_files(frames_of(organs), subset or Subset(), RELEASE):
        target = folder / path
        target.parent.mkdir(parents=True, exist_ok=True)
        target.write_bytes(content)
    return folder


def recompute(folder: Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, folder / "recompute.py"], capture_output=True, text=True, timeout=120
    )


@pytest.fixture
def study(tmp_path) -> Path:
    organs = [example_instrument(f"ORG-{n}", shares=n % 3 != 0) for n in range(8)]
    return write(tmp_path, organs)


def test_the_script_is_short_and_its_figures_are_those_told(study):
    assert len((study / "recompute.py").read_text().splitlines()) <= 30
    done = recompute(study)
    assert done.returncode == 0, done.stderr
    # 5 of 8 share; each of the five has 122 calls on 73 pipes (DESIGN §4).
    assert "instruments, sharing: 5 of 8, as told" in done.stdout
    assert "economy, calls-per-pipe: 610 of 365, as told" in done.stdout


def test_control_the_script_notices_one_pipe_that_is_changed(study):
    text = (study / "segments.csv").read_text()
    assert ",1 2 3 " in text
    (study / "segments.csv").write_text(text.replace(",1 2 3 ", ",0 2 3 ", 1))
    assert recompute(study).returncode != 0


def test_the_demo_s_study_by_the_command_a_person_types(demo_house, tmp_path):
    done = demo_house.manage("write_study", "--to", str(tmp_path / "study"), "--pattern", "octave extension")
    assert "files in" in done.stdout
    again = recompute(tmp_path / "study")
    assert again.returncode == 0 and "as told" in again.stdout, again.stderr


def test_it_reads_back_as_a_data_package(study):
    document = json.loads((study / "datapackage.json").read_text())
    assert {one["name"] for one in document["resources"]} >= {"segments", "stops", "instruments", "figures"}
    report = frictionless.validate(str(study / "datapackage.json"))
    assert report.valid, report.flatten(["title", "message"])[:5]


def test_every_column_of_every_table_is_in_the_code_book(study):
    book = (study / "code-book.md").read_text()
    for table, columns in TABLES.items():
        assert f"## {table.replace('_', '-')}.csv" in book
        for column in columns:
            assert f"| `{column.name}` |" in book and column.meaning in book


ORDINALS = {
    ("segments", "row"),
    ("patterns", "family"),
    ("signatures", "family"),
    ("instruments", "recording_level"),
}


def test_every_meaning_is_a_sentence_and_every_number_that_measures_or_counts_has_its_unit():
    columns = [(table, column) for table, listed in TABLES.items() for column in listed]
    unclear = [
        (table, column.name) for table, column in columns
        if not column.meaning.endswith(".") or len(column.meaning.split()) < 2 or "  " in column.meaning
    ]  # fmt: skip
    assert unclear == []
    numbers = {(table, one.name) for table, one in columns if one.kind in ("int64", "Int64", "float64")}
    assert {(table, one.name) for table, one in columns if not one.unit} & numbers == ORDINALS


@pytest.mark.parametrize("organs", [[], [example_instrument()], [example_instrument(shares=False)]])
def test_an_empty_or_a_tiny_study_is_a_study_without_broken_numbers(tmp_path, organs):
    folder = write(tmp_path, organs)
    assert recompute(folder).returncode == 0
    for path in folder.rglob("*"):
        if path.suffix in (".csv", ".md", ".svg"):
            assert "nan" not in path.read_text().lower().replace("finance", ""), path.name


def test_a_subset_holds_its_instruments_and_no_others():
    organs = [example_instrument("A"), example_instrument("B", shares=False)]
    chosen = choose_subset(frames_of(organs), Subset(pattern="octave extension"))
    assert set(chosen.segments["reference"]) == set(chosen.instruments["reference"]) == {"A"}
    assert choose_subset(frames_of(organs), Subset(maker="MKR-9")).instruments.empty


@pytest.mark.parametrize("words", ["yesterday", "99", "-1", ""])
def test_an_unknown_view_is_refused_with_what_to_do(words):
    with pytest.raises(ValueError, match="give as-found, as-built or a year"):
        view_of(words)


def test_parquet_and_csv_hold_the_same(tmp_path):
    table = frames_of([example_instrument()]).segments
    (tmp_path / "a.parquet").write_bytes(as_parquet(table))
    (tmp_path / "a.csv").write_bytes(as_csv(table))
    one = pd.read_parquet(tmp_path / "a.parquet")
    other = pd.read_csv(tmp_path / "a.csv", keep_default_na=False)
    assert list(one.columns) == list(other.columns) == list(types_of("segments"))
    assert one["calls_shared"].tolist() == other["calls_shared"].tolist() == [49, 49]
    assert one["pipes_asked"].tolist() == other["pipes_asked"].tolist()
