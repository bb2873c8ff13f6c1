"""What does not add up in a scheme, told with the names of its stops and rows instead of their codes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from inventory.organ.findings import Finding, find_findings
from inventory.organ.remembering import AT_ONCE, remember_recent
from inventory.organ.sentences import join_sentences, with_values
from inventory.saying_anew import in_words
from publishing.disclosure.values import SpecificationValue

from .plates import row_names
from .scheme_words import labels_of


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
    """The findings of the scheme, with the label of a stop and the name of a row where the codes stood."""
    labels, rows = labels_of(specification), row_names(specification)
    counts = Counter(labels.values())
    stops = {code: label if counts[label] == 1 else f"{label} ({code})" for code, label in labels.items()}

    def named(where: Mapping[str, Any]) -> dict[str, Any]:
        names: dict[str, Any] = {}
        if "stop" in where:
            names["stop"] = stops[where["stop"]]
        if "stops" in where:
            names["stops"] = join_sentences((stops[stop] for stop in where["stops"]), ", ")
        if "rank" in where:
            names["rank"] = rows[where["rank"]]
        return names

    return [
        replace(one, message=with_values(one.message, **named(one.where)))
        for one in find_findings(specification.scheme)
    ]
