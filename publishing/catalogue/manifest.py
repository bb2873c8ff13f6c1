"""The list of files a site consists of, with their SHA-256: our mark on a folder, and the proof it is whole."""

import hashlib
import json
import os
import stat
from collections.abc import Iterator, Mapping
from pathlib import Path

MARKER = ".upperboard-site"
UNFINISHED = b'{"unfinished": true}\n'
# What desktops leave in any folder they look into; never ours, never anybody's work.
DESKTOP_LITTER = {".ds_store", "thumbs.db", "desktop.ini"}


Mark = tuple[int, int, int]
"""Size, time of the last change in nanoseconds, and number of a file on its disk."""


def mark_of(state: os.stat_result) -> Mark:
    """How a file looks without reading it."""
    return (state.st_size, state.st_mtime_ns, state.st_ino)


def sha256_of(content: bytes) -> str:
    """Hexadecimal SHA-256 of bytes."""
    return hashlib.sha256(content).hexdigest()


def manifest_bytes(files: Mapping[str, str]) -> bytes:
    """The manifest of files (path to SHA-256): the same files give the same bytes."""
    if not files:
        return b'{\n"format": 1,\n"files": {}\n}\n'
    quoted = json.encoder.encode_basestring  # type: ignore[attr-defined]
    lines = [f"{quoted(path)}: {quoted(digest)}" for path, digest in sorted(files.items())]
    return ('{\n"format": 1,\n"files": {\n' + ",\n".join(lines) + "\n}\n}\n").encode()


def read_manifest(folder: Path) -> dict[str, str] | None:
    """Path to SHA-256 of every file of a finished site; None if the folder is not one of ours or not finished."""
    try:
        document = json.loads((folder / MARKER).read_bytes())
    except (OSError, ValueError, RecursionError):
        return None
    files = document.get("files") if isinstance(document, dict) else None
    if not isinstance(files, dict):
        return None
    return {str(path): str(digest) for path, digest in files.items()}


def files_below(folder: Path) -> Iterator[str]:
    """Paths of everything below a folder that is no plain folder itself; links are named, not followed."""
    waiting = [""]
    while waiting:
        inside = waiting.pop()
        with os.scandir(f"{folder}/{inside}") as entries:
            for entry in entries:
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(f"{inside}{entry.name}/")
                else:
                    yield inside + entry.name


def strangers(folder: Path, manifest: Mapping[str, str]) -> list[str]:
    """Files in a site of ours that we did not write; exporting would destroy them."""
    found = set(files_below(folder)).difference(manifest, (MARKER,))
    return sorted(path for path in found if path.rpartition("/")[2].casefold() not in DESKTOP_LITTER)


def looks_untouched(folder: Path, marks: Mapping[str, Mark]) -> bool:
    """Whether a site holds exactly these files, each looking as it did when written; nothing is read."""
    found = 0
    waiting = [""]
    while waiting:
        inside = waiting.pop()
        try:
            entries = os.scandir(f"{folder}/{inside}")
        except OSError:
            return False
        with entries:
            for entry in entries:
                path = inside + entry.name
                if entry.is_dir(follow_symlinks=False):
                    waiting.append(f"{path}/")
                elif path in marks:
                    state = entry.stat(follow_symlinks=False)
                    if mark_of(state) != marks[path] or not stat.S_ISREG(state.st_mode):
                        return False
                    found += 1
                elif path != MARKER:
                    return False
    return found == len(marks)


def site_digest(folder: Path) -> str:
    """The SHA-256 of the list of files of a finished site; empty if there is none."""
    try:
        content = (folder / MARKER).read_bytes()
    except OSError:
        return ""
    return "" if content == UNFINISHED else sha256_of(content)


def read_plain_file(path: Path) -> bytes | None:
    """The bytes of a plain file; None if it is missing, a link or no file."""
    try:
        number = os.open(path, os.O_RDONLY | os.O_NOFOLLOW | getattr(os, "O_CLOEXEC", 0))
    except OSError:
        return None
    with os.fdopen(number, "rb") as file:
        if not stat.S_ISREG(os.fstat(number).st_mode):
            return None
        return file.read()


def verify_site(folder: Path) -> list[str]:
    """Everything in which a folder differs from its manifest; empty if the site is whole."""
    manifest = read_manifest(folder)
    if manifest is None:
        return [f"{folder} holds no finished site (no readable {MARKER})."]
    problems = [f"{path}: not written by us" for path in strangers(folder, manifest)]
    for path, digest in manifest.items():
        content = read_plain_file(folder / path)
        if content is None:
            problems.append(f"{path}: missing")
        elif sha256_of(content) != digest:
            problems.append(f"{path}: changed")
    return problems
