"""Run as a program of its own: rows of an SQLite file to standard output, as Arrow streams.

Standard input holds a JSON object: the file's address and the statements. Never imported by
the server: the driver carries an SQLite of its own, and two SQLites in one process undo each
other's locks on a file as soon as one of them closes it.
"""

from __future__ import annotations

import json
import sys

import adbc_driver_sqlite.dbapi as driver
import pyarrow

ROWS_AT_ONCE = "65536"


def stream(address: str, statements: list[str]) -> None:
    """Write one stream for each statement, all of one moment of the database."""
    with (
        driver.connect(address) as connection,
        connection.cursor() as cursor,
        pyarrow.PythonFile(sys.stdout.buffer, mode="w") as out,
    ):
        cursor.adbc_statement.set_options(**{"adbc.sqlite.query.batch_rows": ROWS_AT_ONCE})
        for statement in statements:
            cursor.execute(statement)
            reader = cursor.fetch_record_batch()
            # Half the memory; a number that does not fit raises, and the other side then reads by itself.
            kinds = [pyarrow.int32() if kind == pyarrow.int64() else kind for kind in reader.schema.types]
            schema = pyarrow.schema(zip(reader.schema.names, kinds, strict=True))
            with pyarrow.ipc.new_stream(out, schema) as writer:
                for batch in reader:
                    writer.write_batch(batch.cast(schema))


if __name__ == "__main__":
    stream(**json.load(sys.stdin))
