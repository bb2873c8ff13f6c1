"""The real export, killed at random moments: the old catalogue or the new one stands, whole."""

from __future__ import annotations

import json
import subprocess
import sys

import pytest

from tests.publishing.conftest import ROOT, DemoHouse


def kill_some(house: DemoHouse, times: int, views: int) -> dict[str, object]:
    """Kill so many exports of a small collection in a house of its own; every judgement is made there."""
    house.site.parent.mkdir(parents=True)
    house.manage("migrate", "-v0")
    done = subprocess.run(
        [sys.executable, "-m", "tests.publishing.catalogue.killing", str(house.site.parent), str(times), str(views)],
        cwd=ROOT, env=house.environment(), capture_output=True, text=True, timeout=900,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)


def test_killed_at_five_random_moments_a_whole_catalogue_stands_and_the_next_export_succeeds(tmp_path):
    found = kill_some(DemoHouse(tmp_path / "data", tmp_path / "sites" / "site"), times=5, views=1)
    assert found["killed"] >= 2 and found["beside"] == ["anew", "site"]


@pytest.mark.thorough
def test_killed_at_fifty_random_moments_a_whole_catalogue_stands_and_the_next_export_succeeds(tmp_path):
    found = kill_some(DemoHouse(tmp_path / "data", tmp_path / "sites" / "site"), times=50, views=6)
    assert found["killed"] >= 25 and 0 < found["replaced"] < 50 and found["beside"] == ["anew", "site"]
