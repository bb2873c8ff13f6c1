"""Stops on one line: where one ends and the next begins, and the forms that hold two.

line  := item { separator item }
item  := [number] [division] [pitches] name qualifiers
       | earlier-in-brackets now item | bracketed item | degree
"""

from __future__ import annotations

from fractions import Fraction

from inventory.organ.sentences import say
from inventory.organ.stoplists.couplers import joins_keyboards
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.number_roles import feet_of_degree
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.pitches import read_pitch
from inventory.organ.stoplists.qualifiers import read_qualifiers
from inventory.organ.stoplists.stop_names import read_name
from inventory.organ.stoplists.tokens import is_legal_footage

_SEPARATORS = ("comma", "semicolon", "slash", "plus")
# Degrees that are no keyboard number and no usual number of ranks; VIII and XII are asked.
_SURE_DEGREES = (15, 17, 19, 22, 24, 26, 29, 33, 36)


def split_items(line: Line, at: int, end: int) -> list[tuple[int, int]]:
    """(first token, end) of every stop, coupler or accessory on a line.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> split_items(cut_line("Montre 8, Bourdon 16"), 0, 5)
    [(0, 2), (3, 5)]
    """
    found: list[tuple[int, int]] = []
    first, index = at, at
    seen_half = False
    while index < end:
        if line.kind(index) == "open":
            index = min(line.closing(index) + 1, end)
            continue
        separator = line.kind(index) in _SEPARATORS and index > first
        if separator and starts_item(line, index + 1, end, line.kind(index), after_half=seen_half):
            if not (line.kind(index) in ("slash", "plus") and _is_reference(line, index)):
                found.append((first, index))
                first, seen_half = index + 1, False
        seen_half = seen_half or line.finds(index, "half")
        index += 1
    found.append((first, end))
    return [(a, b) for a, b in found if b > a]


def _is_reference(line: Line, at: int) -> bool:
    """Whether a slash joins two alternatives of one stop's words rather than two stops."""
    return line.finds(at + 1, "half") and not line.finds(at + 1, "name") and not line.finds(at - 1, "name")


def starts_item(line: Line, at: int, end: int, separator: str, *, after_half: bool = False) -> bool:
    """Whether a stop, coupler or accessory begins at a token.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> starts_item(cut_line("Bourdon 16"), 0, 2, "comma"), starts_item(cut_line("in box"), 0, 2, "comma")
    (True, False)
    """
    if at >= end:
        return False
    if line.kind(at) == "number":
        after = at + 1 + (line.kind(at + 1) in ("dot", "close"))
        lettered = (
            line.kind(after) == "word"
            and line.tokens[after].text.isupper()
            and len(line.tokens[after].text) == 1
        )
        if lettered and separator == "comma" and (after + 1 >= end or line.kind(after + 1) == "comma"):
            return True
        return line.kind(after) == "word" and starts_item(line, after, end, separator)
    if line.finds(at, "accessory", "coupler"):
        return True
    if separator in ("comma", "semicolon") and joins_keyboards(line, at):
        return True
    if after_half and line.finds(at, "half") and len(line.tokens[at].text) > 3:
        return True
    if separator == "comma" and line.finds(at, "form", "place", "material", "borrow", "now", "state"):
        return line.finds(at, "name") and not line.finds(at, "form")
    if (division := line.find(at, "division")) is not None:
        following = division[1]
        if line.finds(following, "name", "abbreviation"):
            return True
    size = line.find(at, "size")
    if size is not None and line.finds(size[1], "name"):
        return True
    if (short := line.find(at, "abbreviation")) is not None and separator in ("comma", "semicolon"):
        alone = (
            len(line.tokens[at].text) > 1
            or short[1] >= end
            or line.kind(short[1]) in (*_SEPARATORS, "number")
        )
        return alone
    return line.finds(at, "name")


def read_item(line: Line, at: int, end: int) -> list[StopDraft]:
    """The stops one item means: usually one; several pitches, halves or an earlier stop make more.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> (draft,) = read_item(cut_line("3. Montre 8"), 0, 4)
    >>> draft.number, draft.name, draft.footages
    ('3', 'Montre', [Fraction(8, 1)])
    """
    draft = StopDraft(division=None)
    if line.kind(at) == "open":
        special = _bracketed(line, at, end)
        if special is not None:
            return special
    if line.finds(at, "earlier") and line.kind((line.find(at, "earlier") or ("", at))[1]) == "word":
        draft.state = "earlier"
        draft.add_reason(say("%(text)s: an earlier name", text=line.tokens[at].text))
        at = (line.find(at, "earlier") or ("", at + 1))[1]
    if (now := line.find(at, "now")) is not None:
        at = now[1]
    at = _read_number(line, at, end, draft)
    at = _read_division(line, at, end, draft)
    if (degrees := _degrees(line, at, end)) is not None:
        return degrees
    at = _read_leading(line, at, end, draft)
    while line.kind(at) == "mark":
        at += 1
    if not (draft.has_pitch and at == end - 1 and len(line.tokens[at].text) == 1):
        at = read_name(line, at, end, draft)
    at = _late_name(line, at, end, draft)
    read_qualifiers(line, at, end, draft)
    _settle(line, draft, at, end)
    return [*draft.extras, draft]


