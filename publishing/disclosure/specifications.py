"""Public specifications with their scheme, its sums and findings, by key of the instrument."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping

from inventory.models import (
    Accessory,
    Chest,
    Control,
    ControlPosition,
    Count,
    Coupler,
    Division,
    Keyboard,
    Rank,
    RankRange,
    Segment,
    Specification,
    Stop,
)
from inventory.organ.answers import LateAnswer
from inventory.organ.schemes import Scheme
from inventory.organ.short_octaves import make_compass
from inventory.schemes import schemes_of

from .door import Row, read_rows
from .parts import keys_of, when
from .values import (
    CountValue,
    KeyboardValue,
    RankValue,
    SegmentValue,
    SpecificationValue,
    StopValue,
)

Rows = Mapping[int, list[Row]]


def read_specifications(
    ids: Iterable[int], evaluated: bool = True
) -> dict[int, tuple[SpecificationValue, ...]]:
    """Specifications of these instruments, oldest first, complete; `evaluated` says whether with their answer."""
    ids = list(ids)
    found = read_rows(
        Specification, ids, "code", "name", "when", "when_sort", "basis", "is_current", "language",
    )  # fmt: skip
    own = "specification_id"
    rows: dict[str, Rows] = {
        "keyboards": read_rows(
            Keyboard, ids, "code", "name", "kind", "keys", "low_note", "notes", "reach", by=own
        ),
        "divisions": read_rows(Division, ids, "code", "name", "keyboard__code", by=own),
        "stops": read_rows(
            Stop, ids, "code", "keyboard__code", "division__code", "label", "name", "footage", "family__names",
            "family__code", "half", "state", "first_key", "last_key", "earlier_name", "note", by=own,
        ),
        "controls": read_rows(Control, ids, "code", "label", "kind", by=own),
        "positions": read_rows(ControlPosition, ids, "number", "stops__code", by="control_id"),
        "ranks": read_rows(Rank, ids, "code", "name", "pipes", "counted", "low_note", "form", by=own),
        "ranges": read_rows(
            RankRange, ids, "first_pipe", "last_pipe", "layer__name", "certainty", "text", by="rank_id"
        ),
        "segments": read_rows(
            Segment, ids, "stop__code", "first_key", "last_key", "rank__code", "interval", "shift", "pipes",
            "device__code", "chest__code", "evidence", "certainty", "layer__code", "note", "survey__code",
            by="stop__specification",
            order=("stop__order", "stop__code", "first_key", "code"),
        ),
        "couplers": read_rows(
            Coupler, ids, "label", "code", "from_keyboard__code", "to_keyboard__code", "shift", "always", by=own
        ),
        "accessories": read_rows(Accessory, ids, "label", by=own),
        "counts": read_rows(Count, ids, "what", "number", "how", "note", by=own),
        "chests": read_rows(Chest, ids, "name", "kind", "layout", "note", "viewed", by=own),
    }  # fmt: skip
    keys = [row["pk"] for listed in found.values() for row in listed]
    schemes = schemes_of(keys)
    made: dict[int, tuple[SpecificationValue, ...]] = {}
    for instrument, listed in found.items():
        listed.sort(key=lambda row: (row["when_sort"] is None, row["when_sort"] or 0, row["code"]))
        made[instrument] = tuple(_specification(row, rows, schemes[row["pk"]], evaluated) for row in listed)
    return defaultdict(tuple, made)


def _specification(row: Row, rows: Mapping[str, Rows], scheme: Scheme, evaluated: bool) -> SpecificationValue:
    pk = row["pk"]
    own = {name: listed.get(pk, []) for name, listed in rows.items()}
    return SpecificationValue(
        code=row["code"],
        name=row["name"],
        when=when(row["when"]),
        basis=row["basis"],
        is_current=row["is_current"],
        language=row["language"],
        keyboards=tuple(_keyboard(one) for one in own["keyboards"]),
        divisions=tuple((one["code"], one["name"], one["keyboard__code"] or "") for one in own["divisions"]),
        stops=tuple(_stop(one) for one in own["stops"]),
        knobs=tuple(
            (one["label"], one["kind"], _positions(rows["positions"].get(one["pk"], [])))
            for one in own["controls"]
        ),
        ranks=tuple(_rank(one, rows["ranges"].get(one["pk"], [])) for one in own["ranks"]),
        segments=tuple(_segment(one) for one in own["segments"]),
        couplers=tuple(
            (
                one["label"] or one["code"],
                one["from_keyboard__code"],
                one["to_keyboard__code"],
                one["shift"],
                one["always"],
            )
            for one in own["couplers"]
        ),
        accessories=tuple(one["label"] for one in own["accessories"]),
        counts=tuple(
            CountValue(one["what"], one["number"], one["how"], one["note"]) for one in own["counts"]
        ),
        chests=tuple(
            (one["name"], one["kind"], one["layout"], one["note"], one["viewed"]) for one in own["chests"]
        ),
        answer=LateAnswer(scheme) if evaluated else {},
        scheme=scheme,
    )


def _keyboard(row: Row) -> KeyboardValue:
    notes = tuple(row["notes"] or range(row["low_note"], row["low_note"] + row["keys"]))
    return KeyboardValue(row["code"], row["name"], row["kind"], make_compass(notes).text, row["keys"])


def _stop(row: Row) -> StopValue:
    return StopValue(
        code=row["code"],
        keyboard=row["keyboard__code"],
        division=row["division__code"] or "",
        label=row["label"],
        name=row["name"],
        footage=row["footage"],
        family=row["family__names"],
        family_code=row["family__code"] or "",
        half=row["half"],
        state=row["state"],
        keys=keys_of(row["first_key"], row["last_key"]),
        earlier_name=row["earlier_name"],
        note=row["note"],
    )


def _positions(rows: list[Row]) -> tuple[tuple[str, ...], ...]:
    drawn: dict[int, list[str]] = defaultdict(list)
    for row in rows:
        drawn[row["number"]] += [row["stops__code"]] if row["stops__code"] else []
    return tuple(tuple(sorted(drawn[number])) for number in sorted(drawn))


def _rank(row: Row, ranges: list[Row]) -> RankValue:
    return RankValue(
        row["code"],
        row["name"],
        row["pipes"],
        row["counted"],
        row["low_note"],
        row["form"],
        tuple(
            (one["first_pipe"], one["last_pipe"], one["layer__name"] or "", one["certainty"], one["text"])
            for one in ranges
        ),
    )


def _segment(row: Row) -> SegmentValue:
    return SegmentValue(
        stop=row["stop__code"],
        first_key=row["first_key"],
        last_key=row["last_key"],
        rank=row["rank__code"],
        interval=row["interval"],
        shift=row["shift"],
        device=row["device__code"] or "",
        evidence=row["evidence"],
        certainty=row["certainty"],
        layer=row["layer__code"] or "",
        note=row["note"],
        pipes=None if row["pipes"] is None else tuple(row["pipes"]),
        chest=row["chest__code"] or "",
        survey=row["survey__code"] or "",
    )
