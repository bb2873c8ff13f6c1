"""The whole collection as columns, read once and kept beside the data until something changes.

The rows themselves are read by `column_rows`; the sums over them are `organ/collection.py`.
"""

from __future__ import annotations

import hashlib
import os
import tempfile
from dataclasses import fields
from pathlib import Path
from zipfile import BadZipFile

import numpy as np
from django.conf import settings
from django.db import connection

from inventory.column_rows import StoredCollection, read_rows
from inventory.fixture_loading import loading_marker
from inventory.models import Change, Instrument, Specification
from inventory.organ.columns import Columns

CACHE = "collection-columns.npz"


def read_collection(*, keep: bool = True) -> StoredCollection:
    """Columns of all current specifications; from the data folder where nothing has changed since.

    With `keep` false the rows are read in any case and nothing is written.
    """
    if not keep:
        return read_rows()
    path = Path(settings.DATA_DIR) / CACHE
    version = version_counter()
    kept = _read_kept(path, version)
    if kept is None:
        kept = read_rows()
        # Whoever changed a record while the rows were read is noticed: nothing is kept then.
        if version_counter() == version:
            _keep(path, version, kept)
    return kept


def version_counter() -> tuple[int, ...]:
    """Changes whenever an action changes an instrument, and when fixtures are loaded.

    The last line of history, the number of instruments, the sum of their versions (every
    action raises one), the last specification, and what a load of fixtures leaves (they write no history).
    """
    tables = {model: model._meta.db_table for model in (Change, Instrument, Specification)}
    with connection.cursor() as cursor:
        cursor.execute(
            f"SELECT (SELECT COALESCE(MAX(id), 0) FROM {tables[Change]}), COUNT(*), COALESCE(SUM(version), 0), "  # noqa: S608
            f"(SELECT COALESCE(MAX(id), 0) FROM {tables[Specification]}) FROM {tables[Instrument]}"
        )
        last, number, versions, specification = cursor.fetchone()
    loaded = int.from_bytes(hashlib.sha256(loading_marker().encode()).digest()[:7], "big")
    return int(last), int(number), int(versions), int(specification), loaded


def _read_kept(path: Path, version: tuple[int, ...]) -> StoredCollection | None:
    """What was kept, if it is of this version and can be read."""
    try:
        with np.load(path, allow_pickle=False) as kept:
            if tuple(kept["version"].tolist()) != version:
                return None
            parts = {field.name: kept[field.name] for field in fields(Columns) if field.name in kept}
            parts["instruments"] = int(kept["specifications"].size)
            return StoredCollection(kept["specifications"], kept["stops"], kept["ranks"], Columns(**parts))
    except (OSError, ValueError, KeyError, EOFError, BadZipFile):
        return None  # nothing kept, or a file that was cut short: read the rows


def _keep(path: Path, version: tuple[int, ...], read: StoredCollection) -> None:
    """Write the arrays, whole or not at all."""
    arrays = {field.name: getattr(read.columns, field.name) for field in fields(Columns)}
    arrays = {name: array for name, array in arrays.items() if isinstance(array, np.ndarray)}
    own = {"specifications": read.specifications, "stops": read.stops, "ranks": read.ranks}
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{CACHE}-")
    try:
        with os.fdopen(handle, "wb") as file:
            np.savez(file, version=np.array(version), **own, **arrays)  # type: ignore[arg-type]
        os.replace(name, path)
    except BaseException:
        os.unlink(name)
        raise
