"""Chooses a SQLite without the write-ahead-log reset fault (fixed in 3.51.3).

Python's own module is linked to the system's SQLite, which may be older. Where the
package pysqlite3 is installed and newer, it takes that module's place. Called once, at
the very top of settings, before Django opens a database.
"""

from __future__ import annotations

import sqlite3
import sys

SOUND_SINCE = (3, 51, 3)


def use_newest_sqlite() -> str:
    """Put the newest SQLite at hand in place of the standard module; return its version."""
    try:
        import pysqlite3
    except ImportError:
        return sqlite3.sqlite_version
    if pysqlite3.sqlite_version_info > sqlite3.sqlite_version_info:
        sys.modules["sqlite3"] = pysqlite3
        sys.modules["sqlite3.dbapi2"] = pysqlite3.dbapi2
        return str(pysqlite3.sqlite_version)
    return sqlite3.sqlite_version


def is_sound(version: str) -> bool:
    """Whether this version is free of the write-ahead-log reset fault."""
    return tuple(int(part) for part in version.split(".")[:3]) >= SOUND_SINCE
