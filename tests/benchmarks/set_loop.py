"""The honest baseline: the sums of a collection by plain dicts and sets, one instrument after another."""

from __future__ import annotations

from collections import defaultdict

import numpy as np

from inventory.organ.collection import Sums
from inventory.organ.columns import NOT_COUNTED, Columns


def loop_over_sets(columns: Columns, instruments: int) -> Sums:
    """Sums of the first instruments, expanding every row to keys; shares no code with the engine.

    Columns with polyphone pipes are not for this loop.
    """
    assert columns.tone is None
    stop_end = int(np.searchsorted(columns.stop_instrument, instruments))
    rank_end = int(np.searchsorted(columns.rank_instrument, instruments))
    row_end = int(np.searchsorted(columns.rank, rank_end))
    stop_instrument = columns.stop_instrument[:stop_end].tolist()
    rank_pipes = columns.rank_pipes[:rank_end].tolist()
    first_of, last_of = columns.stop_first[:stop_end].tolist(), columns.stop_last[:stop_end].tolist()
    stop_keys = columns.stop_keys[:stop_end].tolist()
    rows_of: dict[int, list[tuple[int, ...]]] = defaultdict(list)
    names = ("stop", "rank", "first_key", "last_key", "shift")
    for row in zip(*(getattr(columns, name)[:row_end].tolist() for name in names), strict=True):
        rows_of[stop_instrument[row[0]]].append(row)
    stops_of: dict[int, list[int]] = defaultdict(list)
    for stop, instrument in enumerate(stop_instrument):
        stops_of[instrument].append(stop)
    by_instrument, by_stop = [], []
    for instrument in range(instruments):
        askers: dict[tuple[int, int], set[tuple[int, int]]] = defaultdict(set)
        answers: dict[int, dict[int, set[tuple[int, int]]]] = defaultdict(lambda: defaultdict(set))
        for stop, rank, first, last, shift in rows_of[instrument]:
            pipes = rank_pipes[rank]
            for key in range(max(first, 1), min(last, stop_keys[stop]) + 1):
                pipe = key + shift
                if pipe >= 1 and (pipes == NOT_COUNTED or pipe <= pipes):
                    askers[rank, pipe].add((stop, key))
                    answers[stop][key].add((rank, pipe))
        calls = shared = repeated = depth = 0
        shared_pipes = set()
        for pipe_at, asks in askers.items():
            calls += len(asks)
            stops = {stop for stop, _key in asks}
            depth = max(depth, len(stops))
            if len(stops) > 1:
                shared += 1
                shared_pipes.add(pipe_at)
            repeated += len(stops) < len(asks)
        by_instrument.append((calls, len(askers), shared, len(askers) - shared, repeated, depth))
        for stop in stops_of[instrument]:
            keys = range(first_of[stop], last_of[stop] + 1)
            silent = sum(1 for key in keys if key not in answers[stop])
            met = sum(1 for key in keys if key in answers[stop] and answers[stop][key] & shared_pipes)
            by_stop.append((len(keys), len(keys) - met - silent, met, silent))
    return Sums(
        *np.array(by_instrument, np.int64).reshape(-1, 6).T, *np.array(by_stop, np.int64).reshape(-1, 4).T
    )
