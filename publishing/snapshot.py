"""One moment of the database for a long read, without keeping anybody from writing."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection, transaction


@contextmanager
def reading_snapshot() -> Iterator[None]:
    """Everything read inside is of one moment; curators save meanwhile as if nothing were going on.

    SQLite's transactions take the write lock at their start (see settings), which an export of
    minutes must not: this one begins deferred, and with the write-ahead log its first read fixes
    the moment. PostgreSQL fixes it by REPEATABLE READ.
    """
    if connection.in_atomic_block:  # part of a larger transaction: that one decides
        yield
        return
    connection.ensure_connection()
    usual = getattr(connection, "transaction_mode", None)
    try:
        if connection.vendor == "sqlite":
            connection.transaction_mode = "DEFERRED"
        with transaction.atomic():
            if connection.vendor == "postgresql":
                with connection.cursor() as cursor:
                    cursor.execute("SET TRANSACTION ISOLATION LEVEL REPEATABLE READ")
            yield
    finally:
        if connection.vendor == "sqlite":
            connection.transaction_mode = usual