def _read_number(line: Line, at: int, end: int, draft: StopDraft) -> int:
    """The stop's own number: ``1.``, ``No. 3``, ``#4``; a bare leading figure may be a pitch."""
    if line.kind(at) == "other" and line.tokens[at].text == "#" and line.kind(at + 1) == "number":
        draft.number = line.tokens[at + 1].text
        return at + 2
    ordinal = line.find(at, "ordinal")
    if ordinal is not None and line.kind(ordinal[1]) == "number" and line.kind(at) == "word":
        draft.number = line.tokens[ordinal[1]].text
        after = ordinal[1] + 1
        return after + (line.kind(after) in ("dot", "colon", "close"))
    if line.kind(at) != "number" or line.tokens[at].integer is None:
        return at
    if line.kind(at + 1) in ("dot", "close", "colon") and line.kind(at + 2) != "number":
        draft.number = line.tokens[at].text
        return at + 2
    if line.kind(at + 1) == "word" and _pitch_follows(line, at + 1, end):
        if not line.finds(at + 1, "rank_word", "foot_word", "key_word", "pipe_word") or line.finds(
            at + 1, "name"
        ):
            draft.number = line.tokens[at].text
            draft.add_reason(say("the figure before the name is its number, for a pitch follows"))
            return at + 1
    return at


def _pitch_follows(line: Line, at: int, end: int) -> bool:
    for index in range(at, end):
        if line.kind(index) == "open":
            return False
        if line.kind(index) == "number":
            value = line.tokens[index].value
            return value is not None and is_legal_footage(value)
    return False


def _read_division(line: Line, at: int, end: int, draft: StopDraft) -> int:
    """A division before the name: ``GO Nazard``, ``Pos. Nazard``."""
    division = line.find(at, "division")
    if division is None or division[1] >= end:
        return at
    value, after = division
    after += line.kind(after) == "colon"
    starts = line.finds(after, "name", "abbreviation") or (
        line.finds(after, "size") and line.finds((line.find(after, "size") or ("", after))[1], "name")
    )
    own_name = (name := line.find(at, "name")) is not None and name[1] >= division[1]
    if not starts or own_name:
        return at
    draft.division = line.label(at, division[1])
    draft.division_kind = value or "manual"
    draft.add_reason(say("%(division)s: the division before the name", division=draft.division))
    return after


def _degrees(line: Line, at: int, end: int) -> list[StopDraft] | None:
    """A Roman figure in place of a name is a degree of the Italian ripieno (``XIX``)."""
    found: list[tuple[int, int]] = []
    index = at
    while index < end and (value := line.roman(index)) is not None:
        found.append((value, index))
        index += 1
        index += line.kind(index) in ("dash", "comma", "plus", "dot")
    if not found:
        return None
    if index < end:
        return _degree_with_pitch(line, found, index, end)
    if not all(value in _SURE_DEGREES for value, _ in found):
        if len(found) == 1 and feet_of_degree(found[0][0]):
            value, place = found[0]
            offered = (f"degree {value}: {feet_of_degree(value)} feet", f"number or keyboard {value}")
            line.ask(
                place, place + 1, say("a Roman figure alone: a degree of the ripieno, or a number?"), offered
            )
        return None
    drafts = []
    for value, place in found:
        draft = StopDraft(name=line.tokens[place].text.upper(), family="principal")
        draft.footages.append(_feet(feet_of_degree(value) or "1"))
        draft.add_reason(
            say(
                "a Roman figure in place of a name is a degree: %(value)s above 8 feet (Italian ripieno)",
                value=value,
            )
        )
        drafts.append(draft)
    return drafts


def _degree_with_pitch(line: Line, found: list[tuple[int, int]], at: int, end: int) -> list[StopDraft] | None:
    """``XV 2'``: a degree with more behind it."""
    value, place = found[0]
    if len(found) != 1 or value not in _SURE_DEGREES or line.finds(at, "name", "rank_word"):
        return None
    draft = StopDraft(name=line.tokens[place].text.upper(), family="principal")
    draft.add_reason(
        say("a Roman figure in place of a name is a degree: %(value)s (Italian ripieno)", value=value)
    )
    read_qualifiers(line, at, end, draft)
    if not draft.has_pitch:
        draft.footages.append(_feet(feet_of_degree(value) or "1"))
    return [draft]


