"""Measure the sums of a collection in a process of its own, and the set loop beside it.

    python -m tests.benchmarks.measure_collection 100000

prints one line of JSON. The peak of memory is of the whole process, the making of the
collection included.
"""

from __future__ import annotations

import json
import resource
import sys
import time

import numpy as np

from inventory.organ.collection import Sums, sum_collection
from inventory.organ.synthetic_columns import make_columns
from tests.benchmarks.set_loop import loop_over_sets

LOOP_INSTRUMENTS = 2_000


def assert_same_start(sums: Sums, loop: Sums) -> None:
    """The first instruments and stops of both are equal, number by number."""
    for name, values in vars(loop).items():
        assert np.array_equal(getattr(sums, name)[: values.size], values), name


def measure(instruments: int, seed: int = 1) -> dict[str, float]:
    """Seconds, ratio and memory for a collection of this size; equality with the set loop asserted."""
    begin = time.perf_counter()
    columns = make_columns(instruments, seed)
    made = time.perf_counter() - begin
    looped = min(LOOP_INSTRUMENTS, instruments)
    # The ratio is of processor time: both ways use one core, and others may use this machine.
    seconds, processor = [], []
    for _ in range(5):
        begin, begin_processor = time.perf_counter(), time.process_time()
        sums = sum_collection(columns)
        seconds.append(time.perf_counter() - begin)
        processor.append(time.process_time() - begin_processor)
    begin_processor = time.process_time()
    loop = loop_over_sets(columns, looped)
    loop_rate = looped / (time.process_time() - begin_processor)
    assert_same_start(sums, loop)
    return {
        "instruments": instruments,
        "stops": columns.stop_instrument.size,
        "rows": columns.rows,
        "calls": int(sums.calls.sum()),
        "made_seconds": round(made, 3),
        "seconds": round(min(seconds), 4),
        "processor_seconds": round(min(processor), 4),
        "instruments_a_second": round(instruments / min(processor)),
        "set_loop_instruments_a_second": round(loop_rate),
        "ratio": round(instruments / min(processor) / loop_rate, 1),
        "peak_megabytes": resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // 1024,
    }


if __name__ == "__main__":
    print(json.dumps(measure(int(sys.argv[1]))))
