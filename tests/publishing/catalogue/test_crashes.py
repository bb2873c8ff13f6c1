"""Killed, or failing, at any moment: the old site or the new one stands whole, and the next export succeeds.

Measured the same way, a writer that works in place is caught broken: the tests can fail.
"""

import errno
import os
import shutil
import signal
from pathlib import Path

import pytest

from publishing.catalogue import swapping, writing
from publishing.catalogue.manifest import verify_site
from publishing.catalogue.swapping import SiteWriteError
from publishing.catalogue.writing import repair, write_site
from tests.publishing.catalogue.crashing import (
    CountedCalls,
    kill_at_random_moments,
    pages,
    run_child,
    standing_generation,
)

MANY = 300
FEW = 4


@pytest.fixture
def unsynced(monkeypatch):
    """A kill loses nothing the system has taken, so these tests need not wait for the disk."""
    monkeypatch.setattr(os, "fsync", lambda number: None)
    monkeypatch.setattr(writing, "sync_whole_file_system", lambda folder: None)


@pytest.mark.parametrize(
    ("count", "times"), [(MANY, 24), (30, 20)], ids=["300 pages unsynced", "30 pages synced"]
)
def test_killed_at_random_moments_the_old_or_the_new_site_stands_whole(tmp_path, request, count, times):
    if count == MANY:
        request.getfixturevalue("unsynced")
    target = tmp_path / "site"
    standing = kill_at_random_moments(
        lambda generation, to: write_site(pages(generation, count), to), target, count, times, seed=1
    )
    assert None not in standing and 0 not in standing
    assert len(standing) == times
    write_site(pages(99, count), target)
    assert verify_site(target) == [] and os.listdir(tmp_path) == ["site"]


def test_control_writers_that_work_in_place_or_remove_first_are_caught_broken(tmp_path, unsynced):
    def in_place(generation: int, to: Path) -> None:
        for old in to.rglob("generation-*"):
            old.unlink()
        for path, content in pages(generation, 100):
            (to / path).parent.mkdir(parents=True, exist_ok=True)
            (to / path).write_bytes(content)

    def remove_first(generation: int, to: Path) -> None:
        shutil.rmtree(to, ignore_errors=True)
        write_site(pages(generation, 100), to)

    for number, write in enumerate((in_place, remove_first)):
        target = tmp_path / str(number) / "site"
        standing = kill_at_random_moments(write, target, 100, times=12, seed=1)
        assert None in standing, write.__name__


def count_calls(monkeypatch, tmp_path: Path, two_steps: bool) -> int:
    """How many calls that touch the disk one export of a changed small site makes."""
    target = tmp_path / "counted" / "site"
    write_site(pages(1, FEW), target)
    with monkeypatch.context() as patch:
        if two_steps:
            patch.setattr(swapping, "exchange", lambda first, second: False)
        counter = CountedCalls(patch, lambda name: None, -1, swapping)
        write_site(pages(2, FEW), target)
    return counter.calls


@pytest.mark.parametrize("two_steps", [False, True], ids=["exchanged", "in two steps"])
def test_killed_before_every_single_call_that_touches_the_disk(tmp_path, monkeypatch, unsynced, two_steps):
    total = count_calls(monkeypatch, tmp_path, two_steps)
    assert total > 60
    absent = 0
    stood = set()
    target = tmp_path / "site"
    write_site(pages(1, FEW), target)
    for at in range(1, total + 1):
        former, wanted = 2 * at - 1, 2 * at

        def export_and_die(at: int = at, wanted: int = wanted) -> None:
            if two_steps:
                swapping.exchange = lambda first, second: False
            CountedCalls(monkeypatch, lambda name: os.kill(os.getpid(), signal.SIGKILL), at, swapping)
            write_site(pages(wanted, FEW), target)

        assert not run_child(export_and_die), f"call {at} was never reached"
        stands = standing_generation(target, FEW)
        if stands == 0:
            absent += 1
            assert two_steps and repair(target)
            stands = standing_generation(target, FEW)
        assert stands in (former, wanted), f"broken after a kill before call {at}"
        stood.add(wanted - stands)
        write_site(pages(wanted + 1, FEW), target)
        assert standing_generation(target, FEW) == wanted + 1 and verify_site(target) == []
        assert "site" in os.listdir(tmp_path) and set(os.listdir(tmp_path)) <= {"site", "counted"}
    assert stood == {0, 1}
    assert absent == (1 if two_steps else 0)  # only between the two renames


