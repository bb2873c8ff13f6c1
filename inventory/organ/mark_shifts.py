"""Marked, standing and sounding notes of a rank: what their differences are consistent with.

A pipe carries a *marked* note (scribed, punched or inked), stands on the hole of a
*standing* note and speaks a *sounding* note. ``shift`` is standing less marked, in
semitones: a pipe marked d that stands at c has shift -2. Notes are MIDI numbers.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from inventory.organ.errors import NoteError
from inventory.organ.sentences import say

SHORTEST_RUN = 3
"""Pipes of one shift, side by side, that make a section; fewer are taken as single exceptions."""
EXCEPTIONS_ALLOWED = 0.1
"""Share of single exceptions up to which a rank still counts as constant or stepwise."""
FEWEST_READINGS = 4
"""With fewer pipes read nothing is proposed."""


@dataclass(frozen=True)
class MarkedPipe:
    """The three notes of one pipe; None where a note was not read."""

    standing: int
    marked: int | None = None
    sounding: int | None = None


@dataclass(frozen=True)
class ShiftSection:
    """Neighbouring pipes with one shift."""

    first: int
    """Lowest standing note."""
    last: int
    """Highest standing note."""
    shift: int
    """Standing less marked, in semitones."""
    pipes: int
    """Pipes read that show it."""


@dataclass(frozen=True)
class MarkShifts:
    """What the notes of a rank show, and what that is consistent with."""

    kind: str
    """``too few``, ``as marked``, ``constant``, ``stepwise`` or ``mixed``."""
    sections: tuple[ShiftSection, ...]
    """Runs of one shift, lowest first; exceptions left out."""
    exceptions: tuple[MarkedPipe, ...]
    """Single pipes that differ from their section."""
    read: int
    """Pipes on which a mark was read."""
    explanations: tuple[str, ...]
    """Each begins with *consistent with*; none claims to be the truth."""


def analyse_marks(pipes: Iterable[MarkedPipe]) -> MarkShifts:
    """Return how a rank's marks are shifted, with candidate explanations.

    Parameters
    ----------
    pipes
        The pipes of one rank in any order; those without a read mark are passed over.

    Returns
    -------
    MarkShifts
        ``constant``: one shift throughout; ``stepwise``: sections of at least three pipes;
        ``mixed``: neither, more than one pipe in ten being an exception.

    Raises
    ------
    NoteError
        If two pipes stand on one note.

    References
    ----------
    Common practice: a constant shift speaks of a move for pitch or scale, a changing one of a
    rank break or a transplanted section.

    Examples
    --------
    >>> found = analyse_marks(MarkedPipe(note, note + 2) for note in range(36, 48))
    >>> found.kind, found.sections[0].shift
    ('constant', -2)
    >>> found.explanations[0]
    'consistent with the whole rank having been moved down 2 semitones, which makes it narrower for its note'
    """
    rank = sorted(pipes, key=lambda pipe: pipe.standing)
    standing = Counter(pipe.standing for pipe in rank)
    for note, times in standing.items():
        if times > 1:
            raise NoteError(
                say("%(times)s pipes stand on note %(note)s; give one pipe a note", times=times, note=note)
            )
    marks = [(pipe, pipe.standing - pipe.marked) for pipe in rank if pipe.marked is not None]
    if len(marks) < FEWEST_READINGS:
        return MarkShifts("too few", (), (), len(marks), ())
    sections, exceptions = _find_sections(marks)
    kind = _kind(sections, len(exceptions), len(marks))
    explanations = (*_explain(kind, sections), *_explain_sound(marks))
    return MarkShifts(kind, sections, exceptions, len(marks), explanations)


def _find_sections(
    marks: Sequence[tuple[MarkedPipe, int]],
) -> tuple[tuple[ShiftSection, ...], tuple[MarkedPipe, ...]]:
    """Cut a rank into runs of one shift; runs shorter than the shortest are exceptions."""
    runs: list[list[tuple[MarkedPipe, int]]] = []
    for pipe, shift in marks:
        if not runs or runs[-1][0][1] != shift:
            runs.append([])
        runs[-1].append((pipe, shift))
    exceptions = tuple(pipe for run in runs if len(run) < SHORTEST_RUN for pipe, _ in run)
    sections: list[ShiftSection] = []
    for run in runs:
        if len(run) < SHORTEST_RUN:
            continue
        first, last, shift = run[0][0].standing, run[-1][0].standing, run[0][1]
        # A section goes on across an exception inside it.
        if sections and sections[-1].shift == shift:
            before = sections.pop()
            sections.append(ShiftSection(before.first, last, shift, before.pipes + len(run)))
        else:
            sections.append(ShiftSection(first, last, shift, len(run)))
    return tuple(sections), exceptions


def _kind(sections: Sequence[ShiftSection], exceptions: int, read: int) -> str:
    if not sections or exceptions > EXCEPTIONS_ALLOWED * read:
        return "mixed"
    if len(sections) > 1:
        return "stepwise"
    return "constant" if sections[0].shift else "as marked"


def _explain(kind: str, sections: Sequence[ShiftSection]) -> tuple[str, ...]:
    if kind == "as marked":
        return ("consistent with the pipes standing where their maker meant them",)
    if kind == "constant":
        return _explain_constant(sections[0].shift)
    if kind == "stepwise":
        return tuple(
            text
            for before, after in zip(sections, sections[1:], strict=False)
            for text in _explain_step(before, after)
        )
    return (
        "consistent with pipes gathered from more than one rank, or marked more than once: "
        "note which hand made each mark",
    )


def _explain_constant(shift: int) -> tuple[str, ...]:
    size = abs(shift)
    way, width = ("up", "wider") if shift > 0 else ("down", "narrower")
    pitch = "lower" if shift > 0 else "higher"
    texts = [
        f"consistent with the whole rank having been moved {way} {_semitones(size)}, "
        f"which makes it {width} for its note"
    ]
    if size <= 3:
        texts.append(
            f"consistent with the organ's pitch having been made about {_semitones(size)} {pitch} by a move"
        )
    if size % 12 == 0:
        texts.append("consistent with the rank having served, or been marked for, another footage")
    elif size % 12 in (5, 7):
        texts.append("consistent with the rank having served as a quint, or having been taken from one")
    texts.append("consistent with the rank having been made for another organ")
    return tuple(texts)


def _explain_step(before: ShiftSection, after: ShiftSection) -> tuple[str, ...]:
    place = f"between notes {before.last} and {after.first}"
    texts = [
        f"consistent with a break of the rank, or a section from another one, {place}: compare the hands"
    ]
    change = after.shift - before.shift
    if abs(change) == 1:
        lost, moved = ("a pipe lost", "down") if change < 0 else ("a pipe added", "up")
        texts.append(f"consistent with {lost} {place} and the pipes above it moved {moved} one hole")
    return tuple(texts)


def _explain_sound(marks: Sequence[tuple[MarkedPipe, int]]) -> tuple[str, ...]:
    """What the sounding notes add, where most shifted pipes were heard and agree."""
    heard = [
        (pipe.sounding - pipe.standing, pipe.sounding - pipe.standing + shift)
        for pipe, shift in marks
        if shift and pipe.sounding is not None
    ]
    if len(heard) < FEWEST_READINGS:
        return ()
    most = (1 - EXCEPTIONS_ALLOWED) * len(heard)
    if sum(as_standing == 0 for as_standing, _ in heard) >= most:
        return ("they speak the notes they stand on: consistent with having been tuned to their places",)
    if sum(as_marked == 0 for _, as_marked in heard) >= most:
        return (
            "they still speak their marked notes: consistent with having been set down in other holes "
            "and not tuned since, or with a stop that was meant to transpose",
        )
    return ()


def _semitones(size: int) -> str:
    return "1 semitone" if size == 1 else f"{size} semitones"
