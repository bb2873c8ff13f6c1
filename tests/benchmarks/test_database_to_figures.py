"""From rows in the database to figures: the whole collection, end to end."""

import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from django.core.management import call_command

from inventory.column_rows import read_rows
from inventory.intake.collections import make_collection
from inventory.organ.collection import sum_collection
from inventory.organ.columns import columns_of
from inventory.schemes import schemes_of

ROOT = Path(__file__).resolve().parents[2]


@pytest.mark.django_db
def test_a_small_collection_of_rows_equals_reading_objects(people) -> None:
    call_command("loaddata", "vocabularies", verbosity=0)
    make_collection(20, 2, by=people.keeper, search=False)
    stored = read_rows()
    columns, objects = (
        sum_collection(c)
        for c in (stored.columns, columns_of(schemes_of(stored.specifications.tolist()).values()))
    )
    for name in ("calls", "pipes_called", "pipes_shared", "pipes_own", "pipes_repeated", "depth"):
        assert np.array_equal(getattr(columns, name), getattr(objects, name)), name


@pytest.mark.slow
def test_a_hundred_thousand_instruments_from_rows_to_figures(tmp_path) -> None:
    """The folder may be kept between runs: set BENCHMARK_DATA to it."""
    folder = Path(os.environ.get("BENCHMARK_DATA") or tmp_path)
    command = [sys.executable, "-m", "tests.benchmarks.measure_database", "100000"]
    own = {name: value for name, value in os.environ.items() if name != "DATABASE_URL"}
    environment = {**own, "UPPERBOARD_DATA": str(folder), "DJANGO_SETTINGS_MODULE": "inventory.settings"}
    run = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True, check=True)
    print(run.stdout.strip())
    found = json.loads(run.stdout)
    assert found["instruments"] == 100_000 and found["stops"] > 1_500_000
    assert found["ratio_to_objects"] > 10
