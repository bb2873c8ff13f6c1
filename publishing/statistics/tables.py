"""Tables as files: CSV that reads back exactly and that no spreadsheet takes for a formula; Parquet."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Mapping

import pandas as pd

from publishing.formats.csv_text import guard


def as_csv(table: pd.DataFrame) -> bytes:
    """A table as CSV in UTF-8; empty cells are not known, truth is written true and false.

    >>> as_csv(pd.DataFrame({"a": [1, 2], "b": ["x", "=1"]}))
    b"a,b\\r\\n1,x\\r\\n2,'=1\\r\\n"
    """
    written = table.copy()
    for name in written.columns:
        column = written[name]
        if column.dtype == "bool":
            written[name] = column.map({True: "true", False: "false"})
        elif not pd.api.types.is_numeric_dtype(column):
            # Few texts come again and again: each is looked at once, and most columns stay as they are.
            texts = {value: guard(str(value)) for value in column.dropna().unique()}
            if any(value != text for value, text in texts.items()):
                written[name] = column.map(texts, na_action="ignore")
    return written.to_csv(index=False, lineterminator="\r\n", float_format="%.10g").encode("utf-8")


def as_parquet(table: pd.DataFrame) -> bytes:
    """A table as Parquet, with its types.

    >>> as_parquet(pd.DataFrame({"a": [1]}))[:4]
    b'PAR1'
    """
    out = io.BytesIO()
    table.to_parquet(out, index=False)
    return out.getvalue()


def contributions_table(given: Mapping[str, pd.DataFrame]) -> pd.DataFrame:
    """What every instrument contributes to every figure, as one table.

    >>> contributions_table({}).columns.tolist()
    ['measure', 'key', 'reference', 'count', 'of']
    """
    names = ["measure", "key", "reference", "count", "of"]
    parts = [table.assign(measure=code)[names] for code, table in given.items() if len(table)]
    if not parts:
        return pd.DataFrame({name: [] for name in names})
    return pd.concat(parts).sort_values(["measure", "key", "reference"], ignore_index=True)


def packed(files: Iterable[tuple[str, bytes]]) -> bytes:
    """Files in one ZIP archive; the same files give the same bytes.

    >>> packed([("a.txt", b"x")]) == packed([("a.txt", b"x")])
    True
    """
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for path, content in files:
            archive.writestr(zipfile.ZipInfo(path, (1980, 1, 1, 0, 0, 0)), content, zipfile.ZIP_DEFLATED)
    return out.getvalue()
