"""Where a stop's pipes stand if not in a rank of its own, and whether it is there at all."""

from __future__ import annotations

from fractions import Fraction

from inventory.organ.sentences import say
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.tokens import is_legal_footage

_WHOSE = {
    "borrow": say("borrowed"),
    "extension": say("an extension"),
    "common_bass": say("a common bass"),
    "derived": say("derived"),
}


def read_borrowing(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """``aus Gedeckt``, ``ext of #4``, ``tr. (GO)``, ``= no. 7``, ``basse commune``.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Subbass")
    >>> read_borrowing(cut_line("ext of #4"), 0, 4, draft, inside=False), draft.borrowed_from
    (4, 'no. 4')
    """
    if line.kind(at) == "equals":
        reference = _reference(line, at + 1, end)
        if reference is None:
            return None
        return _take(line, at, reference, draft, "borrow", whole=True)
    for role in ("common_bass", "extension", "borrow", "derived"):
        found = line.find(at, role)
        if found is None or found[1] > end:
            continue
        value_after = found[1]
        if role == "derived" and _resultant(line, value_after, end, draft):
            return value_after
        bracket = line.kind(value_after) == "open"
        begin = value_after + bracket
        reference = _reference(line, begin, line.closing(value_after) if bracket else end)
        if reference is not None and bracket:
            reference = (reference[0], line.closing(value_after) + 1)
        if reference is None:
            return _without_reference(line, at, value_after, end, draft, role, inside=inside)
        return _take(
            line, at, reference, draft, role, whole=role != "common_bass" and not draft.partly_borrowed
        )
    return None


def _take(
    line: Line, at: int, reference: tuple[str, int], draft: StopDraft, role: str, *, whole: bool
) -> int:
    text, after = reference
    draft.borrowed_from = text
    draft.add_reason(say("%(whose)s: pipes of %(text)s", whose=_WHOSE[role], text=text))
    if whole:
        draft.state = "derived"
    elif role == "common_bass":
        draft.add_note(line.slice(at, after))
    return after


def _without_reference(
    line: Line, at: int, after: int, end: int, draft: StopDraft, role: str, *, inside: bool
) -> int | None:
    """The word alone: certain enough to say what it is, but the source must be asked."""
    word = line.slice(at, after)
    if role == "borrow":
        if line.kind(after) == "number" and line.finds(at, "from"):
            number = line.tokens[after].text
            candidates = (f"borrowed from no. {number}", f"begins at key {number}", f"{number} feet")
            line.ask(at, after + 1, say("from what: a stop, a key?"), candidates)
            draft.add_note(line.slice(at, after + 1))
            return after + 1
        if line.finds(at, "from", "filler", "to"):
            return None
        if len(word.rstrip(".")) <= 2 and line.finds(at, "half"):
            if "en" in (line.source.language, line.source.guessed_language):
                return None  # in an English list it is the treble
            line.ask(at, after, say("transmission, or treble half?"), ("transmission", "treble half"))
            draft.add_note(word)
            return after
    if role == "extension" and line.finds(at, "key_word"):
        return None
    draft.add_reason(say("%(typed)s: %(what)s", typed=word, what=_WHOSE[role]))
    if role == "common_bass":
        draft.add_note(word)
    elif role != "borrow" or "same" not in word.lower():
        draft.state = "derived"
    else:
        draft.add_note(word)
    if draft.borrowed_from is None and role != "derived":
        line.ask(at, after, say("%(whose)s, but from which stop?", whose=_WHOSE[role]))
    return after


def _resultant(line: Line, at: int, end: int, draft: StopDraft) -> bool:
    """Whether pitches follow (``res. 16+10⅔``): then they are its composition, no reference."""
    draft_is = line.kind(at) == "number" or at >= end
    if draft_is:
        draft.state = "derived"
        draft.add_reason(say("a resultant or derived stop has no pipes of its own"))
    return draft_is


def _reference(line: Line, at: int, end: int) -> tuple[str, int] | None:
    """What is borrowed from: ``#4``, ``no. 7``, ``GO``, ``Gedackt 8``, ``I``, ``rank A``."""
    while at < end and line.finds(at, "filler") and len(line.tokens[at].text) > 1:
        at += 1
    start = at
    if at >= end:
        return None
    if line.tokens[at].text == "#" and line.kind(at + 1) == "number":
        return f"no. {line.tokens[at + 1].text}", at + 2
    ordinal = line.find(at, "ordinal")
    if ordinal is not None and line.kind(ordinal[1] + _degree_sign(line, ordinal[1])) == "number":
        number = ordinal[1] + _degree_sign(line, ordinal[1])
        return f"no. {line.tokens[number].text}", number + 1
    rank = line.find(at, "rank_name")
    if rank is not None and line.kind(rank[1]) == "word":
        return f"rank {line.tokens[rank[1]].text}", rank[1] + 1
    if line.roman(at) is not None:
        at += 1
    elif (division := line.find(at, "division")) is not None and division[1] <= end:
        at = division[1]
    named = at
    while at < end and line.kind(at) in ("word", "dash"):
        if line.finds(at, "name", "abbreviation", "size") or (at > named and line.kind(at) == "dash"):
            options = [o for role in ("name", "abbreviation", "size") if (o := line.find(at, role))]
            at = max((after for _, after in options), default=at + 1)
        elif at == start and line.kind(at) == "word" and len(line.tokens[at].text) > 2:
            if line.finds(at, "half", "state", "place", "form", "filler", "rank_word", "only"):
                break
            at += 1
        else:
            break
    if at > named and at < end and (line.roman(at) or 9) <= 4:
        at += 1
    if at > named and line.kind(at) == "number" and at < end:
        value = line.tokens[at].value or Fraction(0)
        if is_legal_footage(value):
            at += 1
            at += line.kind(at) == "primes"
    return (line.label(start, at).strip(" '"), at) if at > start else None


def _degree_sign(line: Line, at: int) -> int:
    return 1 if line.kind(at) == "mark" and line.tokens[at].text == "°" else 0


def read_state(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Prepared, missing, vacant; a vacant place is asked: never filled, or emptied.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Fagott")
    >>> read_state(cut_line("fehlt"), 0, 1, draft, inside=False), draft.state
    (1, 'missing')
    """
    found = line.find(at, "state")
    if found is None or found[1] > end:
        return None
    value, after = found
    if value == "vacant":
        draft.state = None
        draft.add_note(line.slice(at, after))
        line.ask(
            at,
            after,
            say("no pipes here: prepared for and never filled, or removed?"),
            ("prepared", "missing"),
        )
    else:
        draft.state = value
        draft.add_reason(say("%(at)s: no pipes, %(value)s", at=line.label(at, after), value=value))
    while line.finds(after, "filler") and after < end and line.kind(after) == "word":
        after += 1
    return after
