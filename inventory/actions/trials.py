"""Note trials of one survey, saved all at once: what is typed takes the place of what stood there."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.models import Instrument, Specification, Survey, Trial, User
from inventory.organ import trials as organ

from .records import change_record


def save_trials(
    instrument: Instrument,
    survey: Survey,
    specification: Specification,
    trials: Sequence[organ.Trial],
    *,
    version: int,
    by: User,
    why: str = "",
) -> Instrument:
    """The trials of a survey on one specification are these, in this order; a signed survey refuses."""
    there = list(Trial.objects.filter(survey=survey, specification=specification).order_by("number", "code"))
    taken = set(Trial.objects.filter(survey=survey).values_list("code", flat=True))
    put = []
    for number, one in enumerate(trials, start=1):
        row = there[number - 1] if number <= len(there) else None
        if row is None:
            row = Trial(survey=survey, specification=specification, code=_free_code(number, taken))
        row.number = number
        for name, value in columns_of(one).items():
            setattr(row, name, value)
        put.append(row)
    changed: Any = change_record(
        instrument,
        version=version,
        by=by,
        why=why,
        put=put,
        remove=there[len(trials) :],
        action="note trials",
    )
    return changed


def columns_of(trial: organ.Trial) -> dict[str, Any]:
    """A trial as its row keeps it."""
    return {
        "stops": sorted(trial.drawn),
        "keys": [{"keyboard": board, "key": key} for board, key in sorted(trial.keys)],
        "heard": [{"stop": stop, "key": key, "as": manner} for stop, key, manner in trial.heard],
        "extra": None
        if trial.extra is None
        else [
            {"rank": rank, "pipe": pipe, **({"strength": strength} if strength else {})}
            for rank, pipe, strength in trial.extra
        ],
    }


def _free_code(number: int, taken: set[str]) -> str:
    code, more = f"t{number}", 2
    while code in taken:
        code, more = f"t{number}-{more}", more + 1
    taken.add(code)
    return code
