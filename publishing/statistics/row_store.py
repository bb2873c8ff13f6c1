"""Rows of instruments kept on disk beside the data: what an edit did not touch is not worked out again.

A file of its own with one line for each instrument and view. It holds nothing that is not in the
published tables, may be deleted at any time, and is passed by when it cannot be read or written.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
import zlib
from collections.abc import Iterable, Iterator, Mapping
from contextlib import closing
from functools import cache
from pathlib import Path

from .rows import NAMES, InstrumentRows

NAME = "statistics-rows.sqlite3"
MOST_VIEWS = 12
"""Views of which rows are kept; of more, the one asked for longest ago goes."""
_TABLES = (
    "CREATE TABLE IF NOT EXISTS views (view TEXT PRIMARY KEY, used INTEGER NOT NULL)",
    "CREATE TABLE IF NOT EXISTS kept (view TEXT, reference TEXT, key TEXT NOT NULL, rows BLOB NOT NULL, "
    "PRIMARY KEY (view, reference)) WITHOUT ROWID",
)


@cache
def layout() -> str:
    """Changes when the code that makes rows does, so that no row of an older program is taken for one of this.

    >>> len(layout())
    16
    """
    package = Path(__file__).parents[2]
    found = hashlib.sha256()
    for folder in ("inventory/organ", "publishing/disclosure", "publishing/statistics"):
        for path in sorted((package / folder).glob("*.py")):
            found.update(path.read_bytes())
    return found.hexdigest()[:16]


class RowStore:
    """The kept rows of one view. Errors of the file are the caller's to catch (`sqlite3.Error`, `OSError`)."""

    def __init__(self, folder: Path, view: str) -> None:
        """Open, or make, the file in a folder.

        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     RowStore(Path(folder), "as-found").keys()
        {}
        """
        self.path, self.view = folder / NAME, f"{view} {layout()}"
        with closing(self._open()) as file, file:
            for table in _TABLES:
                file.execute(table)
            file.execute(
                "INSERT OR REPLACE INTO views SELECT ?, COALESCE(MAX(used), 0) + 1 FROM views", (self.view,)
            )
            file.execute("DELETE FROM views WHERE view NOT IN (SELECT view FROM views ORDER BY used DESC LIMIT ?)",
                         (MOST_VIEWS,))  # fmt: skip
            file.execute("DELETE FROM kept WHERE view NOT IN (SELECT view FROM views)")

    def keys(self) -> dict[str, str]:
        """The key each kept instrument was made under, by reference.

        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     store = RowStore(Path(folder), "as-found")
        ...     store.put([("ORG-1", "key", InstrumentRows({}))])
        ...     store.keys()
        {'ORG-1': 'key'}
        """
        with closing(self._open()) as file:
            return dict(file.execute("SELECT reference, key FROM kept WHERE view = ?", (self.view,)))

    def put(self, made: Iterable[tuple[str, str, InstrumentRows]], gone: Iterable[str] = ()) -> None:
        """Keep the rows of some instruments in place of those they had, and forget others; all or nothing.

        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     store = RowStore(Path(folder), "as-found")
        ...     store.put([("ORG-1", "key", InstrumentRows({}))], gone=["ORG-2"])
        """
        with closing(self._open()) as file, file:
            file.executemany(
                "INSERT OR REPLACE INTO kept VALUES (?, ?, ?, ?)",
                ((self.view, reference, key, _pack(rows)) for reference, key, rows in made),
            )
            file.executemany(
                "DELETE FROM kept WHERE view = ? AND reference = ?", ((self.view, one) for one in gone)
            )

    def rows(self) -> Iterator[tuple[str, InstrumentRows]]:
        """Every kept instrument with its rows, by reference.

        >>> import tempfile
        >>> with tempfile.TemporaryDirectory() as folder:
        ...     store = RowStore(Path(folder), "as-found")
        ...     store.put([("ORG-1", "key", InstrumentRows({"pipes": (("ORG-1", 2, 49),)}))])
        ...     next(store.rows())[1].tables["pipes"]
        (('ORG-1', 2, 49),)
        """
        with closing(self._open()) as file:
            for reference, packed in file.execute(
                "SELECT reference, rows FROM kept WHERE view = ? ORDER BY reference", (self.view,)
            ):
                yield reference, _unpack(packed)

    def _open(self) -> sqlite3.Connection:
        file = sqlite3.connect(self.path, timeout=5)
        file.execute("PRAGMA journal_mode=WAL")
        file.execute("PRAGMA synchronous=OFF")  # what power takes away here is worked out again
        return file


def _pack(rows: InstrumentRows) -> bytes:
    tables: Mapping[str, object] = {name: rows.tables.get(name, ()) for name in NAMES}
    return zlib.compress(json.dumps(tables, ensure_ascii=False, separators=(",", ":")).encode(), 1)


def _unpack(packed: bytes) -> InstrumentRows:
    tables = json.loads(zlib.decompress(packed))
    return InstrumentRows({name: tuple(tuple(row) for row in tables[name]) for name in NAMES})
