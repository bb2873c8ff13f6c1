"""A site is replaced whole or not at all: names, foreign folders, same bytes, two at once, links to unchanged files."""

import errno
import os
import stat
import threading
from pathlib import Path

import pytest

from publishing.catalogue import swapping
from publishing.catalogue.manifest import MARKER, read_manifest, verify_site
from publishing.catalogue.swapping import SiteWriteError
from publishing.catalogue.writing import repair, write_site

PAGES = [("index.html", b"<p>home"), ("a/one.html", b"one"), ("a/two.html", b"two"), ("empty.txt", b"")]


def files(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in folder.rglob("*")
        if path.is_file() and path.name != MARKER
    }


def test_a_first_site_is_written_and_nothing_is_left_beside_it(tmp_path):
    report = write_site(iter(PAGES), tmp_path / "out" / "site")
    assert (report.written, report.unchanged, report.removed, report.remarks) == (4, 0, 0, ())
    assert report.seconds > 0
    assert files(tmp_path / "out" / "site") == dict(PAGES)
    assert os.listdir(tmp_path / "out") == ["site"]
    assert verify_site(tmp_path / "out" / "site") == []


def test_an_empty_folder_is_taken_and_an_empty_site_is_a_site(tmp_path):
    (tmp_path / "site").mkdir()
    write_site(PAGES, tmp_path / "site")
    assert files(tmp_path / "site") == dict(PAGES)
    assert write_site([], tmp_path / "site").removed == 4
    assert files(tmp_path / "site") == {} and verify_site(tmp_path / "site") == []


def test_unchanged_files_are_the_same_file_and_changed_ones_never_written_in_place(tmp_path):
    site = tmp_path / "site"
    write_site(PAGES, site)
    kept, changed = os.stat(site / "a/one.html").st_ino, os.open(site / "a/two.html", os.O_RDONLY)
    report = write_site([*PAGES[:2], ("a/two.html", b"TWO"), ("new.html", b"n")], site)
    assert (report.written, report.unchanged, report.removed) == (2, 2, 1)
    assert os.stat(site / "a/one.html").st_ino == kept
    assert os.stat(site / "a/one.html").st_nlink == 1  # the former folder is gone
    assert os.read(changed, 10) == b"two"  # whoever reads the former file still has it whole
    os.close(changed)
    assert files(site)["a/two.html"] == b"TWO"


def test_the_same_pages_give_the_same_bytes_whatever_their_order_or_past(tmp_path):
    write_site(PAGES, tmp_path / "one")
    write_site([("old.html", b"old")], tmp_path / "two")
    write_site(reversed(PAGES), tmp_path / "two")
    assert (tmp_path / "one" / MARKER).read_bytes() == (tmp_path / "two" / MARKER).read_bytes()
    assert files(tmp_path / "one") == files(tmp_path / "two")


def test_modes_do_not_depend_on_the_account(tmp_path):
    before = os.umask(0o077)
    try:
        write_site(PAGES, tmp_path / "site")
        os.chmod(tmp_path / "site" / "index.html", 0o600)
        write_site(PAGES, tmp_path / "site")
    finally:
        os.umask(before)
    for path in [tmp_path / "site", *(tmp_path / "site").rglob("*")]:
        assert stat.S_IMODE(path.stat().st_mode) == (0o755 if path.is_dir() else 0o644), path


@pytest.mark.parametrize(
    ("path", "why"),
    [
        ("/etc/x.html", "absolute"),
        ("../x.html", "step"),
        ("a/../../x.html", "step"),
        ("./x.html", "step"),
        ("a//x.html", "step"),
        ("", "step"),
        ("a/", "step"),
        ("a\\x.html", "forbid"),
        ("C:x.html", "forbid"),
        ("a\x00b", "forbid"),
        ("what?.html", "forbid"),
        ("aux.html", "disks change"),
        ("a./x.html", "disks change"),
        ("x" * 201, "200 bytes"),
        ("\ud800.html", "UTF-8"),
        (MARKER, "our own mark"),
        ("a/one.html", "twice"),
        ("A/ONE.html", "one name"),
        ("A/three.html", "one name"),
        ("a", "file and a folder"),
        ("a/one.html/x", "file and a folder"),
    ],
)
def test_paths_that_would_overwrite_leave_or_confuse_are_refused_and_nothing_changes(tmp_path, path, why):
    site = tmp_path / "site"
    write_site([("old.html", b"old")], site)
    with pytest.raises(SiteWriteError) as refusal:
        write_site([*PAGES, (path, b"x")], site)
    assert why in str(refusal.value)
    assert files(site) == {"old.html": b"old"} and os.listdir(tmp_path) == ["site"]
    write_site(PAGES, site)
    for pages in ([*PAGES, (path, b"x")], [(path, b"x"), *PAGES]):  # beside pages that are taken over
        with pytest.raises(SiteWriteError) as refusal:
            write_site(pages, site)
        assert why in str(refusal.value)
        assert files(site) == dict(PAGES) and os.listdir(tmp_path) == ["site"]


