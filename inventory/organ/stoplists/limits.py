"""From which key to which a stop speaks, and halves: ``from c``, ``C–H``, ``(1–24)``, ``B/D``."""

from __future__ import annotations

from inventory.organ.compasses import resolve_note
from inventory.organ.errors import NoteError
from inventory.organ.note_names import NoteReading
from inventory.organ.notes import note_name
from inventory.organ.sentences import say
from inventory.organ.short_octaves import note_of_key
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.phrases import Line


def read_limits(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Notes a stop begins or ends at; behind a range a borrowing may follow.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Gamba")
    >>> read_limits(cut_line("ab c0"), 0, 3, draft, inside=False), draft.from_note
    (3, 48)
    """
    for role in ("from", "to"):
        found = line.find(at, role)
        if found is None:
            continue
        note = line.note(found[1])
        if note is not None and note[1] <= end:
            return _one_limit(line, at, note, draft, role)
        number = _ordinal_at(line, found[1], end)
        if number is not None and role == "to":
            draft.add_note(line.slice(at, number[1]))
            return number[1]
    if line.kind(at) == "word" and line.tokens[at].text == "TC":
        draft.from_note = 48
        draft.add_reason(say("TC: begins at tenor C"))
        return at + 1
    note = line.note(at)
    if note is None or note[1] > end:
        return _ordinal_range(line, at, end, draft, inside=inside)
    ranged = _note_range(line, at, note, end)
    if ranged is not None:
        low, high, after = ranged
        return _take_range(line, at, after, end, low, high, draft)
    if inside or note[0].marked:
        if len(line.tokens[at].text) == 1 and not note[0].marked:
            if line.finds(at, "half", "material"):
                return None
            if line.kind(at - 1) == "open" and line.kind(note[1]) == "close":
                offered = tuple(f"begins at {note_name(n)}" for n in note[0].notes)
                line.ask(
                    at, note[1], say("a letter alone: a note, a material, a half?"), (*offered, "a code")
                )
                draft.add_note(line.tokens[at].text)
                return note[1]
        return _one_limit(line, at, note, draft, "from")
    return None


def _one_limit(line: Line, at: int, note: tuple[NoteReading, int], draft: StopDraft, role: str) -> int:
    """Take one limit; ask when its note is not certain."""
    reading, after = note
    value = resolve_note(reading, line.source.compass)
    if "harm" in draft.folded:
        # In a harmonic stop the note may be where it begins, or where overblowing begins.
        offered = tuple(f"the stop begins at {note_name(n)}" for n in reading.notes)
        why = say("does the stop begin here, or do its overblowing pipes?")
        line.ask(at, after, why, (*offered, "its overblowing pipes begin here"))
        draft.add_note(line.slice(at, after))
        return after
    abroad = _octave_numbers(line, reading)
    if value is not None and abroad is not None and abroad != value:
        offered = (note_name(value), note_name(abroad))
        line.ask(at, after, say("octaves by Helmholtz, or numbered from do1?"), offered)
        draft.add_note(line.slice(at, after))
    elif value is None:
        why = (
            say("which note is this?")
            if not line.case_lost
            else say("typed in one case, so C and c cannot be told apart")
        )
        line.ask(at, after, why, tuple(map(note_name, reading.notes)))
        draft.add_note(line.slice(at, after))
    elif role == "from":
        draft.from_note = value
        draft.add_reason(say("begins at %(value)s", value=note_name(value)))
    else:
        draft.to_note = value
        draft.add_reason(say("ends at %(value)s", value=note_name(value)))
    return after


def _octave_numbers(line: Line, reading: NoteReading) -> int | None:
    """The other reading of c2, c3 … in a French, Spanish or Italian source, where do1 is C of 8 feet."""
    if (line.source.language or line.source.guessed_language) not in ("fr", "es", "it"):
        return None
    if reading.number is None or reading.text[0] not in "abcdefg" or reading.note is None:
        return None
    lowest = line.source.compass.low if line.source.compass else None
    other = reading.note - 24
    return other if other > (lowest or 36) else None


def _note_range(
    line: Line, at: int, first: tuple[NoteReading, int], end: int
) -> tuple[NoteReading, NoteReading, int] | None:
    """Two notes with a dash or a word between them."""
    after = first[1]
    if line.kind(after) == "dash":
        after += 1
    elif (found := line.find(after, "to")) is not None:
        after = found[1]
    else:
        return None
    second = line.note(after)
    if second is None or second[1] > end:
        return None
    return first[0], second[0], second[1]


def _take_range(
    line: Line, at: int, after: int, end: int, low: NoteReading, high: NoteReading, draft: StopDraft
) -> int:
    """A range of notes: of what is borrowed or of a material (a remark), else the stop's own limits."""
    shown = line.slice(at, after)
    source = line.source
    lowest, highest = resolve_note(low, source.compass), resolve_note(high, source.compass)
    about_part = draft.about_material or line.finds(after, "borrow", "material", "common_bass")
    if lowest is None or highest is None:
        named = [f"{note_name(a)}–{note_name(b)}" for a in low.notes for b in high.notes if a < b]
        why = (
            say("which notes are these?")
            if not line.case_lost
            else say("typed in one case: C and c look alike")
        )
        line.ask(at, after, why, tuple(named[:8]))
        draft.add_note(shown)
        draft.partly_borrowed = True
        return after
    if lowest >= highest:
        line.ask(at, after, say("the range runs downwards"), (f"{note_name(highest)}–{note_name(lowest)}",))
        draft.add_note(shown)
        return after
    if about_part:
        draft.add_note(f"{shown} ({note_name(lowest)} to {note_name(highest)})")
        draft.partly_borrowed = True
    else:
        draft.from_note, draft.to_note = lowest, highest
        draft.add_reason(
            say("speaks from %(lowest)s to %(highest)s", lowest=note_name(lowest), highest=note_name(highest))
        )
    return after


def _ordinal_at(line: Line, at: int, end: int) -> tuple[int, int] | None:
    value = line.tokens[at].integer if line.kind(at) == "number" and at < end else None
    return None if value is None else (value, at + 1)


def _ordinal_range(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """``1–24``: numbers of keys, turned into notes by the keyboard's compass."""
    first, second = _ordinal_at(line, at, end), None
    if first is not None and line.kind(first[1]) == "dash":
        second = _ordinal_at(line, first[1] + 1, end)
    if first is None or second is None or not 1 <= first[0] < second[0] <= 128:
        return None
    after = second[1]
    shown = line.slice(at, after)
    if line.finds(after, "borrow", "common_bass"):
        draft.add_note(f"keys {shown}")
        draft.partly_borrowed = True
        draft.add_reason(say("1 to a higher number are keys, counted from the lowest"))
        return after
    if draft.half is None and first[0] > 1 and line.source.compass is None and not inside:
        return None
    compass = line.source.compass
    try:
        if compass is None:
            raise NoteError(say("unknown"))
        draft.from_note, draft.to_note = note_of_key(compass, first[0]), note_of_key(compass, second[0])
        draft.add_reason(say("keys %(shown)s of %(compass)s", shown=shown, compass=compass.text))
    except NoteError:
        draft.add_note(f"keys {shown}")
        line.ask(at, after, say("numbers of keys, but the keyboard's compass is not known or too short"))
    return after


def read_half(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Bass, treble or both halves, in words or letters; ``only`` says there is no other half.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Gamba")
    >>> read_half(cut_line("nur Bass"), 0, 2, draft, inside=False), draft.half
    (2, 'bass')
    """
    only = line.find(at, "only")
    start, at = at, (only[1] if only else at)
    found = _half_at(line, at, end, inside=inside)
    if found is None:
        return None
    half, after = found
    if half != "both" and line.kind(after) in ("slash", "plus", "dash", "amp") and after + 1 < end:
        second = _half_at(line, after + 1, end, inside=True)
        if second is not None and {half, second[0]} == {"bass", "treble"}:
            half, after = "both", second[1]
    if not inside and half != "both" and line.tokens[at].text.islower() and after - at == 1:
        if len(line.tokens[at].text) == 1 and not line.finds(after, "only"):
            return None  # a lone small letter is a note
    if half != "both" and not inside and line.kind(at - 1) == "comma" and len(line.tokens[at].text) == 1:
        line.ask(
            at, after, say("a letter alone: a half, or the short name of a stop?"), (f"{half} half", "a stop")
        )
    if (more := line.find(after, "only")) and more[1] <= end:
        only, after = more, more[1]
    if only is not None:
        draft.add_note("the other half never existed")
    draft.half = half
    draft.add_reason(
        say("one stop drawn in halves")
        if half == "both"
        else say("%(typed)s: %(half)s half", typed=line.slice(start, after), half=say(half))
    )
    return after


def _half_at(line: Line, at: int, end: int, *, inside: bool) -> tuple[str, int] | None:
    """A half word; where it can mean two things its neighbours and the language decide."""
    values = {
        sense.value: after
        for after, senses in line.options(at)
        if after <= end
        for sense in senses
        if sense.role == "half"
    }
    if not values:
        return None
    word = line.tokens[at].text
    if word.lower() == "tr" and not inside and line.finds(at, "borrow") and line.source.language != "en":
        return None
    value, after = max(values.items(), key=lambda item: item[1])
    if line.kind(after) == "number" and line.tokens[after].value is not None:
        if line.tokens[after].value.denominator == 2 and value == "bass":  # type: ignore[union-attr]
            return None  # "bass 1/2-length" speaks of the bass pipes
    return value, after
