"""What an export keeps beside the data for the next one to the same folder: one file, worth nothing if damaged.

It holds what instruments gave (parts, by kind), the links of pages, digests of what every page was made from, and
how the files of the site looked when they were written. Changes are committed in one step, after the site has
been replaced; a file of another version of the program, or of another site, is begun anew.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import zlib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import Any
from urllib.parse import unquote

from .link_reading import Link, PageLinks
from .manifest import Mark
from .packing import pack_small, unpack_small

_TABLES = (
    "CREATE TABLE IF NOT EXISTS told (name TEXT PRIMARY KEY, value TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS instrument (reference TEXT PRIMARY KEY, stamp TEXT NOT NULL, "
    "digests BLOB NOT NULL, paths TEXT NOT NULL) WITHOUT ROWID",
    "CREATE TABLE IF NOT EXISTS part (name TEXT, reference TEXT, data BLOB NOT NULL, "
    "PRIMARY KEY (name, reference)) WITHOUT ROWID",
    "CREATE TABLE IF NOT EXISTS stage (name TEXT PRIMARY KEY, digest BLOB NOT NULL, paths TEXT NOT NULL, "
    "result TEXT NOT NULL)",
    "CREATE TABLE IF NOT EXISTS page (path TEXT PRIMARY KEY, digest BLOB NOT NULL) WITHOUT ROWID",
    "CREATE TABLE IF NOT EXISTS links (path TEXT PRIMARY KEY, data BLOB NOT NULL)",
    "CREATE TABLE IF NOT EXISTS lead (path TEXT PRIMARY KEY, ends BLOB NOT NULL)",
    "CREATE TABLE IF NOT EXISTS file (path TEXT PRIMARY KEY, size INTEGER, changed INTEGER, number INTEGER) "
    "WITHOUT ROWID",
)


MOST_SOUGHT = 50
"""Names of files that are gone, up to which pages that lead to them are looked up one by one."""


class KeptDamaged(Exception):
    """The kept file cannot be used; it is removed and everything is made anew."""


def kept_path(folder: Path, target: Path) -> Path:
    """Where an export to this target keeps its file."""
    name = hashlib.sha256(os.fsencode(os.path.realpath(target))).hexdigest()[:16]
    return folder / "export-cache" / f"{name}.sqlite3"


def forget(path: Path) -> None:
    """Remove a kept file."""
    for end in ("", "-journal"):
        with suppress(FileNotFoundError):
            os.unlink(f"{path}{end}")


class Kept:
    """One kept file, held from opening to `commit` or `close`; without a path it lives as long as the export."""

    def __init__(self, path: Path | None, version: str, site: str) -> None:
        """Open what was kept for a site by a program of this version; anything else is begun anew.

        `site` is the digest of the list of files that stands at the target: only what was kept with it holds.
        """
        self.path = path
        try:
            if path is not None:
                path.parent.mkdir(parents=True, exist_ok=True)
            self.base = self._open(version, site)
        except (OSError, sqlite3.Error, ValueError) as error:
            raise KeptDamaged from error

    def _open(self, version: str, site: str) -> sqlite3.Connection:
        base = sqlite3.connect("" if self.path is None else self.path, isolation_level=None, timeout=5)
        base.execute("PRAGMA synchronous=NORMAL")
        base.execute("PRAGMA cache_size=-65536")
        base.execute("BEGIN IMMEDIATE")
        for table in _TABLES:
            base.execute(table)
        known = dict(base.execute("SELECT name, value FROM told"))
        if (known.get("version"), known.get("site")) != (version, site):
            for table in ("told", "instrument", "part", "stage", "page", "links", "lead", "file"):
                base.execute(f"DELETE FROM {table}")  # noqa: S608  names of ours
        self.is_new = not base.execute("SELECT count(*) FROM told").fetchone()[0]
        base.execute("INSERT OR REPLACE INTO told VALUES ('version', ?)", (version,))
        return base

    def _ask(self, words: str, values: Sequence[Any] = ()) -> sqlite3.Cursor:
        try:
            return self.base.execute(words, values)
        except sqlite3.Error as error:
            raise KeptDamaged from error

    def _put(self, words: str, rows: Sequence[Sequence[Any]]) -> None:
        try:
            self.base.executemany(words, rows)
        except sqlite3.Error as error:
            raise KeptDamaged from error

    def commit(self, site: str, **told: str) -> None:
        """Keep everything, for the site whose list of files has this digest."""
        rows = [("site", site), *told.items()]
        self._put("INSERT OR REPLACE INTO told VALUES (?, ?)", rows)
        self._ask("COMMIT")
        self.base.close()

    def close(self) -> None:
        """Leave the file as it was."""
        with suppress(sqlite3.Error):
            self.base.rollback()
        self.base.close()

    def told(self, name: str) -> str:
        """Something kept by name; empty if it was not."""
        found = self._ask("SELECT value FROM told WHERE name = ?", (name,)).fetchone()
        return str(found[0]) if found else ""

    def tell(self, name: str, value: str) -> None:
        """Keep something by name."""
        self._ask("INSERT OR REPLACE INTO told VALUES (?, ?)", (name, value))

    # Instruments

    def instruments(self) -> dict[str, tuple[str, bytes, str]]:
        """Stamp, digests of parts and paths (as JSON) of every kept instrument."""
        return {
            row[0]: row[1:] for row in self._ask("SELECT reference, stamp, digests, paths FROM instrument")
        }

    def put_instrument(
        self, reference: str, stamp: str, digests: bytes, paths: Sequence[str], parts: Mapping[str, bytes]
    ) -> None:
        """Keep what one instrument gave, in place of what it gave before."""
        self._ask(
            "INSERT OR REPLACE INTO instrument VALUES (?, ?, ?, ?)",
            (reference, stamp, digests, json.dumps(paths)),
        )
        self._put(
            "INSERT OR REPLACE INTO part VALUES (?, ?, ?)",
            [(name, reference, zlib.compress(data, 1)) for name, data in parts.items()],
        )

    def drop_instruments(self, references: Iterable[str], names: Sequence[str]) -> None:
        """Forget instruments that are no longer published."""
        gone = list(references)
        self._put("DELETE FROM instrument WHERE reference = ?", [(one,) for one in gone])
        self._put(
            "DELETE FROM part WHERE name = ? AND reference = ?", [(n, one) for one in gone for n in names]
        )

    def parts(self, name: str, references: Sequence[str]) -> Iterator[Any]:
        """The parts of one kind, in this order."""
        if list(references) == sorted(references):
            for (data,) in self._ask("SELECT data FROM part WHERE name = ? ORDER BY reference", (name,)):
                yield _unpacked(data)
            return
        for reference in references:  # a database that sorts words in another order than this file
            (data,) = self._ask(
                "SELECT data FROM part WHERE name = ? AND reference = ?", (name, reference)
            ).fetchone()
            yield _unpacked(data)

    # Stages and pages

    def stage(self, name: str) -> tuple[bytes, list[str], Any] | None:
        """Digest of what a stage was made from, its paths, and what it left for others."""
        row = self._ask("SELECT digest, paths, result FROM stage WHERE name = ?", (name,)).fetchone()
        return (row[0], json.loads(row[1]), json.loads(row[2])) if row else None

    def put_stage(self, name: str, digest: bytes, paths: Sequence[str], result: object) -> None:
        """Keep a stage."""
        self._ask(
            "INSERT OR REPLACE INTO stage VALUES (?, ?, ?, ?)",
            (name, digest, json.dumps(paths), json.dumps(result)),
        )

    def page(self, path: str) -> bytes:
        """Digest of what a page was made from; empty if it was not kept."""
        row = self._ask("SELECT digest FROM page WHERE path = ?", (path,)).fetchone()
        return row[0] if row else b""

    def put_page(self, path: str, digest: bytes) -> None:
        """Keep what a page was made from."""
        self._ask("INSERT OR REPLACE INTO page VALUES (?, ?)", (path, digest))

    # Links

    def links(self, path: str) -> PageLinks | None:
        """The links of one page."""
        row = self._ask("SELECT data FROM links WHERE path = ?", (path,)).fetchone()
        return _links_of(row[0]) if row else None

    def all_links(self) -> Iterator[PageLinks]:
        """The links of every page, one page at a time, by path."""
        for (data,) in self._ask("SELECT data FROM links ORDER BY path"):
            yield _links_of(data)

    def put_links(self, links: PageLinks) -> None:
        """Keep the links of a page."""
        # Plain tuples: they are read three times as fast as values of classes.
        told = (
            links.path,
            [(one.target, one.kind, one.line) for one in links.links],
            links.ids,
            links.remarks,
        )
        self._ask("INSERT OR REPLACE INTO links VALUES (?, ?)", (links.path, pack_small(told)))
        self._ask("INSERT OR REPLACE INTO lead VALUES (?, ?)", (links.path, _ends_of(links)))

    def pages_leading_to(self, paths: Collection[str]) -> set[str] | None:
        """Pages with links to files of these names, and perhaps a few others; None where so many are asked for that
        all pages may as well be read.
        """
        ends = {_end(path) for path in paths}
        if len(ends) > MOST_SOUGHT:
            return None
        return {
            row[0]
            for end in ends
            for row in self._ask("SELECT path FROM lead WHERE instr(ends, ?) > 0", (end,))
        }

    # Files

    def marks(self) -> dict[str, Mark]:
        """How every file of the site looked when it was written."""
        return {row[0]: row[1:] for row in self._ask("SELECT path, size, changed, number FROM file")}

    def put_marks(self, marks: Mapping[str, Mark], gone: Iterable[str]) -> None:
        """Keep how files look, and forget those that are gone with all that was known of them."""
        self._put(
            "INSERT OR REPLACE INTO file VALUES (?, ?, ?, ?)", [(path, *mark) for path, mark in marks.items()]
        )
        paths = [(path,) for path in gone]
        for table in ("file", "links", "lead", "page"):
            self._put(f"DELETE FROM {table} WHERE path = ?", paths)  # noqa: S608


def _links_of(data: bytes) -> PageLinks:
    try:
        path, links, ids, remarks = _unpacked(data)
        return PageLinks(path, tuple(Link(*one) for one in links), ids, remarks)
    except (TypeError, ValueError) as error:
        raise KeptDamaged from error


def _end(path: str) -> bytes:
    """Four bytes that stand for the last step of a path."""
    return zlib.crc32(path.rpartition("/")[2].encode("utf-8", "surrogatepass")).to_bytes(4, "big")


def _ends_of(links: PageLinks) -> bytes:
    """What the links of a page end in."""
    targets = {one.target.strip() for one in links.links if one.kind != "id"}
    return b"".join(sorted({_end(unquote(one.partition("#")[0].partition("?")[0])) for one in targets}))


def _unpacked(data: bytes) -> Any:
    try:
        return unpack_small(data)
    except Exception as error:  # pickle promises no kinds of errors for bytes that are not its own
        raise KeptDamaged from error
