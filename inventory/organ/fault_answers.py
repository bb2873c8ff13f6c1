"""The answer of `trace_faults`: one JSON document, as DESIGN §8 lays down."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from inventory.organ.causes import suggest_cause
from inventory.organ.explanations import Diagnosis, Explanation
from inventory.organ.nets import Failure
from inventory.organ.next_trial import NextTrial
from inventory.organ.trials import Trial


def trace_answer(
    trials: Sequence[Trial], diagnosis: Diagnosis, following: NextTrial | None
) -> dict[str, Any]:
    """The document: sizes, counts as decimal text, groups, next trial, what stays unexplained.

    `same_as` lists failures as ``{"part", "fails"}``, for what cannot be told apart may fail
    in another way. Odds are products of stated prior odds: good for ranking, not probabilities.

    >>> from inventory.organ.explanations import explain
    >>> from inventory.organ.schemes import Scheme
    >>> trace_answer([], explain(Scheme((), (), (), ()), []), None)["count"]
    '1'
    """
    return {
        "size": diagnosis.size,
        "count": str(diagnosis.count),
        "groups": [
            {
                "size": group.size,
                "count": str(group.count),
                "explanations": [_explanation(one) for one in group.explanations],
            }
            for group in diagnosis.groups
        ],
        "next_trial": None
        if following is None
        else {
            "stops": list(following.stops),
            "keys": [{"keyboard": keyboard, "key": key} for keyboard, key in following.keys],
            "splits": following.splits,
        },
        "unexplained": list(diagnosis.unexplained),
        "suggested_cause": suggest_cause(trials, diagnosis),
    }


def _explanation(one: Explanation) -> dict[str, Any]:
    return {
        "failures": [
            {**_failure(entry.failure), "same_as": [_failure(other) for other in entry.same_as]}
            for entry in one.entries
        ],
        "odds": one.odds,
    }


def _failure(failure: Failure) -> dict[str, Any]:
    return {"part": failure.part, "fails": failure.fails}