def test_two_spellings_of_one_accent_are_one_name(tmp_path):
    with pytest.raises(SiteWriteError, match="one name"):
        write_site([("caf\u00e9.html", b""), ("cafe\u0301.html", b"")], tmp_path / "site")


@pytest.mark.parametrize(
    "content", [{"theirs.txt": "x"}, {MARKER: "no manifest"}, {MARKER: '{"unfinished": true}'}]
)
def test_a_folder_of_someone_else_is_never_touched(tmp_path, content):
    site = tmp_path / "site"
    site.mkdir()
    for name, text in content.items():
        (site / name).write_text(text)
    with pytest.raises(SiteWriteError, match="not written by Upperboard.*name a new or empty folder"):
        write_site(PAGES, site)
    assert {path.name: path.read_text() for path in site.iterdir()} == content
    assert os.listdir(tmp_path) == ["site"]


def test_files_somebody_put_into_our_site_stop_the_export_and_desktop_litter_does_not(tmp_path):
    site = tmp_path / "site"
    write_site(PAGES, site)
    (site / "a" / "notes.txt").write_text("mine")
    with pytest.raises(SiteWriteError, match="a/notes.txt"):
        write_site(PAGES, site)
    assert (site / "a" / "notes.txt").read_text() == "mine"
    (site / "a" / "notes.txt").rename(site / "a" / ".DS_Store")
    assert write_site(PAGES, site).unchanged == 4

    def pages_while_somebody_writes():
        yield from PAGES
        (site / "late.txt").write_text("mine")

    with pytest.raises(SiteWriteError, match="late.txt"):
        write_site(pages_while_somebody_writes(), site)
    assert (site / "late.txt").exists()


