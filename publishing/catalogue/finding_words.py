"""What does not add up in a scheme, told with the names of its stops and rows instead of their codes."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from typing import Any

from inventory.organ.findings import Finding, find_findings
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.schemes import Scheme
from inventory.saying_anew import in_words
from publishing.disclosure.values import SpecificationValue

from .plates import named_scheme


def findings_in_words(specification: SpecificationValue) -> list[dict[str, Any]]:
    """The findings of the specification's answer, in the same order, as a reader who knows no code reads them."""
    if not specification.answer["findings"]:
        return []
    return [
        {"code": one.code, "severity": one.severity, "message": in_words(one.message)}
        for one in _findings(specification)
    ]


@remember_recent(AT_ONCE)
def _findings(specification: SpecificationValue) -> list[Finding]:
    return find_findings(readable_scheme(specification))


def readable_scheme(specification: SpecificationValue) -> Scheme:
    """The scheme with names for codes throughout; a stop that reads like another keeps its code."""
    scheme = named_scheme(specification)
    counts = Counter(stop.name for stop in scheme.stops)
    names = {stop.id: stop.name if counts[stop.name] == 1 else stop.id for stop in scheme.stops}

    def named(stops: tuple[str, ...]) -> tuple[str, ...]:
        return tuple(names.get(stop, stop) for stop in stops)

    return replace(
        scheme,
        stops=tuple(replace(stop, id=names[stop.id]) for stop in scheme.stops),
        segments=tuple(replace(one, stop=names[one.stop]) for one in scheme.segments),
        chests=tuple(
            replace(chest, stops=None if chest.stops is None else named(chest.stops))
            for chest in scheme.chests
        ),
        controls=tuple(
            replace(control, positions=tuple(named(position) for position in control.positions))
            for control in scheme.controls
        ),
    )
