"""New defects on the form of the next visit: asked for, checked, made into rows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from django.utils.translation import gettext as _

from inventory.models import Defect, DefectObservation, Instrument, Part, Term
from inventory.models.vocabularies import Vocabulary

from .next_visits import read_number

BLANKS = 3
"""So many new defects are asked for at once: more are added on the record."""
NAMES = ("kind", "part", "where", "cause", "affected", "out_of", "note")


@dataclass
class NewDefect:
    """What the form says of one defect nobody has written down before."""

    number: int
    values: dict[str, str] = field(default_factory=dict)
    errors: list[str] = field(default_factory=list)

    @property
    def name(self) -> str:
        """The name of its fields in the form."""
        return f"new-{self.number}"

    @property
    def is_filled(self) -> bool:
        """Whether anything was written; an empty one is no defect."""
        return any(self.values.values())


@dataclass
class NewAsked:
    """The new defects of a visit, and what they can be."""

    defects: list[NewDefect]
    kinds: Sequence[Term]
    parts: Sequence[Part]

    @property
    def has_errors(self) -> bool:
        """Whether something must be put right before it can be saved."""
        return any(one.errors for one in self.defects)


def ask_new(root: Instrument, data: Mapping[str, str] | None = None) -> NewAsked:
    """Room for new defects; with `data`, as it was filled."""
    asked = NewAsked(
        [NewDefect(number) for number in range(1, BLANKS + 1)],
        list(Term.objects.of(Vocabulary.DEFECT).filter(retired=False)),
        list(Part.objects.filter(instrument=root).order_by("code")),
    )
    for one in asked.defects if data is not None else ():
        one.values = {name: data.get(f"{one.name}-{name}", "").strip() for name in NAMES}  # type: ignore[union-attr]
        if one.is_filled:
            one.errors = _faults(one, asked)
    return asked


def new_rows(root: Instrument, asked: NewAsked) -> list[DefectObservation]:
    """What was first seen of each new defect, which it holds."""
    kinds, parts = {one.code: one for one in asked.kinds}, {one.code: one for one in asked.parts}
    return [
        DefectObservation(
            defect=Defect(
                instrument=root,
                kind=kinds[one.values["kind"]],
                part=parts.get(one.values["part"]),
                where=one.values["where"],
                cause=one.values["cause"],
            ),
            course=DefectObservation.Course.NEW,
            affected=read_number(one.values["affected"]),
            out_of=read_number(one.values["out_of"]),
            note=one.values["note"],
        )
        for one in asked.defects
        if one.is_filled
    ]


def _faults(one: NewDefect, asked: NewAsked) -> list[str]:
    found = []
    if one.values["kind"] not in {kind.code for kind in asked.kinds}:
        found.append(_("Choose what kind of defect it is."))
    if one.values["part"] and one.values["part"] not in {part.code for part in asked.parts}:
        found.append(_("This part is not of this instrument; choose one from the list."))
    if not one.values["where"]:
        found.append(_("Say where it is: stop and notes, or the place on the part."))
    for name in ("affected", "out_of"):
        text = one.values[name]
        if text and read_number(text) is None:
            found.append(_("“%(text)s” is no whole number: write digits, or nothing.") % {"text": text[:40]})
    return found
