"""The current schemes of the demo, straight from the fixture file: no database, a second instead of ten."""

from __future__ import annotations

import json
from collections import defaultdict
from functools import cache

from fixtures.builder.build import FOLDER
from inventory import schemes as bridge
from inventory.organ.schemes import Coupler, Scheme

KINDS = ("keyboard", "rank", "stop", "segment", "control", "controlposition", "chest", "coupler")


@cache
def demo_schemes() -> dict[str, Scheme]:
    """By reference of the instrument, in order."""
    rows = json.loads((FOLDER / "demo.json").read_text(encoding="utf-8"))
    found: dict = defaultdict(lambda: {kind: [] for kind in KINDS})
    current = {}
    for row in rows:
        kind, fields = row["model"].partition(".")[2], row["fields"]
        if kind == "specification" and fields.get("is_current"):
            current[fields["instrument"][0]] = (fields["instrument"][0], fields["code"])
        elif kind in KINDS:
            owner = fields.get("specification") or fields.get("stop") or fields.get("control")
            found[tuple(owner[:2])][kind].append(fields)
    return {reference: _scheme(found[at]) for reference, at in sorted(current.items())}


def _last(key: list | None) -> str | None:
    return key[-1] if key else None


def _ordered(rows: list[dict]) -> list[dict]:
    return sorted(rows, key=lambda row: (row.get("order", 0), row["code"]))


def _scheme(rows: dict[str, list[dict]]) -> Scheme:
    keys = {row["code"]: row["keys"] for row in rows["keyboard"]}
    order = {row["code"]: place for place, row in enumerate(_ordered(rows["stop"]))}
    positions = [
        (_last(row["control"]), row["number"], _last(stop))
        for row in rows["controlposition"]
        for stop in row["stops"] or [None]
    ]
    return Scheme(
        tuple(
            bridge._keyboard(
                row["code"], row.get("kind", "manual"), row["keys"], row.get("low_note", 36), row.get("notes"),
                row.get("reach", 0),
            )
            for row in _ordered(rows["keyboard"])
        ),
        tuple(
            bridge._rank(
                row["code"], row.get("pipes"), row.get("low_note"), row.get("notes"), row.get("counted", ""),
                row.get("missing", []), row.get("tones", {}), row.get("makes", "pipes"),
            )
            for row in _ordered(rows["rank"])
        ),
        tuple(
            bridge._stop(
                row["code"], _last(row["keyboard"]), row["label"], row.get("footage", ""), row.get("first_key"),
                row.get("last_key"), row.get("state", "present"), keys,
            )
            for row in _ordered(rows["stop"])
        ),
        tuple(
            bridge._segment(
                _last(row["stop"]), row["first_key"], row["last_key"], _last(row["rank"]), row.get("shift"),
                row.get("interval"), row.get("pipes"), _last(row.get("device")), _last(row.get("chest")),
                row.get("evidence", ""),
            )
            for row in sorted(rows["segment"], key=lambda r: (order[_last(r["stop"])], r["first_key"], r["code"]))
        ),
        tuple(bridge._control(row["code"], row["code"], positions) for row in _ordered(rows["control"])),
        tuple(
            bridge._chest(
                row["code"], row["kind"], row.get("stop_order"), row.get("channel_order"), row.get("layout", "")
            )
            for row in rows["chest"]
        ),
        tuple(
            Coupler(
                row["code"], _last(row["from_keyboard"]), _last(row["to_keyboard"]), row.get("shift", 0),
                row.get("moves", "key"), row.get("always", False),
            )
            for row in _ordered(rows["coupler"])
        ),
    )  # fmt: skip
