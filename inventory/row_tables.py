"""Tables of whole numbers as arrays: through Arrow where that pays, else through the usual cursor."""

from __future__ import annotations

import json
import logging
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from typing import IO, Any
from urllib.parse import quote

import numpy as np
from django.db import connection
from numpy.typing import NDArray

Whole = NDArray[np.integer[Any]]
Table = dict[str, Whole]

NONE = -32_768
"""Stands for an empty number of a row."""
WORTH_A_PROCESS = 50_000
"""Rows from which starting a process of its own for reading pays."""
_AT_ONCE = 2_000
"""Rows a cursor hands over together: Python keeps that many tuples for the next batch."""
_STREAM = Path(__file__).with_name("row_stream.py")
_log = logging.getLogger(__name__)


@dataclass(frozen=True)
class Wanted:
    """Columns of a table, read by rising primary key."""

    model: Any
    ids: tuple[str, ...]
    small: tuple[str, ...] = ()
    """At most four numbers of 16 bits; `asks` stands for "is not only prepared"."""
    texts: tuple[str, ...] = ()
    """JSON columns."""
    where: str = ""


@dataclass(frozen=True)
class Found:
    """An array for each column. Of a JSON column it holds the number of each row's text, 0 for nothing."""

    numbers: Table
    texts: dict[str, list[str]] = field(default_factory=dict)
    """The different texts of each JSON column, by number."""


def read_tables(wanted: Sequence[Wanted]) -> list[Found]:
    """Read tables; both ways give the same arrays."""
    if _can_stream(wanted):
        try:
            return _streamed(wanted)
        except (OSError, ValueError, subprocess.SubprocessError) as error:
            _log.warning("Rows are read through the cursor, which is slower: %s", error)
    return [_fetched(table) for table in wanted]


def _can_stream(wanted: Sequence[Wanted]) -> bool:
    """Whether another process sees the same rows, can read them as Arrow, and there are many."""
    # What an open transaction has written, only its own connection sees.
    if connection.vendor != "sqlite" or connection.in_atomic_block or not find_spec("adbc_driver_sqlite"):
        return False
    if not Path(str(connection.settings_dict["NAME"])).is_file():
        return False
    with connection.cursor() as cursor:
        cursor.execute(f"SELECT MAX(id) FROM {wanted[-1].model._meta.db_table}")  # noqa: S608
        return (cursor.fetchone()[0] or 0) >= WORTH_A_PROCESS


def _streamed(wanted: Sequence[Wanted]) -> list[Found]:
    """Read by `row_stream` in a process of its own, without a Python object for each number."""
    path = Path(str(connection.settings_dict["NAME"])).resolve()
    asked = {"address": f"file:{quote(str(path))}?mode=ro", "statements": [_plain(table) for table in wanted]}
    with subprocess.Popen(  # noqa: S603 - this interpreter and a file of this package
        [sys.executable, str(_STREAM)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        assert process.stdin and process.stdout and process.stderr
        process.stdin.write(json.dumps(asked).encode())
        process.stdin.close()
        try:
            found = [_taken(table, process.stdout) for table in wanted]
        except (OSError, ValueError):
            process.kill()
            said = process.stderr.read().decode(errors="replace").strip().splitlines()
            raise ValueError(said[-1] if said else "the reading process ended early") from None
    if process.returncode:
        raise ValueError(f"the reading process ended with {process.returncode}")
    return found


def _taken(wanted: Wanted, stream: IO[bytes]) -> Found:
    """The next stream as arrays."""
    import pyarrow

    with pyarrow.ipc.open_stream(stream) as reader:
        table = reader.read_all()
    numbers, texts = {}, {}
    for name, column in zip((*wanted.ids, *wanted.small, *wanted.texts), table.columns, strict=True):
        if name not in wanted.texts:
            numbers[name] = column.to_numpy()
            continue
        codes = pyarrow.concat_arrays(column.chunks or [pyarrow.array([], "string")]).dictionary_encode()
        different = [text for text in codes.dictionary.to_pylist() if text]
        place = {"": 0} | {text: number for number, text in enumerate(different, start=1)}
        number = np.array([place[text] for text in codes.dictionary.to_pylist()], np.int32)
        numbers[name] = number[codes.indices.to_numpy()]
        texts[name] = ["", *different]
    return Found(numbers, texts)


def _fetched(wanted: Wanted) -> Found:
    """Read through Django's cursor.

    Handing a number to Python costs more than finding it, so the database packs the small
    numbers of a row into one.
    """
    said = [*wanted.ids, *([_packed(wanted.small)] if wanted.small else []), *map(_text, wanted.texts)]
    found: list[list[Whole]] = [[] for _ in said]
    known: list[dict[str, int]] = [{"": 0} for _ in wanted.texts]
    first_text = len(said) - len(known)
    with connection.chunked_cursor() as cursor:
        cursor.execute(_statement(wanted, said))
        while rows := cursor.fetchmany(_AT_ONCE):
            columns: list[Sequence[Any]] = list(zip(*rows, strict=True))
            for place, codes in enumerate(known, start=first_text):
                columns[place] = [codes.setdefault(text, len(codes)) for text in columns[place]]
            for parts, column in zip(found, columns, strict=True):
                parts.append(np.fromiter(column, np.int64, len(rows)))
    arrays = [np.concatenate(parts) if parts else np.zeros(0, np.int64) for parts in found]
    numbers = dict(zip(wanted.ids, arrays, strict=False))
    if wanted.small:
        numbers |= _unpacked(wanted.small, arrays[len(wanted.ids)])
    numbers |= dict(zip(wanted.texts, arrays[first_text:], strict=True))
    return Found(numbers, {name: list(codes) for name, codes in zip(wanted.texts, known, strict=True)})


def _statement(wanted: Wanted, said: Sequence[str]) -> str:
    return f"SELECT {', '.join(said)} FROM {wanted.model._meta.db_table} {wanted.where} ORDER BY id"  # noqa: S608


def _plain(wanted: Wanted) -> str:
    """The statement with a column for each name."""
    return _statement(wanted, [*wanted.ids, *map(_number, wanted.small), *map(_text, wanted.texts)])


def _number(name: str) -> str:
    """SQL of a small number, never null."""
    if name == "asks":
        return "CASE WHEN state = 'prepared' THEN 0 ELSE 1 END"
    return f"COALESCE({name}, {NONE})"


def _text(name: str) -> str:
    """SQL of a JSON column's text, empty where it says nothing."""
    text = f"CAST({name} AS text)"
    return f"CASE WHEN {name} IS NULL OR {text} IN ('null', '[]', '{{}}') THEN '' ELSE {text} END"


def _packed(small: Sequence[str]) -> str:
    """SQL of up to four small numbers in one; the first keeps its sign, the others are lifted above 0."""
    terms = []
    for place, name in enumerate(reversed(small)):
        whole = f"CAST({_number(name)} AS bigint)"
        if place < len(small) - 1:
            whole = f"({whole} + {-NONE})"
        terms.append(f"{whole} * {1 << 16 * place}")
    return " + ".join(terms)


def _unpacked(small: Sequence[str], packed: Whole) -> Table:
    """The small numbers again."""
    table = {small[0]: packed >> 16 * (len(small) - 1)}
    for place, name in enumerate(reversed(small[1:])):
        table[name] = (packed >> 16 * place & 0xFFFF) + NONE
    return table
