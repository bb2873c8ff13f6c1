"""CSV that no spreadsheet takes for a formula, and that reads back exactly.

A text that begins with a sign of a formula is written with an apostrophe before it. So
is a text that begins with apostrophes and then such a sign; a reader takes exactly one
apostrophe away from such texts and has the original. Numbers are never touched.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterable, Sequence
from typing import Any

# The ordinary signs, tab and line ends, and the full-width forms some spreadsheets read as the same.
_FORMULA = re.compile("'*[=+\\-@\\t\\r\\n\uff1d\uff0b\uff0d\uff20]")
_GUARDED = re.compile("'+[=+\\-@\\t\\r\\n\uff1d\uff0b\uff0d\uff20]")
_SUSPECT = frozenset("'=+-@\t\r\n\uff1d\uff0b\uff0d\uff20")


def guard(text: str) -> str:
    """A text as it is written.

    >>> guard("=1+1"), guard("'-x"), guard("plain")
    ("'=1+1", "''-x", 'plain')
    """
    return f"'{text}" if _FORMULA.match(text) else text


def unguard(text: str) -> str:
    """The original of a text that was written.

    >>> unguard("'=1+1"), unguard("'tis")
    ('=1+1', "'tis")
    """
    return text[1:] if _GUARDED.match(text) else text


def cell(value: Any) -> str:
    """One value as a cell: nothing for None, true and false in words, numbers plain, texts guarded."""
    if type(value) is str:  # most cells are texts, and few of those begin suspiciously
        return guard(value) if value[:1] in _SUSPECT else value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float):
        return f"{value:.6f}".rstrip("0").rstrip(".")
    return guard(str(value))


def csv_text(rows: Iterable[Sequence[Any]]) -> str:
    """Rows as CSV (RFC 4180: comma, double quotes, CR LF)."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\r\n").writerows([cell(value) for value in row] for row in rows)
    return out.getvalue()
