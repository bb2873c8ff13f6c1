"""A dated stoplist copied with everything that stands in it: one action, new rows only."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from inventory.actions import change_record
from inventory.models import (
    Accessory,
    Chest,
    Control,
    ControlPosition,
    Coupler,
    Division,
    Keyboard,
    Rank,
    Segment,
    Specification,
    Stop,
    User,
)

IN_ORDER = (Keyboard, Division, Stop, Rank, Chest, Segment, Coupler, Control, ControlPosition, Accessory)


def copy_specification(
    old: Specification, new: Specification, *, version: int, by: User, why: str, also: Iterable[Any] = ()
) -> None:
    """Save `new` with copies of all rows of `old`. Counts and provenance of pipes are facts of their day: not copied."""
    made: dict[tuple[type, int], Any] = {(Specification, old.pk): new}
    put: list[Any] = [*also, new]
    links = []
    for model in IN_ORDER:
        path = "__".join(model.natural[0].split("__")[:-2])
        for row in model._default_manager.filter(**{path: old}).order_by("pk"):
            twin = model()
            for field in model._meta.concrete_fields:
                if field.primary_key:
                    continue
                value = getattr(row, field.name)
                if field.is_relation and value is not None:
                    value = made.get((type(value), value.pk), value)
                setattr(twin, field.name, value)
            made[model, row.pk] = twin
            put.append(twin)
            if isinstance(row, ControlPosition):
                links.append((twin, "stops", [made[Stop, stop.pk] for stop in row.stops.all()]))
    change_record(new.instrument, version=version, by=by, why=why, put=put)
    if links:
        # A position can hold stops only once it is saved.
        change_record(new.instrument, version=new.instrument.version, by=by, why=why, links=links)
