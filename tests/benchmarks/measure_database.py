"""Rows in the database to figures, end to end, in a process of its own.

    UPPERBOARD_DATA=FOLDER python -m tests.benchmarks.measure_database 100000

builds the collection once in that folder (`make_collection` writes 2,000 different
instruments; the database then copies their rows, each copy an instrument of its own,
until there are enough), measures, and prints one line of JSON. Building is not timed.
"""

from __future__ import annotations

import json
import os
import resource
import sys
import time
from pathlib import Path

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "inventory.settings")

DIFFERENT = 2_000
COPIED = ("instrument", "specification", "keyboard", "rank", "stop", "segment")
POINTERS = {
    "instrument_id": "instrument",
    "specification_id": "specification",
    "keyboard_id": "keyboard",
    "rank_id": "rank",
    "stop_id": "stop",
}


def copy_rows(times: int) -> None:
    """Copy every instrument with its scheme `times` times, by the database itself."""
    from django.apps import apps
    from django.db import connection, transaction

    models = {name: apps.get_model("inventory", name) for name in COPIED}
    with transaction.atomic(), connection.cursor() as cursor:
        spans = {}
        for name, model in models.items():
            cursor.execute(f"SELECT MAX(id), COUNT(*) FROM {model._meta.db_table}")
            spans[name] = cursor.fetchone()
        for copy in range(1, times + 1):
            for name, model in models.items():
                columns = [field.column for field in model._meta.concrete_fields]
                said = []
                for column in columns:
                    text = f'"{column}"'
                    if column == "id":
                        text = f"id + {copy * spans[name][0]}"
                    elif column in POINTERS:
                        text = f'"{column}" + {copy * spans[POINTERS[column]][0]}'
                    elif column == "layer_id":
                        text = "NULL"
                    elif column == "reference":
                        text = f"reference || '-{copy}'"
                    said.append(text)
                names = ", ".join(f'"{column}"' for column in columns)
                table = model._meta.db_table
                cursor.execute(
                    f"INSERT INTO {table} ({names}) SELECT {', '.join(said)} FROM {table} WHERE id <= {spans[name][0]}"
                )


def build(instruments: int) -> None:
    """The database of this many instruments, unless it is there already."""
    from django.core.management import call_command

    from inventory.models import Instrument

    call_command("migrate", verbosity=0)
    if Instrument.objects.count() == instruments:
        return
    different = min(DIFFERENT, instruments)
    call_command(
        "make_collection",
        "--instruments",
        str(different),
        "--seed",
        "1",
        "--without-search",
        stdout=sys.stderr,
    )
    copy_rows(instruments // different - 1)


def child_seconds() -> float:
    """Processor time of processes started by this one that have ended."""
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    return spent.ru_utime + spent.ru_stime


def measure(instruments: int) -> dict[str, object]:
    """Seconds from rows to figures, read and kept; equality with reading objects asserted on a part."""
    import django

    django.setup()
    build(instruments)
    import numpy as np

    from inventory.columns import read_collection
    from inventory.models import Segment, Stop
    from inventory.organ.collection import sum_collection
    from inventory.organ.columns import columns_of
    from inventory.schemes import schemes_of

    begin, processor, child = time.perf_counter(), time.process_time(), child_seconds()
    stored = read_collection(keep=False)
    read = time.process_time() - processor
    sums = sum_collection(stored.columns)
    child = child_seconds() - child  # the process that reads the rows, where there is one
    seconds, own = time.perf_counter() - begin, time.process_time() - processor
    processor = own + child
    read_collection()
    begin_kept = time.perf_counter()
    sum_collection(read_collection().columns)
    kept = time.perf_counter() - begin_kept
    # Reading objects, on a part, of the same database.
    part = stored.specifications[:500].tolist()
    begin_objects = time.process_time()
    loop = sum_collection(columns_of(schemes_of(part).values()))
    per_object = (time.process_time() - begin_objects) / len(part)
    for name in ("calls", "pipes_called", "pipes_shared", "pipes_own", "pipes_repeated", "depth"):
        assert np.array_equal(getattr(sums, name)[: len(part)], getattr(loop, name)), name
    whole = len(stored.specifications) // min(DIFFERENT, instruments)
    for name in ("calls", "pipes_shared"):  # every copy gives the figures of its original
        copies = getattr(sums, name).reshape(whole, -1)
        assert (copies == copies[0]).all(), name
    return {
        "instruments": len(stored.specifications),
        "stops": Stop.objects.count(),
        "segments": Segment.objects.count(),
        "calls": int(sums.calls.sum()),
        "seconds": round(seconds, 2),
        "processor_seconds": round(processor, 2),
        "of_which_reading_and_arranging": round(read + child, 2),
        "of_which_in_the_reading_process": round(child, 2),
        "seconds_from_what_was_kept": round(kept, 2),
        "ratio_to_objects": round(per_object * len(stored.specifications) / processor, 1),
        "peak_megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
        "database_megabytes": sum(
            file.stat().st_size for file in Path(os.environ["UPPERBOARD_DATA"]).glob("*.sqlite3*")
        )
        // 1_000_000,
    }


if __name__ == "__main__":
    print(json.dumps(measure(int(sys.argv[1]))))
