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


@pytest.mark.slow
def test_killed_at_twenty_random_moments_a_whole_catalogue_stands_and_the_next_export_succeeds(
    small_house, tmp_path
):
    to = tmp_path / "site"
    shutil.copytree(small_house.site, to)
    old = bytes_of(to)
    child = start(small_house, to, "Measured")
    began = wait_until_it_writes(child, to)
    assert child.wait() == 0, child.stderr.read()
    lasts = time.monotonic() - began
    shutil.rmtree(to)
    shutil.copytree(small_house.site, to)

    moments = random.Random(20)
    killed_while_running = replaced = 0
    for number in range(TIMES):
        name = f"Round {number}"
        child = start(small_house, to, name)
        wait_until_it_writes(child, to)
        time.sleep(moments.uniform(0, lasts))
        killed_while_running += child.poll() is None
        child.send_signal(signal.SIGKILL)
        child.wait()
        assert verify_site(to) == [], number
        standing = bytes_of(to)
        if standing != old:
            assert names_printed(to) == {name.encode()}, number
            assert standing.keys() == old.keys(), number
            old, replaced = standing, replaced + 1
    assert killed_while_running >= TIMES // 2
    assert replaced < TIMES

    small_house.manage("publish_catalogue", "--to", str(to), COLLECTION_NAME="Last")
    assert verify_site(to) == [] and names_printed(to) == {b"Last"}
    assert os.listdir(tmp_path) == ["site"]
