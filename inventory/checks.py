"""System checks with stable ids, each with a hint that says how to mend it."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.core.checks import CheckMessage, Error, Warning, register

from inventory.sqlite import is_sound


@register("inventory")
def check_sqlite(**_: Any) -> list[CheckMessage]:
    """An old SQLite can damage a write-ahead log that two processes share."""
    engine = settings.DATABASES["default"]["ENGINE"]
    if engine.endswith("sqlite3") and not is_sound(settings.SQLITE_VERSION):
        return [
            Warning(
                f"SQLite {settings.SQLITE_VERSION} has the write-ahead-log reset fault.",
                hint="Install pysqlite3 from requirements.txt, or run a single web process.",
                id="inventory.W001",
            )
        ]
    return []


@register("inventory")
def check_transactions(**_: Any) -> list[CheckMessage]:
    """With the write lock taken at the start, a request must not be a transaction."""
    if settings.DATABASES["default"].get("ATOMIC_REQUESTS"):
        return [
            Error(
                "ATOMIC_REQUESTS is on: every reader would wait for every writer.",
                hint="Remove ATOMIC_REQUESTS; actions open their own transactions.",
                id="inventory.E001",
            )
        ]
    return []
