"""A rank's curve of half-tone deviations, and what may not stand on one curve."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from inventory.organ.errors import ScaleError
from inventory.organ.scales import half_tone_deviation
from inventory.organ.sentences import say

FORMS = ("open", "stopped", "tapered", "reed")
EQUIVALENCES = ("area", "diagonal")


@dataclass(frozen=True)
class PipeSize:
    """What was measured on one pipe, ready for a curve."""

    note: int
    """Nominal note, MIDI number."""
    diameter_mm: float
    """Inner diameter, or an equivalent one."""
    form: str = "open"
    """``open``, ``stopped``, ``tapered`` or ``reed``."""
    equivalence: str = ""
    """Empty for a round pipe; ``area`` or ``diagonal`` for a rectangular one."""


@dataclass(frozen=True)
class ScaleCurve:
    """A rank's half-tone deviations from the Normalmensur, lowest note first."""

    notes: tuple[int, ...]
    deviations: tuple[float, ...]
    """Half-tones, above 0 wider."""
    label: str
    """What stands on the curve, to be printed with it."""


def scale_curve(sizes: Iterable[PipeSize], *, forms: Collection[str] = ("open",)) -> ScaleCurve:
    """Return a rank's curve of half-tone deviations.

    Parameters
    ----------
    sizes
        Pipes in any order, each note once.
    forms
        Forms that may stand on this curve. Only open cylinders unless said: a stopped, tapered
        or reed pipe of the same diameter is another thing, and is refused.

    Returns
    -------
    ScaleCurve
        In order of note. Its label names every form and equivalence on it.

    Raises
    ------
    ScaleError
        If a form was not asked for, two rules of equivalence or rectangular and round pipes
        are mixed, a note comes twice, or nothing is given.

    References
    ----------
    `half_tone_deviation`.

    Examples
    --------
    >>> curve = scale_curve([PipeSize(48, 92.461), PipeSize(36, 160)])
    >>> curve.notes, [round(d, 2) for d in curve.deviations], curve.label
    ((36, 48), [0.66, 0.0], 'open, round')
    """
    ordered = sorted(sizes, key=lambda size: size.note)
    if not ordered:
        raise ScaleError(say("no pipe was given; a curve needs at least one measured pipe"))
    unknown = sorted({*forms, *(size.form for size in ordered)} - set(FORMS))
    if unknown:
        raise ScaleError(
            say(
                "form %(unknown)s is not one of %(forms)s; name one of these",
                unknown=f"{unknown[0]!r}",
                forms=", ".join(FORMS),
            )
        )
    refused = sorted({size.form for size in ordered} - set(forms))
    if refused:
        raise ScaleError(
            say(
                "%(refused)s pipes do not stand on one curve with %(forms)s ones unless it is said; leave them "
                "out or name them in forms",
                refused=" and ".join(refused),
                forms=" and ".join(sorted(forms)),
            )
        )
    rules = {size.equivalence for size in ordered}
    if len(rules) > 1:
        named = " and ".join(sorted(rule or "round" for rule in rules))
        raise ScaleError(
            say("pipes taken as %(named)s do not stand on one curve; draw one curve for each", named=named)
        )
    rule = rules.pop()
    if rule not in ("", *EQUIVALENCES):
        raise ScaleError(
            say(
                "equivalence %(rule)s is not 'area' or 'diagonal'; name one, or leave it empty if round",
                rule=f"{rule!r}",
            )
        )
    notes = tuple(size.note for size in ordered)
    if len(set(notes)) < len(notes):
        twice = next(a for a, b in zip(notes, notes[1:], strict=False) if a == b)
        raise ScaleError(say("note %(twice)s comes twice; give one pipe a note", twice=twice))
    shape = f"rectangular by {rule}" if rule else "round"
    label = f"{', '.join(sorted({size.form for size in ordered}))}, {shape}"
    return ScaleCurve(
        notes, tuple(half_tone_deviation(size.diameter_mm, size.note) for size in ordered), label
    )
