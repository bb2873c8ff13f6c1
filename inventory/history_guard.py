"""Triggers that keep a table append-only, on SQLite and on PostgreSQL: the history, and the editions.

An update that changes nothing passes, so that a fixture can be loaded twice.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.backends.base.base import BaseDatabaseWrapper


@dataclass(frozen=True)
class Kept:
    """A table whose rows are only ever added, and the columns that may never change."""

    table: str
    columns: tuple[str, ...]
    name: str
    refusal: str


HISTORY = Kept(
    table="inventory_change",
    columns=("root_kind", "reference", "version", "action", "who_id", "why", "fields"),
    name="change",
    refusal="the history is only ever added to",
)


def protect(connection: BaseDatabaseWrapper, kept: Kept = HISTORY) -> None:
    """Make the database refuse to change or delete rows of a table."""
    release(connection, kept)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            differs = " OR ".join(f"OLD.{name} IS NOT NEW.{name}" for name in kept.columns)
            cursor.execute(
                f"CREATE TRIGGER {kept.name}_kept BEFORE UPDATE ON {kept.table} WHEN {differs} "
                f"BEGIN SELECT RAISE(ABORT, '{kept.refusal}'); END"
            )
            cursor.execute(
                f"CREATE TRIGGER {kept.name}_not_deleted BEFORE DELETE ON {kept.table} "
                f"BEGIN SELECT RAISE(ABORT, '{kept.refusal}'); END"
            )
        elif connection.vendor == "postgresql":
            differs = " OR ".join(f"OLD.{name} IS DISTINCT FROM NEW.{name}" for name in kept.columns)
            cursor.execute(
                f"CREATE OR REPLACE FUNCTION {kept.name}_kept() RETURNS trigger LANGUAGE plpgsql AS $$ "
                f"BEGIN RAISE EXCEPTION '{kept.refusal}'; END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER {kept.name}_kept BEFORE UPDATE ON {kept.table} FOR EACH ROW "
                f"WHEN ({differs}) EXECUTE FUNCTION {kept.name}_kept()"
            )
            cursor.execute(
                f"CREATE TRIGGER {kept.name}_not_deleted BEFORE DELETE ON {kept.table} FOR EACH ROW "
                f"EXECUTE FUNCTION {kept.name}_kept()"
            )


def release(connection: BaseDatabaseWrapper, kept: Kept = HISTORY) -> None:
    """Take the triggers away: for migrations of the table, and for emptying a test database."""
    with connection.cursor() as cursor:
        on_table = f" ON {kept.table}" if connection.vendor == "postgresql" else ""
        for name in (f"{kept.name}_kept", f"{kept.name}_not_deleted"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on_table}")
