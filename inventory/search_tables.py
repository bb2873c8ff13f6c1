"""What the search index needs of the database: a trigram table with triggers on SQLite, an index on PostgreSQL."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.utils import OperationalError

ENTRIES, TABLE = "inventory_searchentry", "inventory_search"


def build(connection: BaseDatabaseWrapper) -> None:
    """Make the table or index, filled from the entries there are."""
    drop(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            cursor.execute(
                f"CREATE VIRTUAL TABLE {TABLE} USING fts5(words, content='{ENTRIES}', content_rowid='id', "
                "tokenize='trigram')"
            )
            for name, when, old, new in (
                ("added", "INSERT", False, True),
                ("removed", "DELETE", True, False),
                ("changed", "UPDATE OF words", True, True),
            ):
                steps = ""
                if old:
                    steps += (
                        f"INSERT INTO {TABLE}({TABLE}, rowid, words) VALUES ('delete', OLD.id, OLD.words); "  # noqa: S608
                    )
                if new:
                    steps += f"INSERT INTO {TABLE}(rowid, words) VALUES (NEW.id, NEW.words); "  # noqa: S608
                cursor.execute(f"CREATE TRIGGER search_{name} AFTER {when} ON {ENTRIES} BEGIN {steps} END")
            cursor.execute(f"INSERT INTO {TABLE}({TABLE}) VALUES ('rebuild')")  # noqa: S608
            _leave_at_once(cursor, 1)
        elif connection.vendor == "postgresql":
            cursor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
            cursor.execute(f"CREATE INDEX search_words_trigrams ON {ENTRIES} USING gin (words gin_trgm_ops)")


@contextmanager
def writing_many(connection: BaseDatabaseWrapper) -> Iterator[None]:
    """While very many entries are written on SQLite, words of old ones leave the file at the end, all at once.

    One by one each costs some milliseconds in a large table, all together some seconds.
    """
    if connection.vendor != "sqlite":
        yield
        return
    with connection.cursor() as cursor:
        _leave_at_once(cursor, 0)
        try:
            yield
        finally:
            if not connection.needs_rollback:
                cursor.execute(f"INSERT INTO {TABLE}({TABLE}) VALUES ('rebuild')")  # noqa: S608
                _leave_at_once(cursor, 1)


def _leave_at_once(cursor: Any, whether: int) -> None:
    """Whether words of deleted entries leave the file at once; older versions of SQLite do not know how."""
    try:
        cursor.execute(f"INSERT INTO {TABLE}({TABLE}, rank) VALUES ('secure-delete', %s)", [whether])  # noqa: S608
    except OperationalError:
        pass


def drop(connection: BaseDatabaseWrapper) -> None:
    """Take the table or index away."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for name in ("added", "removed", "changed"):
                cursor.execute(f"DROP TRIGGER IF EXISTS search_{name}")
            cursor.execute(f"DROP TABLE IF EXISTS {TABLE}")
        elif connection.vendor == "postgresql":
            cursor.execute("DROP INDEX IF EXISTS search_words_trigrams")
