"""All tables that rest on columns for 100,000 instruments, beside pandas over expanded keys."""

import json
import subprocess
import sys
from pathlib import Path

import pandas as pd
import pytest

from inventory.organ.synthetic_columns import make_columns
from publishing.statistics.choosing import View
from publishing.statistics.collection_tables import frames_of_columns
from publishing.statistics.frames import frames_of_rows
from publishing.statistics.row_store import RowStore
from publishing.statistics.rows import NAMES, rows_of
from tests.benchmarks.expanded_keys import count_expanded
from tests.benchmarks.measure_all_tables import copies, made_up
from tests.benchmarks.measure_statistics import about

ROOT = Path(__file__).resolve().parents[2]


def test_a_small_collection_equals_pandas_over_expanded_keys() -> None:
    columns = make_columns(150, seed=5)
    frames = frames_of_columns(columns, about(150))
    sums, stops = count_expanded(columns, 150)
    for name in ("calls", "pipes_called", "pipes_shared"):
        assert frames.instruments[name].tolist() == sums[name].tolist()
    for name in ("own", "shared", "silent"):
        assert frames.stops[name].tolist() == stops[name].tolist()
    # The live calls of rows are the calls, but for two rows of a stop that ask one pipe at one key.
    assert frames.segments["calls"].sum() >= frames.instruments["calls"].sum()


@pytest.mark.slow
def test_a_hundred_thousand_instruments_in_a_minute_of_one_processor_and_four_gigabytes() -> None:
    found = {}
    for size in (10_000, 100_000):
        command = [sys.executable, "-m", "tests.benchmarks.measure_statistics", str(size)]
        run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
        found[size] = json.loads(run.stdout)
        print(run.stdout.strip())
    largest = found[100_000]
    assert largest["processor_seconds"] < 60 and largest["peak_megabytes"] < 4_000
    assert largest["ratio"] >= 10
    assert largest["processor_seconds"] < 15 * max(found[10_000]["processor_seconds"], 1.0)


def test_kept_rows_of_a_small_collection_make_the_tables_that_rows_in_hand_make(tmp_path) -> None:
    made = [rows_of(made_up(number), View()) for number in range(6)]
    store = RowStore(tmp_path, "as-found")
    store.put(copies(made, 20))
    kept = frames_of_rows(View(), store.rows(), chunk=7)
    straight = frames_of_rows(View(), ((reference, rows) for reference, _key, rows in copies(made, 20)))
    for name in NAMES:
        pd.testing.assert_frame_equal(getattr(kept, name), getattr(straight, name))
    assert len(kept.instruments) == 20 and len(kept.patterns) > 0


@pytest.mark.slow
def test_all_tables_of_a_hundred_thousand_from_kept_rows_grow_in_step_and_an_edit_costs_milliseconds() -> (
    None
):
    found = {}
    for size in (10_000, 100_000):
        command = [sys.executable, "-m", "tests.benchmarks.measure_all_tables", str(size)]
        run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
        found[size] = json.loads(run.stdout)
        print(run.stdout.strip())
    small, large = found[10_000], found[100_000]
    assert large["tables_processor_seconds"] < 15 * max(small["tables_processor_seconds"], 1.0)
    assert large["peak_megabytes"] < 4_000
    assert large["edit_milliseconds"] < 20 * max(small["edit_milliseconds"], 1.0)
