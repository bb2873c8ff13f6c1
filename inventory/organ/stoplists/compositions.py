"""The pipes of a compound stop: degrees or pitches, row by row, from note to note."""

from __future__ import annotations

from fractions import Fraction

from inventory.organ.compasses import resolve_note
from inventory.organ.footages import write_footage
from inventory.organ.notes import note_name
from inventory.organ.sentences import say
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.number_roles import DEGREE_HARMONICS, feet_of_degree
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.tokens import is_legal_footage
from inventory.organ.stoplists.values import Composition


def read_composition(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Pitches of a compound: ``15.19.22``, ``C: 22-26-29``, ``2 2/3'+1 3/5'``, with or without a note.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Mixture", family="mixture")
    >>> read_composition(cut_line("15.19.22"), 0, 5, draft, inside=False), draft.composition[0].footages
    (5, ('2', '1 1/3', '1'))
    """
    from_note, start = None, at
    if line.roman(at) is None and (found := line.note(at)) is not None:
        reading, at = found
        at += line.kind(at) == "colon"
        if line.kind(at) != "number":
            return None
        from_note = resolve_note(reading, line.source.compass)
        if from_note is None and reading.notes:
            line.ask(
                start, at, say("which note does this break begin at?"), tuple(map(note_name, reading.notes))
            )
    row = _row_of(line, at, end, draft, after_note=at > start, inside=inside)
    row = row or _roman_degrees(line, at, end, draft, inside=inside)
    if row is None:
        return None
    footages, after = row
    if from_note is not None and not draft.composition and line.source.compass is None and from_note == 36:
        draft.add_reason(say("its first composition holds from the lowest key"))
    draft.composition.append(Composition(from_note, tuple(footages)))
    if isinstance(draft.ranks, int) and len(footages) != draft.ranks:
        why = say(
            "%(ranks)s ranks are stated, but %(footages)s pitches are listed",
            ranks=draft.ranks,
            footages=len(footages),
        )
        line.ask(start, after, why)
    if draft.ranks is None and draft.compound:
        draft.ranks = len(footages)
        draft.add_reason(say("ranks counted from the composition"))
    return after


def _row_of(
    line: Line, at: int, end: int, draft: StopDraft, *, after_note: bool, inside: bool
) -> tuple[list[str], int] | None:
    """The pitches of one row, as degrees of the scale or as feet."""
    values: list[Fraction] = []
    signs: set[str] = set()
    marked = False
    after = at
    while after < end and line.kind(after) == "number" and len(values) < 16:
        value = line.tokens[after].value
        assert value is not None
        values.append(value)
        after += 1
        if line.kind(after) == "primes" and len(line.tokens[after].text) == 1:
            marked, after = True, after + 1
        sign = line.kind(after)
        if (
            sign in ("dot", "dash", "comma", "plus", "slash")
            and line.kind(after + 1) == "number"
            and after + 1 < end
        ):
            signs.add(sign)
            after += 1
        elif line.kind(after) != "number" or not (after_note or draft.compound):
            break
        elif line.finds(after + 1, "rank_word", "pipe_word"):
            break  # the next number counts something
    if not values or (len(values) < 2 and not (after_note and draft.compound)):
        return None
    degrees = [v.numerator for v in values if v.denominator == 1 and int(v) in DEGREE_HARMONICS]
    rising = all(a < b for a, b in zip(values, values[1:], strict=False))
    if (
        not marked
        and len(degrees) == len(values)
        and rising
        and "plus" not in signs
        and (draft.compound or after_note)
    ):
        draft.add_reason(say("degrees of the scale, counted from 8 feet"))
        if line.source.division_kind == "pedal":
            line.ask(
                at, after, say("degrees in the pedal: counted from 8 or from 16 feet?"), ("8 feet", "16 feet")
            )
        return [feet_of_degree(degree) or "" for degree in degrees], after
    legal = all(is_legal_footage(value) for value in values)
    if "plus" in signs and not draft.compound and not inside and draft.state != "derived":
        return None  # two stops drawn by one knob, or a list: no compound
    if legal and ("plus" in signs or (draft.compound and (after_note or len(values) > 1))):
        return [write_footage(value) for value in values], after
    return None


def _roman_degrees(
    line: Line, at: int, end: int, draft: StopDraft, *, inside: bool
) -> tuple[list[str], int] | None:
    """Degrees in Roman figures behind a compound (``Ripieno XV-XIX-XXII``), which are neither ranks nor a century."""
    degrees: list[int] = []
    after = at
    while (
        after < end and (value := line.roman(after)) in DEGREE_HARMONICS and value is not None and value > 12
    ):
        degrees.append(value)
        after += 1
        if line.kind(after) in ("dash", "dot", "comma") and line.roman(after + 1) is not None:
            after += 1
    if not draft.compound or not degrees or (len(degrees) == 1 and (inside or degrees[0] < 22)):
        return None
    draft.add_reason(say("Roman degrees of the scale, counted from 8 feet"))
    return [feet_of_degree(degree) or "" for degree in degrees], after
