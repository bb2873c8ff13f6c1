"""A stop while its line is being read."""

from __future__ import annotations

from dataclasses import dataclass, field
from fractions import Fraction

from inventory.organ.footages import write_footage
from inventory.organ.sentences import join_sentences, say
from inventory.organ.stoplists.values import Composition, StopProposal
from inventory.organ.stoplists.vocabulary import COMPOUND_FAMILIES
from inventory.organ.typed_text import fold


@dataclass
class StopDraft:
    """What has been understood of one stop so far."""

    name: str | None = None
    number: str | None = None
    family: str = ""
    usual: str | None = None
    """Footage this name usually has, where none is written."""
    footages: list[Fraction] = field(default_factory=list)
    ranks: int | str | None = None
    pipes: int | None = None
    half: str | None = None
    from_note: int | None = None
    to_note: int | None = None
    composition: list[Composition] = field(default_factory=list)
    borrowed_from: str | None = None
    partly_borrowed: bool = False
    state: str | None = "present"
    notes: list[str] = field(default_factory=list)
    reasons: list[str] = field(default_factory=list)
    division: str | None = None
    """Division named in the line itself, before the stop or in a table's column."""
    division_kind: str = "unknown"
    recognised: bool = False
    """Whether a known abbreviation was read, though its meaning must be asked."""
    about_material: bool = False
    """Whether a material was just named, so that notes behind it are its limits, not the stop's."""
    extras: list[StopDraft] = field(default_factory=list)
    """Other stops the same words speak of, such as the one that stood here before."""
    shared_pitches: bool = False
    """Whether several pitches were written as one rank's (16-8-4)."""

    @property
    def compound(self) -> bool:
        """Whether figures after the name are ranks rather than a pitch."""
        return self.family in COMPOUND_FAMILIES

    @property
    def folded(self) -> str:
        """The name for looking it up."""
        return fold(self.name or "")

    @property
    def has_pitch(self) -> bool:
        """Whether a pitch was read."""
        return bool(self.footages)

    def add_note(self, text: str) -> None:
        """Keep a remark once."""
        text = text.strip(" ,;")
        if text and text not in self.notes:
            self.notes.append(text)

    def add_reason(self, text: str) -> None:
        """Keep a reason once."""
        if text and text not in self.reasons:
            self.reasons.append(text)

    def finish(self, line: int, typed: str) -> list[StopProposal]:
        """The stops this line means: one for each pitch."""
        pitches: list[str | None] = [write_footage(feet) for feet in self.footages] or [None]
        found = []
        for place, footage in enumerate(pitches):
            borrowed = self.borrowed_from
            if self.shared_pitches and place and borrowed is None:
                borrowed = f"{self.name or 'stop'} {pitches[0]}"
            found.append(
                StopProposal(
                    line,
                    typed,
                    self.name,
                    self.number,
                    footage,
                    self.ranks,
                    self.pipes,
                    self.half,
                    self.from_note,
                    self.to_note,
                    tuple(self.composition),
                    borrowed,
                    self.state,
                    "; ".join(self.notes) or None,
                    join_sentences(self.reasons) if self.reasons else say("as written"),
                )  # fmt: skip
            )
        return found
