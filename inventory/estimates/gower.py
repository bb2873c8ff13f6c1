"""Gower's likeness of two records on stated variables, saying how many could be compared."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from inventory.estimates.errors import EstimateError

KINDS = ("number", "category", "presence")

Value = float | str | bool | None
Row = Mapping[str, Value]


@dataclass(frozen=True)
class Variable:
    """One thing two records are compared on."""

    name: str
    kind: str
    """``number``, ``category``, or ``presence`` (absent in both says nothing)."""
    span: float | None = None
    """Largest less smallest value over the collection; needed for ``number``."""
    weight: float = 1.0

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise EstimateError(f"kind {self.kind!r} of {self.name} is not one of {', '.join(KINDS)}")
        if self.kind == "number" and not (self.span is not None and self.span >= 0):
            raise EstimateError(f"variable {self.name} has no span; give largest less smallest, 0 or more")
        if not (math.isfinite(self.weight) and self.weight > 0):
            raise EstimateError(f"weight {self.weight} of {self.name} is not above 0")


@dataclass(frozen=True)
class Likeness:
    """How alike two records are, and on how much that rests."""

    value: float | None
    """0 unlike to 1 alike on what was compared; None when nothing could be."""
    compared: int
    """Variables known on both sides (and not absent in both)."""
    asked: int
    """Variables stated."""
    left_out: tuple[str, ...]
    """Names that could not be compared."""


def gower_likeness(first: Row, second: Row, variables: Sequence[Variable]) -> Likeness:
    """Return Gower's general coefficient of likeness.

    Parameters
    ----------
    first, second
        Values by name of variable; None or absent means *not known*, and leaves the variable out.
    variables
        What to compare: numbers score 1 - |difference| / span, categories 1 if equal, presence 1
        if both have it and 0 if one has; both without it is not compared.

    Returns
    -------
    Likeness
        Weighted mean of the scores of the variables that could be compared, with how many.

    Raises
    ------
    EstimateError
        If two numbers lie further apart than the stated span, or a value is of the wrong kind.

    References
    ----------
    J. C. Gower, "A general coefficient of similarity and some of its properties", *Biometrics* 27
    (1971) 857-871 (from memory).

    Examples
    --------
    >>> variables = [Variable("ranks", "number", span=10), Variable("chest", "category"), Variable("flap", "presence")]
    >>> gower_likeness({"ranks": 4, "chest": "slider", "flap": None}, {"ranks": 6, "chest": "slider"}, variables)
    Likeness(value=0.9, compared=2, asked=3, left_out=('flap',))
    """
    scored, weights, left_out = [], [], []
    for variable in variables:
        score = _score(first.get(variable.name), second.get(variable.name), variable)
        if score is None:
            left_out.append(variable.name)
        else:
            scored.append(score * variable.weight)
            weights.append(variable.weight)
    value = math.fsum(scored) / math.fsum(weights) if weights else None
    return Likeness(value, len(weights), len(variables), tuple(left_out))


def span_of(values: Sequence[float | None]) -> float:
    """Return largest less smallest of the known values; 0 when fewer than two are known.

    Parameters
    ----------
    values
        Over the whole collection; None where not known.

    Returns
    -------
    float
        The span for `Variable`.

    References
    ----------
    As `gower_likeness`.

    Examples
    --------
    >>> span_of([54, None, 61, 49])
    12
    """
    known = [value for value in values if value is not None]
    return max(known) - min(known) if known else 0.0


def _score(one: Value, other: Value, variable: Variable) -> float | None:
    if one is None or other is None:
        return None
    if variable.kind == "presence":
        return None if not one and not other else float(bool(one) and bool(other))
    if variable.kind == "category":
        return float(one == other)
    if isinstance(one, str) or isinstance(other, str):
        raise EstimateError(
            f"value {one!r} or {other!r} of {variable.name} is not a number; compare it as a category"
        )
    apart, span = abs(one - other), variable.span or 0.0
    if apart > span:
        raise EstimateError(
            f"values {one:g} and {other:g} of {variable.name} lie further apart than its span {span:g}; "
            "take the span over the whole collection"
        )
    return 1.0 if span == 0 else 1 - apart / span
