"""What a table of the open data is: its columns with unit and meaning, its key, and where it points."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

Words = Any
"""A text, or one that is translated when it is printed."""

INTEGERS = r"[0-9]+( [0-9]+)*"
TONES = r"[0-9]+:[0-9]+(\+[0-9]+)*( [0-9]+:[0-9]+(\+[0-9]+)*)*"


@dataclass(frozen=True)
class Column:
    """One column: its type as Table Schema names it, its unit (also in its name) and its meaning."""

    name: str
    kind: str
    meaning: Words
    unit: Words = ""
    required: bool = False
    pattern: str = ""
    values: tuple[str, ...] = ()
    lowest: int | None = None


@dataclass(frozen=True)
class Reference:
    """These columns of a table name a row of another one (or of the same: empty name)."""

    columns: tuple[str, ...]
    table: str
    there: tuple[str, ...]


@dataclass(frozen=True)
class Table:
    """One CSV file."""

    name: str
    title: Words
    meaning: Words
    columns: tuple[Column, ...]
    key: tuple[str, ...]
    references: tuple[Reference, ...] = ()

    @property
    def file(self) -> str:
        """Its name as a file."""
        return f"{self.name}.csv"


def text(name: str, meaning: Words, **more: Any) -> Column:
    """A column of texts."""
    return Column(name, "string", meaning, **more)


def whole(name: str, meaning: Words, **more: Any) -> Column:
    """A column of whole numbers."""
    return Column(name, "integer", meaning, **more)


def number(name: str, meaning: Words, **more: Any) -> Column:
    """A column of numbers."""
    return Column(name, "number", meaning, **more)


def truth(name: str, meaning: Words, **more: Any) -> Column:
    """A column of true and false."""
    return Column(name, "boolean", meaning, **more)


def listed(values: Iterable[int]) -> str | None:
    """Whole numbers in one cell, separated by spaces; nothing for an empty list."""
    return " ".join(str(value) for value in values) or None


def to(*columns: str, table: str, there: tuple[str, ...] = ()) -> Reference:
    """A reference; the columns have the same names there unless said otherwise."""
    return Reference(columns, table, there or columns)
