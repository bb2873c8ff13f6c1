"""Test plans kept on disk beside the data: named by what they were made of, written whole, ignored if damaged.

A plan depends on the scheme and on the pure code alone, so the name is a hash of both: a changed
scheme or a new version of the code finds nothing and works anew. Keeping is never needed: a disk
that is full or may not be written costs time and nothing else.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import tempfile
from functools import cache
from importlib import resources
from pathlib import Path
from typing import Any

from inventory.organ.nets import Failure
from inventory.organ.scheme_writing import scheme_to_dict
from inventory.organ.schemes import Scheme
from inventory.organ.trial_plans import PlannedTrial, TrialPlan

MOST_FILES = 400
"""Above that the longest unused go."""
CHECK_LENGTH = 64


@cache
def code_sign() -> str:
    """A hash of the pure code: whatever of it changes may change a plan."""
    found = hashlib.sha256()
    for one in sorted(resources.files("inventory.organ").iterdir(), key=lambda one: one.name):
        if one.is_file() and one.name.endswith((".py", ".json")):
            found.update(one.name.encode() + b"\0" + hashlib.sha256(one.read_bytes()).digest())
    return found.hexdigest()


def sign_of(scheme: Scheme, code: str) -> str:
    """The name of a scheme's plan made by this code."""
    text = json.dumps(scheme_to_dict(scheme), sort_keys=True)
    return hashlib.sha256(f"{code}\n{text}".encode()).hexdigest()


def read_plan(folder: Path, sign: str) -> TrialPlan | None:
    """The plan of this name; None where there is none, or where a byte of it is not as it was written."""
    path = folder / f"{sign}.json"
    try:
        content = path.read_bytes()
        check, body = content[:CHECK_LENGTH], content[CHECK_LENGTH + 1 :]
        if check.decode() != _check(sign, body):
            return None
        plan = _plan(json.loads(body))
    except (OSError, ValueError, KeyError, TypeError):
        return None
    with contextlib.suppress(OSError):
        os.utime(path)  # so that what is used stays
    return plan


def write_plan(folder: Path, sign: str, plan: TrialPlan) -> None:
    """Keep a plan: written beside, then put in its place in one step. A disk that refuses is no error."""
    body = json.dumps(_document(plan), ensure_ascii=False, separators=(",", ":")).encode()
    part = ""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        handle, part = tempfile.mkstemp(dir=folder, suffix=".part")
        with os.fdopen(handle, "wb") as file:
            file.write(_check(sign, body).encode() + b"\n" + body)
        Path(part).replace(folder / f"{sign}.json")
        _drop_the_unused(folder)
    except OSError:
        if part:
            with contextlib.suppress(OSError):
                Path(part).unlink()


def _drop_the_unused(folder: Path) -> None:
    kept = sorted(folder.glob("*.json"), key=lambda path: path.stat().st_mtime, reverse=True)
    for path in kept[MOST_FILES:]:
        path.unlink(missing_ok=True)


def _check(sign: str, body: bytes) -> str:
    return hashlib.sha256(sign.encode() + b"\n" + body).hexdigest()


def _document(plan: TrialPlan) -> dict[str, Any]:
    return {
        "trials": [
            [one.stops, one.keys, one.speaks, one.listen_for, [[f.part, f.fails] for f in one.clears]]
            for one in plan.trials
        ],
        "at_least": plan.at_least,
        "knob_changes": plan.knob_changes,
        "knob_changes_at_least": plan.knob_changes_at_least,
        "never_told": [[f.part, f.fails] for f in plan.never_told],
        "left": [[f.part, f.fails] for f in plan.left],
        "is_worked_out": plan.is_worked_out,
    }


def _plan(document: dict[str, Any]) -> TrialPlan:
    return TrialPlan(
        tuple(
            PlannedTrial(tuple(stops), _pairs(keys), _pairs(speaks), tuple(listen_for), _failures(clears))
            for stops, keys, speaks, listen_for, clears in document["trials"]
        ),
        int(document["at_least"]),
        int(document["knob_changes"]),
        int(document["knob_changes_at_least"]),
        _failures(document["never_told"]),
        _failures(document["left"]),
        bool(document["is_worked_out"]),
    )


def _pairs(found: list[list[Any]]) -> tuple[tuple[str, int], ...]:
    return tuple((str(name), int(number)) for name, number in found)


def _failures(found: list[list[str]]) -> tuple[Failure, ...]:
    return tuple(Failure(part, fails) for part, fails in found)
