"""Makes records for tests: every argument has a sensible default, every record is made by an action."""

from __future__ import annotations

from itertools import count
from types import SimpleNamespace
from typing import Any

from inventory.actions import create_record, release, submit_for_review
from inventory.models import (
    Instrument,
    Keyboard,
    Maker,
    Place,
    Rank,
    Role,
    Segment,
    Specification,
    Stop,
    Term,
    User,
)

_numbers = count(1)


def make_people() -> SimpleNamespace:
    """One person of each role."""
    return SimpleNamespace(
        **{
            role.value: User.objects.create_user(
                username=f"{role.value}-{next(_numbers)}", password="a long enough word", role=role
            )
            for role in Role
        }
    )


def make_instrument(by: User, **fields: Any) -> Instrument:
    """A draft instrument."""
    defaults = {"reference": f"ORG-T{next(_numbers):04d}", "name": "Test organ", "status": "in use"}
    return create_record(Instrument(**{**defaults, **fields}), by=by)


def make_place(by: User, **fields: Any) -> Place:
    """A draft place."""
    defaults = {"reference": f"PLC-T{next(_numbers):04d}", "name": "Test town", "kind": "town"}
    return create_record(Place(**{**defaults, **fields}), by=by)


def make_maker(by: User, **fields: Any) -> Maker:
    """A draft maker."""
    defaults = {
        "reference": f"MKR-T{next(_numbers):04d}",
        "name": "Test maker",
        "sort_name": "Maker, Test",
        "kind": "person",
    }
    return create_record(Maker(**{**defaults, **fields}), by=by)


def make_term(vocabulary: str, code: str, **names: str) -> Term:
    """A word of a vocabulary."""
    return Term.objects.create(vocabulary=vocabulary, code=code, names=names or {"en": code})


def make_public(root: Any, editor: User) -> Any:
    """Bring a draft through review to release, for everybody."""
    from inventory.actions import change_record

    root.audience = "public"
    root = change_record(root, version=root.version, by=editor, put=[root])
    root = submit_for_review(root, version=root.version, by=editor)
    return release(root, version=root.version, by=editor)


def add_shared_rank(
    instrument: Instrument, by: User, *, keys: int = 56, footages: tuple[str, ...] = ("8", "4")
) -> Specification:
    """A specification with one rank of flutes that speaks at several footages."""
    from inventory.actions import change_record
    from inventory.organ.footages import interval_of, read_footage

    specification = Specification(
        instrument=instrument, code="as-found", name="As found", basis="as found", is_current=True
    )
    keyboard = Keyboard(specification=specification, code="I", keys=keys, low_note=36)
    intervals = [interval_of(read_footage(footage)) for footage in footages]
    rank = Rank(
        specification=specification,
        code="flute",
        name="Flute",
        low_note=36 + min(intervals),
        pipes=keys + max(intervals) - min(intervals),
        counted="physical",
    )
    rows: list[Any] = [specification, keyboard, rank]
    for footage, interval in zip(footages, intervals, strict=True):
        stop = Stop(
            specification=specification,
            code=f"flute-{footage.replace(' ', '-').replace('/', '_')}",
            keyboard=keyboard,
            label=f"Flute {footage}",
            name="Flute",
            footage=footage,
        )
        rows += [
            stop,
            Segment(stop=stop, code="all", first_key=1, last_key=keys, rank=rank, interval=interval),
        ]
    change_record(instrument, version=instrument.version, by=by, put=rows)
    return specification
