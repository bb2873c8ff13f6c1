"""Tables over the whole collection, made from what disclosure gives and from nothing else."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

import pandas as pd

from inventory.organ.schemes import answered_calls
from publishing.disclosure.values import PublicInstrument, SpecificationValue

INSTRUMENT_COLUMNS = {
    "reference": "str", "name": "str", "maker": "str", "maker_name": "str", "sharing": "bool", "calls": "int64",
    "pipes_called": "int64", "pipes_shared": "int64", "depth": "int64", "stops": "int64",
}  # fmt: skip
STOP_COLUMNS = {
    "reference": "str", "stop": "str", "keys": "int64", "own": "int64", "shared": "int64", "silent": "int64",
    "sharing": "str", "keyboard_kind": "str",
}  # fmt: skip
PATTERN_COLUMNS = {"reference": "str", "pattern": "str", "keys": "int64"}
SEGMENT_COLUMNS = {
    "reference": "str", "stop": "str", "rank": "str", "device": "str", "evidence": "str", "shared_rank": "bool",
}  # fmt: skip
PIPE_COLUMNS = {"reference": "str", "callers": "int64", "pipes": "int64"}


@dataclass(frozen=True)
class Frames:
    """The tables every figure is made from; one row an instrument, a stop, a pattern, a segment, a depth."""

    instruments: pd.DataFrame
    stops: pd.DataFrame
    patterns: pd.DataFrame
    segments: pd.DataFrame
    pipes: pd.DataFrame


class FrameBuilder:
    """Gathers rows while instruments pass by, so that the collection never lies in memory whole."""

    def __init__(self) -> None:
        self.rows: dict[str, list[tuple[Any, ...]]] = {
            name: [] for name in ("instruments", "stops", "patterns", "segments", "pipes")
        }

    def add(self, organ: PublicInstrument) -> None:
        """Take the rows of one instrument: its current specification, once."""
        current = organ.current
        if current is None:
            maker, name = _sharing_maker(organ, None)
            self.rows["instruments"].append((organ.reference, organ.name, maker, name, False, 0, 0, 0, 0, 0))
            return
        answer: Mapping[str, Any] = current.answer
        maker, name = _sharing_maker(organ, current)
        self.rows["instruments"].append(
            (
                organ.reference, organ.name, maker, name, bool(answer["families"]), answer["calls"],
                answer["pipes_called"], answer["pipes_shared"], answer["depth"], len(answer["stops"]),
            )
        )  # fmt: skip
        kinds = {stop.code: current.scheme.keyboard_of(stop.code).kind for stop in current.stops}
        self.rows["stops"] += [
            (
                organ.reference, stop["id"], stop["keys"], stop["own"], stop["shared"], stop["silent"],
                stop["sharing"], kinds[stop["id"]],
            )
            for stop in answer["stops"]
        ]  # fmt: skip
        self.rows["patterns"] += [
            (organ.reference, pattern["pattern"], pattern.get("keys") or 0)
            for family in answer["families"]
            for pattern in family["patterns"]
        ]
        callers: dict[tuple[str, int], set[str]] = {}
        for call in answered_calls(current.scheme):
            callers.setdefault((call.rank, call.pipe), set()).add(call.stop)
        shared = {rank for (rank, _pipe), stops in callers.items() if len(stops) > 1}
        self.rows["segments"] += [
            (
                organ.reference,
                segment.stop,
                segment.rank,
                segment.device,
                segment.evidence,
                segment.rank in shared,
            )
            for segment in current.segments
        ]
        depths: dict[int, int] = {}
        for stops in callers.values():
            depths[len(stops)] = depths.get(len(stops), 0) + 1
        self.rows["pipes"] += [(organ.reference, depth, count) for depth, count in sorted(depths.items())]

    def finish(self) -> Frames:
        """The tables, typed, also where there is no row."""
        columns = {
            "instruments": INSTRUMENT_COLUMNS, "stops": STOP_COLUMNS, "patterns": PATTERN_COLUMNS,
            "segments": SEGMENT_COLUMNS, "pipes": PIPE_COLUMNS,
        }  # fmt: skip
        return Frames(
            **{
                name: pd.DataFrame(rows, columns=list(columns[name])).astype(columns[name])
                for name, rows in self.rows.items()
            }
        )


def frames_of(instruments: Iterable[PublicInstrument]) -> Frames:
    """All tables of these instruments."""
    builder = FrameBuilder()
    for organ in instruments:
        builder.add(organ)
    return builder.finish()


def _sharing_maker(organ: PublicInstrument, current: SpecificationValue | None) -> tuple[str, str]:
    """Reference and name of the maker a figure is counted for.

    Sharing belongs to the maker of its layer; an instrument whose sharing is given to no
    layer, or that shares nothing, to the first maker of its history.
    """
    layers = {layer.code: layer for layer in organ.layers}
    if current is not None:
        shared = {stop["id"] for stop in current.answer["stops"] if stop["shared"]}
        for segment in current.segments:
            layer = layers.get(segment.layer)
            if segment.stop in shared and layer is not None and layer.maker is not None:
                return layer.maker.reference, layer.maker.name
    for event in organ.events:
        if event.maker is not None and event.attribution != "rejected":
            return event.maker.reference, event.maker.name
    return "", ""
