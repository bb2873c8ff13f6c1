"""What a reading of a typed stoplist holds: proposals, each with its reason, and questions."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from inventory.organ.short_octaves import Compass


@dataclass(frozen=True)
class Question:
    """Something to ask the person who typed the line."""

    line: int
    column: int
    text: str
    why: str
    candidates: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The question as DESIGN §8 writes it."""
        return {
            "line": self.line, "column": self.column, "text": self.text, "why": self.why,
            "candidates": list(self.candidates),
        }  # fmt: skip


@dataclass(frozen=True)
class Composition:
    """The pipes of a compound stop from one note up to the next break."""

    from_note: int | None
    """First note (MIDI) it holds from; None for the lowest key."""
    footages: tuple[str, ...]
    """Pitches as written by `footages.write_footage`; empty where only the break is known."""


@dataclass(frozen=True)
class StopProposal:
    """One stop as it was understood; notes are MIDI, absent values None."""

    line: int
    text: str
    """The line as it was typed; empty for a stop that was made, not read."""
    name: str | None
    number: str | None = None
    footage: str | None = None
    ranks: int | str | None = None
    """A number, or text such as ``3-4`` where the ranks grow."""
    pipes: int | None = None
    half: str | None = None
    """``bass``, ``treble``, ``both`` (one stop drawn in halves) or None."""
    from_note: int | None = None
    to_note: int | None = None
    composition: tuple[Composition, ...] = ()
    borrowed_from: str | None = None
    """Where its pipes stand, as written: a stop, a number (``no. 4``), a division, ``rank A``."""
    state: str | None = "present"
    """``present``, ``prepared``, ``missing``, ``earlier``, ``derived``; None when it must be asked."""
    notes: str | None = None
    reason: str = ""

    def as_json(self) -> dict[str, Any]:
        """The stop as DESIGN §8 writes it."""
        return {
            "line": self.line, "text": self.text, "number": self.number, "name": self.name,
            "footage": self.footage, "ranks": self.ranks, "pipes": self.pipes, "half": self.half,
            "from_note": self.from_note, "to_note": self.to_note,
            "composition": [
                {"from_note": part.from_note, "footages": list(part.footages)} for part in self.composition
            ],
            "borrowed_from": self.borrowed_from, "state": self.state, "notes": self.notes,
            "reason": self.reason,
        }  # fmt: skip


@dataclass(frozen=True)
class CouplerProposal:
    """A coupler: pressing a key of `origin` also sounds the key with its note + shift on `target`."""

    line: int
    text: str
    origin: str | None
    target: str | None
    shift: int = 0

    def as_json(self) -> dict[str, Any]:
        """The coupler as DESIGN §8 writes it."""
        return {
            "line": self.line, "text": self.text, "from": self.origin, "to": self.target,
            "shift": self.shift,
        }  # fmt: skip


@dataclass(frozen=True)
class AccessoryProposal:
    """Something on the console that is no stop."""

    line: int
    text: str

    def as_json(self) -> dict[str, Any]:
        """The accessory as DESIGN §8 writes it."""
        return {"line": self.line, "text": self.text}


@dataclass(frozen=True)
class DivisionProposal:
    """A keyboard's stops; the name is None where no heading was typed."""

    name: str | None
    kind: str = "unknown"
    """``manual``, ``pedal`` or ``unknown``."""
    compass: Compass | None = None
    stops: tuple[StopProposal, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """The division as DESIGN §8 writes it."""
        return {
            "name": self.name, "kind": self.kind,
            "compass": self.compass.as_json() if self.compass else None,
            "stops": [stop.as_json() for stop in self.stops],
        }  # fmt: skip


@dataclass(frozen=True)
class Stoplist:
    """A typed stoplist as it was understood, with the lines as they were typed."""

    divisions: tuple[DivisionProposal, ...] = ()
    couplers: tuple[CouplerProposal, ...] = ()
    accessories: tuple[AccessoryProposal, ...] = ()
    questions: tuple[Question, ...] = ()
    lines: tuple[str, ...] = field(default=(), repr=False)
    """Every line as typed, without its end; empty for a list that was made, not read."""

    @property
    def stops(self) -> tuple[StopProposal, ...]:
        """The stops of all divisions, in order."""
        return tuple(stop for division in self.divisions for stop in division.stops)

    def as_json(self) -> dict[str, Any]:
        """The document of DESIGN §8 `read_stoplist`.

        >>> sorted(Stoplist().as_json())
        ['accessories', 'couplers', 'divisions', 'questions']
        """
        return {
            "divisions": [division.as_json() for division in self.divisions],
            "couplers": [coupler.as_json() for coupler in self.couplers],
            "accessories": [accessory.as_json() for accessory in self.accessories],
            "questions": [question.as_json() for question in self.questions],
        }  # fmt: skip
