"""All tables of statistics, patterns, signatures, treble and repertoire too, from kept rows: one line of JSON.

Rows of different made-up instruments are worked out and copied under other references until there are enough:
what is measured is keeping, reading, tables and figures; what one instrument costs to work out is told apart.
"""

from __future__ import annotations

import json
import resource
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

from inventory.organ.synthetic import make_scheme
from publishing.disclosure.values import (
    LayerValue,
    Link,
    PublicInstrument,
    SegmentValue,
    StopValue,
    When,
)
from publishing.statistics.choosing import View
from publishing.statistics.examples import example_instrument
from publishing.statistics.frames import frames_of_rows
from publishing.statistics.measures import MEASURES, figures_of_measure
from publishing.statistics.row_store import RowStore
from publishing.statistics.rows import InstrumentRows, rows_of

DIFFERENT = 400


def made_up(number: int) -> PublicInstrument:
    """A published instrument around a made-up scheme, read as the statistics read it: without an answer."""
    scheme, example = make_scheme(number), example_instrument(f"SYN-{number}")
    year = 1750 + number % 180
    maker = Link("makers", f"MKR-{number % 40}", f"Maker {number % 40}")
    layer = LayerValue(
        "built", "Built", When(str(year), str(year), year, year, year), maker, "", "certain", ""
    )
    stops = tuple(
        StopValue(s.id, s.keyboard, "", s.name, s.name, s.footage or "", {"en": s.name.lower()}, "", "", s.state,
                  s.keys, "", "")
        for s in scheme.stops
    )  # fmt: skip
    segments = tuple(
        SegmentValue(
            s.stop, *s.keys, s.rank, s.interval, s.shift, s.device or "", s.evidence or "", "", "built", ""
        )
        for s in scheme.segments
    )
    current = replace(example.current, stops=stops, segments=segments, scheme=scheme, answer={})
    return replace(example, specifications=(current,), layers=(layer,))


def copies(made: list[InstrumentRows], instruments: int) -> Iterator[tuple[str, str, InstrumentRows]]:
    """As many instruments as wanted, each with the rows of one of those made."""
    for number in range(instruments):
        reference = f"SYN-{number:06d}"
        tables = made[number % len(made)].tables
        yield (
            reference,
            "key",
            InstrumentRows(
                {name: tuple((reference, *row[1:]) for row in rows) for name, rows in tables.items()}
            ),
        )


def _peak_megabytes() -> int:
    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)


def main(instruments: int) -> None:
    organs = [made_up(number) for number in range(min(DIFFERENT, instruments))]
    started = time.process_time()
    made = [rows_of(organ, View()) for organ in organs]
    each = (time.process_time() - started) / len(made)
    with tempfile.TemporaryDirectory() as folder:
        store = RowStore(Path(folder), "as-found")
        store.put(copies(made, instruments))
        clock, started = time.perf_counter(), time.process_time()
        frames = frames_of_rows(View(), store.rows())
        periods = len(frames.maker_periods)
        tables, by_clock = time.process_time() - started, time.perf_counter() - clock
        peak_of_tables = _peak_megabytes()
        started = time.process_time()
        figures = sum(len(figures_of_measure(measure.code, frames)) for measure in MEASURES)
        of_figures = time.process_time() - started
        started = time.process_time()
        store.put([("SYN-000000", "other", made[1 % len(made)])])
        edit = time.process_time() - started
        size = sum(path.stat().st_size for path in Path(folder).iterdir())
    print(
        json.dumps(
            {
                "instruments": instruments, "segments": len(frames.segments), "patterns": len(frames.patterns),
                "signatures": len(frames.signatures), "maker_periods": periods, "figures": figures,
                "tables_processor_seconds": round(tables, 2), "tables_clock_seconds": round(by_clock, 2),
                "figures_processor_seconds": round(of_figures, 2), "edit_milliseconds": round(edit * 1000, 1),
                "one_instrument_milliseconds": round(each * 1000, 1), "file_megabytes": round(size / 1e6),
                "tables_peak_megabytes": peak_of_tables, "peak_megabytes": _peak_megabytes(),
            }
        )
    )  # fmt: skip


if __name__ == "__main__":
    main(int(sys.argv[1]))
