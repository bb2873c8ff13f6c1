"""The real command, killed at random moments: the old catalogue or the new one stands, whole."""

from __future__ import annotations

import os
import random
import re
import shutil
import signal
import subprocess
import sys
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from publishing.catalogue.manifest import verify_site
from tests.publishing.catalogue.test_same_bytes import bytes_of
from tests.publishing.conftest import ROOT, DemoHouse

TIMES = 20
NAME = re.compile(rb'<a class="name" href="[^"]*">([^<]*)</a>')


def start(house: DemoHouse, to: Path, name: str) -> subprocess.Popen[bytes]:
    """Begin an export in which every page differs from the last one's: the collection has another name."""
    return subprocess.Popen(
        [sys.executable, "manage.py", "publish_catalogue", "--to", str(to), "-v0"],
        cwd=ROOT, env=house.environment(COLLECTION_NAME=name), stdout=subprocess.DEVNULL, stderr=subprocess.PIPE,
    )  # fmt: skip


def wait_until_it_writes(child: subprocess.Popen[bytes], to: Path) -> float:
    """The moment the export begins; what Python does before touches nothing."""
    lock = to.parent / f".{to.name}.upperboard-lock"
    while child.poll() is None and not os.path.lexists(lock):
        time.sleep(0.002)
    return time.monotonic()


def names_printed(site: Path) -> set[bytes]:
    """The names the pages of a site call the collection."""
    return {
        found.group(1)
        for path, content in bytes_of(site).items()
        if path.endswith(".html")
        for found in [NAME.search(content)]
        if found is not None
    }


def kill_some(house: DemoHouse, folder: Path, times: int) -> tuple[int, int]:
    """Kill exports over one site at random moments, judging what stands; how many ran, how many had replaced it."""
    to = folder / "site"
    to.parent.mkdir()
    shutil.copytree(house.site, to)
    child = start(house, to, "Measured")
    began = wait_until_it_writes(child, to)
    assert child.wait() == 0, child.stderr.read()
    lasts = time.monotonic() - began
    old = bytes_of(to)
    moments = random.Random(folder.name)
    running = replaced = 0
    for number in range(times):
        name = f"Round {number}"
        child = start(house, to, name)
        wait_until_it_writes(child, to)
        time.sleep(moments.uniform(0, lasts))
        running += child.poll() is None
        child.send_signal(signal.SIGKILL)
        child.wait()
        assert verify_site(to) == [], number
        standing = bytes_of(to)
        if standing != old:
            assert names_printed(to) == {name.encode()}, number
            assert standing.keys() == old.keys(), number
            old, replaced = standing, replaced + 1
    house.manage("publish_catalogue", "--to", str(to), COLLECTION_NAME="Last")
    assert verify_site(to) == [] and names_printed(to) == {b"Last"}
    assert os.listdir(folder) == ["site"]
    return running, replaced


@pytest.mark.slow
def test_killed_at_twenty_random_moments_a_whole_catalogue_stands_and_the_next_export_succeeds(
    small_house, tmp_path
):
    """Two lines of ten kills at once, each with a data folder of its own."""
    houses = [small_house, DemoHouse(tmp_path / "data", small_house.site)]
    shutil.copytree(small_house.data, houses[1].data)
    with ThreadPoolExecutor(2) as pool:
        lines = pool.map(kill_some, houses, [tmp_path / "one", tmp_path / "two"], [TIMES // 2] * 2)
        running, replaced = map(sum, zip(*lines, strict=True))
    assert running >= TIMES // 2
    assert replaced < TIMES