def test_a_file_a_root_and_a_foreign_folder_in_the_way_are_refused(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(SiteWriteError, match="is a file"):
        write_site(PAGES, tmp_path / "file")
    with pytest.raises(SiteWriteError, match="file; name another"):
        write_site(PAGES, tmp_path / "file" / "site")
    with pytest.raises(SiteWriteError, match="root of the disk"):
        write_site(PAGES, Path("/"))
    (tmp_path / ".site.upperboard-new").mkdir()
    (tmp_path / ".site.upperboard-new" / "theirs").write_text("x")
    with pytest.raises(SiteWriteError, match="in the way"):
        write_site(PAGES, tmp_path / "site")
    assert (tmp_path / ".site.upperboard-new" / "theirs").exists()


def test_a_link_to_a_folder_stays_a_link(tmp_path):
    (tmp_path / "disk").mkdir()
    (tmp_path / "site").symlink_to(tmp_path / "disk" / "real")
    write_site(PAGES, tmp_path / "site")
    write_site(PAGES[:1], tmp_path / "site")
    assert (tmp_path / "site").is_symlink() and files(tmp_path / "disk" / "real") == dict(PAGES[:1])


def test_links_planted_in_our_site_are_not_followed(tmp_path):
    site = tmp_path / "site"
    write_site(PAGES, site)
    (tmp_path / "secret").write_bytes(b"two")
    (site / "a" / "two.html").unlink()
    (site / "a" / "two.html").symlink_to(tmp_path / "secret")
    write_site(PAGES, site)
    assert not (site / "a" / "two.html").is_symlink() and (tmp_path / "secret").read_bytes() == b"two"


def test_pages_may_be_taken_over_unmade_if_the_former_site_has_them_unchanged(tmp_path):
    site = tmp_path / "site"
    write_site(PAGES, site)
    assert set(read_manifest(site)) == set(dict(PAGES))
    report = write_site([("index.html", None), ("a/one.html", None), ("a/two.html", b"2")], site)
    assert (report.written, report.unchanged, report.removed) == (1, 2, 1)
    (site / "index.html").write_bytes(b"defaced")
    with pytest.raises(SiteWriteError, match="--full"):
        write_site([("index.html", None)], site)
    with pytest.raises(SiteWriteError, match="--full"):
        write_site([("never.html", None)], site)
    report = write_site([("index.html", b"<p>home")], site)
    assert report.written == 1 and verify_site(site) == []


def test_a_damaged_site_is_noticed_and_mended_by_the_next_export(tmp_path):
    site = tmp_path / "site"
    write_site(PAGES, site)
    os.chmod(site / "a" / "one.html", 0o644)
    (site / "a" / "one.html").write_bytes(b"onf")
    (site / "index.html").unlink()
    assert verify_site(site) == ["a/one.html: changed", "index.html: missing"]
    write_site(PAGES, site)
    assert files(site) == dict(PAGES) and verify_site(site) == []


def test_errors_of_whatever_makes_the_pages_pass_through_and_change_nothing(tmp_path):
    site = tmp_path / "site"
    write_site(PAGES, site)

    def failing(error):
        yield "index.html", b"half"
        raise error

    for error in (FileNotFoundError(2, "the photograph"), KeyboardInterrupt(), ValueError("x")):
        with pytest.raises(type(error)) as seen:
            write_site(failing(error), site)
        assert seen.value is error
        assert files(site) == dict(PAGES) and os.listdir(tmp_path) == ["site"]


def test_of_two_exports_at_once_one_is_refused_and_the_other_ends_well(tmp_path):
    site = tmp_path / "site"
    write_site([("old.html", b"old")], site)
    begun, go_on = threading.Event(), threading.Event()

    def slow():
        yield PAGES[0]
        begun.set()
        assert go_on.wait(10)
        yield from PAGES[1:]

    worker = threading.Thread(target=lambda: write_site(slow(), site))
    worker.start()
    assert begun.wait(10)
    with pytest.raises(SiteWriteError, match="Another export.*Wait until it ends"):
        write_site([("mine.html", b"x")], site)
    with pytest.raises(SiteWriteError, match="Another export"):
        repair(site)
    assert files(site) == {"old.html": b"old"}
    go_on.set()
    worker.join(10)
    assert files(site) == dict(PAGES) and os.listdir(tmp_path) == ["site"]


@pytest.mark.skipif(os.geteuid() == 0, reason="the administrator may write anywhere")
def test_a_folder_we_may_not_write_in_is_named_with_the_remedy(tmp_path):
    (tmp_path / "closed").mkdir(mode=0o555)
    with pytest.raises(SiteWriteError, match="must be allowed to write in"):
        write_site(PAGES, tmp_path / "closed" / "site")


@pytest.mark.parametrize(
    ("number", "remedy"),
    [
        (errno.EACCES, "must be allowed to write in"),
        (errno.EROFS, "name a folder on another one"),
        (errno.EDQUOT, "quota"),
        (errno.EXDEV, "name a folder inside it"),
        (errno.ELOOP, "mend this and try again"),
    ],
)
def test_what_the_system_refuses_is_one_line_with_a_remedy(tmp_path, monkeypatch, number, remedy):
    site = tmp_path / "site"
    write_site(PAGES, site)
    with monkeypatch.context() as patch:

        def refuse(*_args: object) -> None:
            raise OSError(number, os.strerror(number))

        patch.setattr(os, "mkdir", refuse)
        with pytest.raises(SiteWriteError) as refusal:
            write_site(PAGES[:1], site)
    assert remedy in str(refusal.value) and str(site) in str(refusal.value)
    assert "\n" not in str(refusal.value)
    assert files(site) == dict(PAGES) and os.listdir(tmp_path) == ["site"]


def test_a_reader_finds_every_page_at_every_moment_of_many_exports(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "fsync", lambda number: None)
    if not exchange_works(tmp_path):
        pytest.skip("this file system cannot exchange folders")
    site = tmp_path / "site"
    write_site(PAGES, site)
    done = threading.Event()
    seen = {"reads": 0, "missing": 0}

    def read() -> None:
        while not done.is_set():
            for path, _content in PAGES:
                seen["reads"] += 1
                try:
                    (site / path).read_bytes()
                except FileNotFoundError:
                    seen["missing"] += 1

    reader = threading.Thread(target=read)
    reader.start()
    for number in range(60):
        write_site([(path, content + str(number).encode()) for path, content in PAGES], site)
    done.set()
    reader.join(10)
    assert seen["missing"] == 0 and seen["reads"] > 500


def exchange_works(folder: Path) -> bool:
    (folder / "x").mkdir()
    (folder / "y").mkdir()
    works = swapping.exchange(folder / "x", folder / "y")
    (folder / "x").rmdir()
    (folder / "y").rmdir()
    return works


def test_disks_without_links_or_exchange_get_copies_and_two_steps(tmp_path, monkeypatch):
    def refuse(*_args, **_kwargs):
        raise OSError(1, "not permitted here")

    site = tmp_path / "site"
    write_site(PAGES, site)
    monkeypatch.setattr(os, "link", refuse)
    monkeypatch.setattr(swapping, "exchange", lambda first, second: False)
    report = write_site([*PAGES[:3], ("x.html", b"x")], site)
    assert (report.written, report.unchanged, report.removed) == (1, 3, 1)
    assert verify_site(site) == [] and os.listdir(tmp_path) == ["site"]
