"""What visits found of parts and defects, as frozen values."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

Names = Mapping[str, str]


@dataclass(frozen=True)
class PartState:
    """One part at one visit."""

    survey: str
    """Code of the visit."""
    part: str
    name: str
    looked_at: str
    classes: tuple[tuple[int, Names] | None, ...]
    """Condition, urgency, recommendation: 0 to 3 with the vocabulary's words; None where not judged."""
    playability: str
    integrity: str
    note: str


@dataclass(frozen=True)
class DefectFound:
    """What one visit said of a defect."""

    survey: str
    course: str
    affected: int | None
    out_of: int | None
    note: str


@dataclass(frozen=True)
class DefectValue:
    """A defect from visit to visit, without its place."""

    code: str
    kind: Names
    part: str
    """Name of the part; empty if none is named or it is not for everybody."""
    cause: str
    cause_certainty: str
    found: tuple[DefectFound, ...]


@dataclass(frozen=True)
class ConditionValue:
    """Parts and defects over all visits; only where a consent for condition stands."""

    parts: tuple[PartState, ...]
    defects: tuple[DefectValue, ...]