def _feet(text: str) -> Fraction:
    whole, _, rest = text.rpartition(" ")
    return int(whole or 0) + Fraction(rest)


def _read_leading(line: Line, at: int, end: int, draft: StopDraft) -> int:
    """Pitches before the name (``8' 4' 2' Rohrfl.``) and a half word before it (``Basses 8 …``)."""
    if line.kind(at) == "number":
        value = line.tokens[at].value or Fraction(0)
        named = line.find(at + 1, "name") or line.find(at + 1, "abbreviation")
        if named and is_legal_footage(value) and not _pitch_follows(line, at + 1, end):
            offered = (f"{line.tokens[at].text} feet", f"stop number {line.tokens[at].text}")
            line.ask(at, at + 1, say("a figure before the name: its pitch, or its number?"), offered)
            draft.number = None
            return at + 1
        after = read_pitch(line, at, end, draft, inside=False)
        if after is not None:
            if len(draft.footages) > 1 and not draft.shared_pitches:
                draft.add_reason(say("whether they share one rank is not said"))
            return after
    half = line.find(at, "half")
    if half is not None and line.finds(at, "borrow") and line.finds(half[1], "division"):
        half = None  # "Tr. HW": a transmission whose stop is not named
    if half is not None and not line.finds(at, "name") and half[1] < end:
        draft.half = half[0]
        draft.add_reason(say("%(at)s: %(half)s half", at=line.slice(at, half[1]), half=half[0]))
        if line.finds(half[1], "name"):
            offered = (f"{half[0]} half", f"a stop called {line.slice(at, half[1] + 1)}")
            line.ask(at, half[1] + 1, say("a half of a stop, or a stop of this name?"), offered)
        at = half[1]
        if line.kind(at) == "number" and line.kind(at + 1) != "dash":
            at = read_pitch(line, at, end, draft, inside=False) or at
        if line.kind(at) == "open":
            close = min(line.closing(at), end)
            read_qualifiers(line, at + 1, close, draft, inside=True)
            at = min(close + 1, end)
        while line.finds(at, "filler") and at < end:
            at += 1
    return at


def _late_name(line: Line, at: int, end: int, draft: StopDraft) -> int:
    """Degree names (``Decimaquinta``) have their pitch; a unit letter needs no name."""
    for index in range(max(0, at - 1), at):
        degree = line.find(index, "degree_name")
        if degree is not None and line.kind(at) != "number":
            draft.footages.append(_feet(feet_of_degree(int(degree[0])) or "1"))
            draft.add_reason(say("the name is a degree: %(degree)s above 8 feet", degree=degree[0]))
    return at


def _bracketed(line: Line, at: int, end: int) -> list[StopDraft] | None:
    """``(Gamba 8), now Spitzflöte 4`` and ``[Trompette 8]``."""
    close = line.closing(at)
    if close >= end:
        return None
    if not starts_item(line, at + 1, close, "comma"):
        return None
    inner = read_item(line, at + 1, close)
    after = close + 1
    after += line.kind(after) in ("comma", "semicolon", "dash", "arrow")
    if after < end and line.finds(after, "now"):
        for draft in inner:
            draft.state = "earlier"
            draft.add_reason(say("in brackets before what stands there now"))
        later = read_item(line, after, end)
        later[-1].add_note("earlier: " + line.slice(at + 1, close))
        return inner + later
    for draft in inner:
        draft.state = None
        line.ask(at, close + 1, say("a stop in brackets: prepared for, or removed?"), ("prepared", "missing"))
    if after < end:
        read_qualifiers(line, after, end, inner[-1])
    return inner


def _settle(line: Line, draft: StopDraft, at: int, end: int) -> None:
    """What follows from the whole item: usual pitch, Iberian names, reeds called cornet."""
    if draft.family == "resultant" and draft.state == "present" and not draft.compound:
        draft.state = "derived"
        draft.add_reason(say("a resultant has no pipes of its own"))
    if not draft.footages and draft.usual and not draft.compound and draft.name:
        draft.footages.append(_feet(draft.usual))
        draft.add_reason(
            say("pitch assumed: %(draft)s is usually %(usual)s feet", draft=draft.name, usual=draft.usual)
        )
    if draft.family == "cornet" and draft.has_pitch and not draft.ranks and not draft.composition:
        reed = "a reed (usual in the pedal)" if line.source.division_kind == "pedal" else "a reed"
        line.ask(
            at - 1, end, say("a cornet with a pitch: a compound stop, or a reed?"), ("a compound stop", reed)
        )
    if draft.folded == "violon" and (line.source.language or line.source.guessed_language) is None:
        has_accent = "ó" in (draft.name or "").lower()
        if not has_accent:
            offered = ("stopped flute (Iberian)", "string (French, German)")
            line.ask(
                at - 1, at, say("this name is a stopped flute in Iberia and a string elsewhere"), offered
            )