@pytest.mark.parametrize(
    ("two_steps", "sticky", "number"),
    [(False, False, errno.ENOSPC), (False, True, errno.ENOSPC), (True, False, errno.EIO)],
    ids=["disk full once", "disk full from then on", "disk error, in two steps"],
)
def test_a_failure_of_every_single_call_leaves_a_whole_site(
    tmp_path, monkeypatch, unsynced, two_steps, sticky, number
):
    total = count_calls(monkeypatch, tmp_path, two_steps)
    target = tmp_path / "site"
    write_site(pages(1, FEW), target)
    refused = 0

    def raise_error(*_args: object, **_kwargs: object) -> None:
        raise OSError(number, os.strerror(number))

    for at in range(1, total + 1):
        former, wanted = 2 * at - 1, 2 * at
        with monkeypatch.context() as patch:
            if two_steps:
                patch.setattr(swapping, "exchange", lambda first, second: False)

            def fail(name: str, patch: pytest.MonkeyPatch = patch) -> None:
                if sticky:  # the disk takes nothing more; what is there can still be removed and renamed
                    for call in ("write", "fsync", "mkdir"):
                        patch.setattr(os, call, raise_error)
                raise_error()

            CountedCalls(patch, fail, at, swapping)
            try:
                write_site(pages(wanted, FEW), target)
                expected = wanted
            except SiteWriteError as error:
                refused += 1
                expected = former
                assert ("disk is full" in str(error)) == (number == errno.ENOSPC)
                assert "as it was" in str(error)
        assert standing_generation(target, FEW) == expected, f"call {at}"
        write_site(pages(wanted + 1, FEW), target)
        assert standing_generation(target, FEW) == wanted + 1
        assert set(os.listdir(tmp_path)) == {"site", "counted"}
    assert refused > total / 2


def test_a_full_disk_removes_what_was_begun(tmp_path, monkeypatch):
    target = tmp_path / "site"
    write_site(pages(1, FEW), target)
    real, room = os.write, [1500]

    def write(number: int, content: memoryview) -> int:
        if room[0] <= 0:
            raise OSError(errno.ENOSPC, "No space left on device")
        room[0] -= 500
        return real(number, content[:500])  # short writes, as a filling disk makes them

    with monkeypatch.context() as patch:
        patch.setattr(os, "write", write)
        with pytest.raises(SiteWriteError, match="disk is full; free some space"):
            write_site(pages(2, FEW), target)
        assert standing_generation(target, FEW) == 1 and os.listdir(tmp_path) == ["site"]
        room[0] = 10**9
        write_site(pages(2, FEW), target)
    assert standing_generation(target, FEW) == 2 and verify_site(target) == []


def test_a_file_the_account_may_not_write_whole_is_explained(tmp_path):
    """A real limit of the system on the size of a file (ulimit -f), in a child."""
    target = tmp_path / "site"
    write_site(pages(1, FEW), target)

    def limited() -> None:
        import resource

        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (2000, 2000))
        try:
            write_site([("large.html", b"x" * 9000)], target)
        except SiteWriteError as error:
            os._exit(0 if "ulimit" in str(error) else 3)
        os._exit(4)

    assert run_child(limited)
    assert standing_generation(target, FEW) == 1 and os.listdir(tmp_path) == ["site"]


def test_what_was_written_is_read_back_before_it_replaces_anything(tmp_path, monkeypatch):
    target = tmp_path / "site"
    write_site(pages(1, FEW), target)
    real = os.write
    with monkeypatch.context() as patch:
        patch.setattr(os, "write", lambda number, content: real(number, bytes(content).replace(b"2", b"X")))
        with pytest.raises(SiteWriteError, match="reads back differently"):
            write_site(pages(2, FEW), target)
    assert standing_generation(target, FEW) == 1 and os.listdir(tmp_path) == ["site"]


def test_repair_of_nothing_does_nothing(tmp_path):
    assert repair(tmp_path / "none" / "site") == []
    assert repair(tmp_path / "site") == []
    write_site(pages(1, FEW), tmp_path / "site")
    assert repair(tmp_path / "site") == [] and os.listdir(tmp_path) == ["site"]
