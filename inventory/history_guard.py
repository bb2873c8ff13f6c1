"""Triggers that keep the history append-only, on SQLite and on PostgreSQL.

An update that changes nothing passes, so that a fixture can be loaded twice.
"""

from __future__ import annotations

from django.db.backends.base.base import BaseDatabaseWrapper

TABLE = "inventory_change"
COLUMNS = ("root_kind", "reference", "version", "action", "who_id", "why", "fields")
REFUSAL = "the history is only ever added to"


def protect(connection: BaseDatabaseWrapper) -> None:
    """Make the database refuse to change or delete rows of the history."""
    release(connection)
    with connection.cursor() as cursor:
        if connection.vendor == "sqlite":
            differs = " OR ".join(f"OLD.{name} IS NOT NEW.{name}" for name in COLUMNS)
            cursor.execute(
                f"CREATE TRIGGER change_kept BEFORE UPDATE ON {TABLE} WHEN {differs} "
                f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            )
            cursor.execute(
                f"CREATE TRIGGER change_not_deleted BEFORE DELETE ON {TABLE} "
                f"BEGIN SELECT RAISE(ABORT, '{REFUSAL}'); END"
            )
        elif connection.vendor == "postgresql":
            differs = " OR ".join(f"OLD.{name} IS DISTINCT FROM NEW.{name}" for name in COLUMNS)
            cursor.execute(
                "CREATE OR REPLACE FUNCTION change_kept() RETURNS trigger LANGUAGE plpgsql AS $$ "
                f"BEGIN RAISE EXCEPTION '{REFUSAL}'; END $$"
            )
            cursor.execute(
                f"CREATE TRIGGER change_kept BEFORE UPDATE ON {TABLE} FOR EACH ROW "
                f"WHEN ({differs}) EXECUTE FUNCTION change_kept()"
            )
            cursor.execute(
                f"CREATE TRIGGER change_not_deleted BEFORE DELETE ON {TABLE} FOR EACH ROW "
                "EXECUTE FUNCTION change_kept()"
            )


def release(connection: BaseDatabaseWrapper) -> None:
    """Take the triggers away: for migrations of the table, and for emptying a test database."""
    with connection.cursor() as cursor:
        on_table = f" ON {TABLE}" if connection.vendor == "postgresql" else ""
        for name in ("change_kept", "change_not_deleted"):
            cursor.execute(f"DROP TRIGGER IF EXISTS {name}{on_table}")
