"""How fast the sums of a whole collection are, against a plain loop over sets in the same run."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from inventory.organ.collection import sum_collection
from inventory.organ.synthetic_columns import make_columns
from tests.benchmarks.measure_collection import assert_same_start
from tests.benchmarks.set_loop import loop_over_sets

ROOT = Path(__file__).resolve().parents[2]


def test_a_small_collection_equals_the_set_loop() -> None:
    columns = make_columns(200, seed=9)
    assert_same_start(sum_collection(columns, 50), loop_over_sets(columns, 200))


@pytest.mark.slow
def test_a_hundred_thousand_instruments_at_500_times_the_set_loop_under_a_gigabyte() -> None:
    found = {}
    for size in (1_000, 10_000, 100_000):
        command = [sys.executable, "-m", "tests.benchmarks.measure_collection", str(size)]
        run = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=True)
        found[size] = json.loads(run.stdout)
        print(run.stdout.strip())
    largest = found[100_000]
    assert largest["calls"] > 100_000_000
    assert largest["ratio"] >= 500
    assert largest["peak_megabytes"] < 1_000
