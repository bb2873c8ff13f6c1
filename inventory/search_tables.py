"""What the search index needs of the database: a trigram table with triggers on SQLite, an index on PostgreSQL."""

from __future__ import annotations

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
            try:
                # Words of deleted entries leave the file; older versions of SQLite do not know how.
                cursor.execute(f"INSERT INTO {TABLE}({TABLE}, rank) VALUES ('secure-delete', 1)")  # noqa: S608
            except OperationalError:
                pass
        elif connection.vendor == "postgresql":
            cursor.execute("CREATE EXTENSION IF NOT EXISTS pg_trgm")
            cursor.execute(f"CREATE INDEX search_words_trigrams ON {ENTRIES} USING gin (words gin_trgm_ops)")


def drop(connection: BaseDatabaseWrapper) -> None:
    """Take the table or index away."""
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            for name in ("added", "removed", "changed"):
                cursor.execute(f"DROP TRIGGER IF EXISTS search_{name}")
            cursor.execute(f"DROP TABLE IF EXISTS {TABLE}")
        elif connection.vendor == "postgresql":
            cursor.execute("DROP INDEX IF EXISTS search_words_trigrams")
