"""One size of collection through all tables of statistics that rest on columns: one line of JSON."""

from __future__ import annotations

import json
import resource
import sys
import time

import numpy as np
import pandas as pd

from inventory.organ.synthetic_columns import make_columns
from publishing.statistics.collection_tables import FROM_COLUMNS, frames_of_columns
from publishing.statistics.groups import sharing_by_group
from publishing.statistics.measures import figures_of_measure
from tests.benchmarks.expanded_keys import count_expanded

NAIVE = 2_000


def about(instruments: int) -> pd.DataFrame:
    """Made-up makers and dates, some uncertain."""
    random = np.random.default_rng(7)
    first = random.integers(1700, 1940, instruments)
    maker = random.integers(1, max(2, instruments // 50), instruments)
    return pd.DataFrame(
        {
            "reference": [f"SYN-{n:06d}" for n in range(instruments)],
            "maker": pd.Series(maker).map("MKR-{:05d}".format),
            "maker_name": pd.Series(maker).map("Maker {}".format),
            "first_year": first,
            "last_year": first + random.choice([0, 0, 2, 10], instruments),
        }
    )


def main(instruments: int) -> None:
    columns, facts = make_columns(instruments, seed=1), about(instruments)
    started, processor = time.perf_counter(), time.process_time()
    frames = frames_of_columns(columns, facts)
    periods = len(frames.maker_periods)
    tables, of_tables = time.perf_counter() - started, time.process_time() - processor
    figures = [f for code in FROM_COLUMNS for f in figures_of_measure(code, frames)]
    decades = sharing_by_group(frames, "decade")
    everything, processor = time.perf_counter() - started, time.process_time() - processor
    assert figures and decades
    naive_on = min(NAIVE, instruments)
    started = time.process_time()
    small = make_columns(naive_on, seed=1)
    made = time.process_time() - started
    started = time.process_time()
    sums, stops = count_expanded(small, naive_on)
    naive = time.process_time() - started
    started = time.process_time()
    ours = frames_of_columns(small, facts.head(naive_on))
    fast = time.process_time() - started
    for name in ("calls", "pipes_called", "pipes_shared"):
        assert (ours.instruments[name].to_numpy() == sums[name].to_numpy()).all(), name
    for name in ("own", "shared", "silent"):
        assert (ours.stops[name].to_numpy() == stops[name].to_numpy()).all(), name
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        json.dumps(
            {
                "instruments": instruments, "segments": len(frames.segments), "maker_periods": periods,
                "tables_seconds": round(tables, 2), "with_figures_seconds": round(everything, 2),
                "tables_processor_seconds": round(of_tables, 2), "processor_seconds": round(processor, 2),
                "naive_instruments": naive_on, "naive_seconds": round(naive, 2), "ours_seconds": round(fast, 3),
                "ratio": round(naive / fast, 1), "making_seconds": round(made, 2),
                "peak_megabytes": round(peak),
            }
        )
    )  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]))
