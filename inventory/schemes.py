"""The one bridge from a specification's rows to `organ.Scheme`, read as columns, in chunks."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.utils.translation import gettext as _

from inventory.models import (
    Chest,
    Control,
    ControlPosition,
    Coupler,
    Keyboard,
    Rank,
    Segment,
    Specification,
    Stop,
)
from inventory.organ import schemes as organ


class NoSuchRecord(LookupError):
    """A reference names no record, or the record has no specification."""


def scheme_of_record(reference: str) -> organ.Scheme:
    """The scheme of an instrument as it is now, or of ``REFERENCE/specification-code``."""
    return scheme_of(find_specification(reference))


def find_specification(reference: str) -> Specification:
    """The specification a reference names: the current one, else the latest dated one."""
    name, _slash, code = reference.partition("/")
    found = Specification.objects.filter(instrument__reference=name)
    if not found.exists():
        raise NoSuchRecord(
            _("%(reference)s is no file and no record with a specification; check_records lists the records.")
            % {"reference": name}
        )
    if code:
        chosen = found.filter(code=code).first()
        if chosen is None:
            raise NoSuchRecord(
                _("%(name)s has no specification %(code)s; it has: %(codes)s.")
                % {"name": name, "code": code, "codes": ", ".join(found.values_list("code", flat=True))}
            )
        return chosen
    return found.current().first() or found.in_order().last()


def scheme_of(specification: Specification) -> organ.Scheme:
    """The scheme of one specification."""
    return schemes_of([specification.pk])[specification.pk]


def schemes_of(specification_ids: Iterable[int]) -> dict[int, organ.Scheme]:
    """Schemes of many specifications by id, in eight queries however many there are."""
    ids = list(specification_ids)

    def rows(model: type, path: str, *columns: str) -> dict[int, list[tuple[Any, ...]]]:
        """Column values by specification, in the model's order."""
        by_specification: dict[int, list[tuple[Any, ...]]] = defaultdict(list)
        found = model.objects.filter(**{f"{path}__in": ids}).values_list(path, *columns)  # type: ignore[attr-defined]
        for specification, *values in found:
            by_specification[specification].append(tuple(values))
        return by_specification

    own = "specification_id"
    keyboards = rows(Keyboard, own, "code", "kind", "keys", "low_note", "notes", "reach")
    ranks = rows(Rank, own, "code", "pipes", "low_note", "notes", "counted", "missing", "tones", "makes")
    stops = rows(Stop, own, "code", "keyboard__code", "label", "footage", "first_key", "last_key", "state")
    segments = rows(
        Segment, "stop__specification_id", "stop__code", "first_key", "last_key", "rank__code",
        "shift", "interval", "pipes", "device__code", "chest__code", "evidence",
    )  # fmt: skip
    controls = rows(Control, own, "id", "code")
    positions = rows(ControlPosition, "control__specification_id", "control_id", "number", "stops__code")
    chests = rows(Chest, own, "code", "kind", "stop_order", "channel_order", "layout")
    couplers = rows(
        Coupler, own, "code", "from_keyboard__code", "to_keyboard__code", "shift", "moves", "always"
    )
    return {
        one: organ.Scheme(
            keyboards=tuple(_keyboard(*row) for row in keyboards[one]),
            ranks=tuple(_rank(*row) for row in ranks[one]),
            stops=tuple(_stop(*row, _compass(keyboards[one])) for row in stops[one]),
            segments=tuple(_segment(*row) for row in segments[one]),
            controls=tuple(_control(code, pk, positions[one]) for pk, code in controls[one]),
            chests=tuple(_chest(*row) for row in chests[one]),
            couplers=tuple(organ.Coupler(*row) for row in couplers[one]),
        )
        for one in ids
    }


def scheme_with(
    scheme: organ.Scheme, ranks: Iterable[Rank], segments: Iterable[Segment], chests: Iterable[Chest]
) -> organ.Scheme:
    """The same keyboards and stops with other ranks, segments and chests: rows that need not be saved."""
    return replace(
        scheme,
        ranks=tuple(
            _rank(r.code, r.pipes, r.low_note, r.notes, r.counted, r.missing, r.tones, r.makes) for r in ranks
        ),
        segments=tuple(
            _segment(
                one.stop.code, one.first_key, one.last_key, one.rank.code, one.shift, one.interval, one.pipes,
                one.device.code if one.device else None, one.chest.code if one.chest else None, one.evidence,
            )
            for one in segments
        ),
        chests=tuple(_chest(c.code, c.kind, c.stop_order, c.channel_order, c.layout) for c in chests),
    )  # fmt: skip


def _compass(keyboards: list[tuple[Any, ...]]) -> Mapping[str, int]:
    return {code: keys for code, _kind, keys, _low, _notes, _reach in keyboards}


def _keyboard(
    code: str, kind: str, keys: int, low: int, notes: list[int] | None, reach: int
) -> organ.Keyboard:
    sounding = tuple(notes) if notes else tuple(range(low, low + keys))
    return organ.Keyboard(code, sounding, kind, reach)


def _rank(
    code: str,
    pipes: int | None,
    low: int | None,
    notes: list[int] | None,
    counted: str,
    missing: list[int],
    tones: dict[str, list[int]],
    makes: str,
) -> organ.Rank:
    nominal: tuple[int, ...] | None = None
    if notes:
        nominal = tuple(notes)
    elif low is not None and pipes is not None:
        nominal = tuple(range(low, low + pipes))
    return organ.Rank(
        code,
        pipes,
        nominal,
        low=low if nominal is None else nominal[0] if nominal else low,
        counted=counted,
        missing=frozenset(missing or ()),
        tones={int(pipe): tuple(found) for pipe, found in (tones or {}).items()},
        makes=makes,
    )


def _stop(
    code: str,
    keyboard: str,
    label: str,
    footage: str,
    first: int | None,
    last: int | None,
    state: str,
    compass: Mapping[str, int],
) -> organ.Stop:
    keys = None if first is None and last is None else (first or 1, last or compass[keyboard])
    return organ.Stop(code, keyboard, label, footage or None, keys, state)


def _segment(
    stop: str,
    first: int,
    last: int,
    rank: str,
    shift: int | None,
    interval: int | None,
    pipes: list[int] | None,
    device: str | None,
    chest: str | None,
    evidence: str,
) -> organ.Segment:
    asked = None if pipes is None else tuple(pipes)
    return organ.Segment(stop, (first, last), rank, shift, interval, asked, device, chest, evidence or None)


def _control(code: str, pk: int, positions: list[tuple[Any, ...]]) -> organ.Control:
    drawn: dict[int, list[str]] = defaultdict(list)
    for control, number, stop in positions:
        if control == pk:
            drawn[number] += [stop] if stop else []
    return organ.Control(code, tuple(tuple(sorted(drawn[number])) for number in sorted(drawn)))


def _chest(
    code: str, kind: str, stops: list[str] | None, channels: list[str] | None, layout: str
) -> organ.Chest:
    order = None
    if channels:
        order = tuple((name.rpartition(":")[0], int(name.rpartition(":")[2])) for name in channels)
    return organ.Chest(code, kind, tuple(stops) if stops else None, order, layout or None)
