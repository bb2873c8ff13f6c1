"""Exports that fail: the old site stands whole, the message says what to do, and the command ends with 2."""

from __future__ import annotations

import resource
import subprocess
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from inventory.models import Instrument, Photograph
from publishing.catalogue import speaking, statistics_pages
from publishing.catalogue.export import export_catalogue
from publishing.catalogue.kept import kept_path
from publishing.catalogue.manifest import verify_site
from tests.publishing.catalogue.editing import RandomEditor
from tests.publishing.catalogue.test_same_bytes import bytes_of, differing


@pytest.fixture
def site(house, people, monkeypatch) -> Path:
    """A small collection, exported; what is exported next differs from it."""
    monkeypatch.setattr(statistics_pages, "VIEWS", statistics_pages.VIEWS[:1])
    RandomEditor(people.keeper, seed=2)
    export_catalogue(house / "site")
    Instrument.objects.update(name="Another name")
    return house / "site"


def refused(site: Path, *arguments: str) -> str:
    """What the command says when it fails, and that it changed nothing."""
    before = bytes_of(site)
    with pytest.raises(CommandError) as caught:
        call_command("publish_catalogue", "--to", str(site), *arguments, verbosity=0)
    assert caught.value.returncode == 2
    assert bytes_of(site) == before and verify_site(site) == []
    assert [path.name for path in site.parent.iterdir() if "upperboard" in path.name] == []
    return str(caught.value)


def test_a_template_that_fails_is_named_with_its_page(site, monkeypatch):
    monkeypatch.setattr(speaking, "method_context", lambda: {"title": "Method", "description": "–"})
    said = refused(site, "--full")
    assert "method.html" in said and "undefined" in said and "old site was left" in said


def test_a_photograph_that_is_missing_is_named_with_what_to_do(site, settings):
    picture = Photograph.objects.first()
    (Path(settings.MEDIA_ROOT) / picture.file.name).unlink()
    said = refused(site)
    assert picture.file.name in said and "Put the file back" in said


@contextmanager
def largest_file(size: int) -> Iterator[None]:
    """No file may become larger, as on a disk that is full."""
    usual = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, usual[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, usual)


def test_a_file_that_may_not_grow_is_told(site):
    with largest_file(15_000):
        said = refused(site, "--full")
    assert "free some space" in said or "ulimit -f" in said


def test_a_disk_that_is_full_is_told_and_the_next_export_succeeds(site, tmp_path):
    disk = tmp_path / "disk"
    disk.mkdir()
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=4m", "tmpfs", str(disk)], capture_output=True
    )
    if mounted.returncode:
        pytest.skip("a small disk cannot be mounted here; the limit on a file's size above is what is tried")
    try:
        export_catalogue(disk / "site")
        filler = disk / "filler"
        with pytest.raises(OSError), open(filler, "wb", buffering=0) as file:
            while True:
                file.write(bytes(4096))
        Instrument.objects.update(name="A third name", version=99)
        assert "disk is full" in refused(disk / "site")
        filler.unlink()
        export_catalogue(disk / "site")
        assert b"A third name" in (disk / "site" / "instruments" / "index.html").read_bytes()
    finally:
        subprocess.run(["umount", str(disk)], check=True)


@pytest.mark.parametrize("damage", [b"no database", b""])
def test_what_was_kept_is_worth_nothing_if_damaged(site, settings, damage):
    kept = kept_path(Path(settings.DATA_DIR), site)
    kept.write_bytes(damage or kept.read_bytes()[:5000] + bytes(3000) + kept.read_bytes()[8000:])
    export_catalogue(site)
    export_catalogue(site.parent / "anew", full=True)
    assert differing(site, site.parent / "anew") == []


def test_a_site_somebody_changed_is_made_whole_again(site):
    page = site / "method.html"
    page.write_bytes(page.read_bytes() + b"<!-- mine -->")
    export_catalogue(site)
    assert verify_site(site) == [] and b"mine" not in page.read_bytes()


def test_nothing_changed_nothing_is_written(site):
    export_catalogue(site)
    before = {path: path.stat().st_ino for path in site.rglob("*")}
    report = export_catalogue(site)
    assert (report.written, report.removed) == (0, 0) and report.unchanged == len(bytes_of(site)) - 1
    assert {path: path.stat().st_ino for path in site.rglob("*")} == before


def test_progress_ends_at_the_true_number_of_pages(site):
    told: list[tuple[int, int]] = []
    export_catalogue(site.parent / "anew", progress=lambda done, total: told.append((done, total)))
    assert told[-1][0] == told[-1][1] == sum(1 for _page in (site.parent / "anew").rglob("*.html"))
    assert all(done <= total for done, total in told)
