"""Long lists in parts, each a page of its own: a page of thousands of rows is none for a telephone."""

from __future__ import annotations

import posixpath
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

ROWS = 500
"""Rows of a list on one page."""


@dataclass(frozen=True)
class ListPart:
    """One page of a list."""

    path: str
    rows: Sequence[Any]
    parts: tuple[tuple[int, str, bool], ...]
    """Number, address, and whether it is this one, of every part; empty where there is one only."""
    number: int
    of: int
    """Rows of the whole list."""


def in_parts(rows: Sequence[Any], path: str, most: int = 0) -> list[ListPart]:
    """The pages of a list; the first has the list's own address, the others stand in a folder beside it."""
    most = most or ROWS
    count = max(1, -(-len(rows) // most))
    folder, name = posixpath.split(path)
    stem = posixpath.join(folder, "parts", name.removesuffix(".html"))
    paths = [path, *(f"{stem}-{n}.html" for n in range(2, count + 1))]
    return [
        ListPart(
            here,
            rows[n * most : (n + 1) * most],
            tuple((m + 1, there, there == here) for m, there in enumerate(paths)) if count > 1 else (),
            n + 1,
            len(rows),
        )
        for n, here in enumerate(paths)
    ]
