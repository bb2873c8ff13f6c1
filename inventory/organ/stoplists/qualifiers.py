"""Everything that may stand behind a stop's name, in any order, in brackets or not.

    qualifiers := { bracket | mark | date | composition | ranks | limits | borrowing
                    | pitch | pipes | half | state | earlier | remark | rank letter }

Each production is tried at each place; what none understands is kept as a remark and asked.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from inventory.organ.sentences import say
from inventory.organ.stoplists.compositions import read_composition
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.limits import read_half, read_limits
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.pitches import read_pipes, read_pitch, read_ranks
from inventory.organ.stoplists.sharing_words import read_borrowing, read_state
from inventory.organ.stoplists.stop_names import read_name
from inventory.organ.stoplists.tokens import is_legal_footage
from inventory.organ.stoplists.values import Composition

_CONNECTORS = ("comma", "semicolon", "dash", "slash", "colon", "plus", "dot", "amp", "close", "arrow", "dots")
Production = Callable[..., int | None]


def read_qualifiers(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool = False) -> int:
    """Read everything from a token to the end of the stop (or of its bracket).

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Bourdon")
    >>> read_qualifiers(cut_line("16 (ab c0) fehlt"), 0, 7, draft)
    7
    >>> draft.footages, draft.from_note, draft.state
    ([Fraction(16, 1)], 48, 'missing')
    """
    unknown = at
    while at < end:
        after = None
        for production in _PRODUCTIONS:
            after = production(line, at, end, draft, inside=inside)
            if after is not None:
                break
        if after is None and line.kind(at) not in _CONNECTORS:
            at += 1
            continue
        _keep_unknown(line, unknown, at, draft)
        at = max(at + 1, after or 0)
        unknown = at
    _keep_unknown(line, unknown, end, draft)
    return end


def _keep_unknown(line: Line, first: int, after: int, draft: StopDraft) -> None:
    """Words nothing understood: a remark, and a question unless they carry no meaning."""
    while first < after and line.kind(first) in _CONNECTORS:
        first += 1
    after = min(after, len(line.tokens))
    if first >= after:
        return
    words = [
        index for index in range(first, after) if line.kind(index) in ("word", "number", "other", "mark")
    ]
    fillers = [i for i in words if line.finds(i, "filler") and len(line.tokens[i].text) > 1]
    if not words or (len(fillers) == len(words) and len(words) < 3):
        return
    draft.add_note(line.slice(first, after))
    line.ask(first, after, say("not understood; kept as a remark"))


def _read_bracket(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    if line.kind(at) != "open":
        return None
    close = min(line.closing(at), end)
    if line.kind(at + 1) == "mark":
        return close + 1  # a legend, read before the lines
    if _bare_number(line, at + 1, close, draft):
        return close + 1
    read_qualifiers(line, at + 1, close, draft, inside=True)
    draft.about_material = False
    return close + 1


def _bare_number(line: Line, at: int, close: int, draft: StopDraft) -> bool:
    """A number alone in brackets: a pitch where none is written, else a question."""
    if close != at + 1 or line.kind(at) != "number":
        return False
    value = line.tokens[at].value or Fraction(0)
    if not draft.has_pitch and not draft.compound and is_legal_footage(value):
        draft.footages.append(value)
        draft.add_reason(say("the only number beside the name is its pitch"))
        return True
    if 1400 <= value <= 2100:
        return False
    number = line.tokens[at].text
    draft.add_note(f"({number})")
    offered = (f"{number} pipes of its own, the rest borrowed", f"{number} pipes", f"stop number {number}")
    line.ask(at, close, say("a number alone: what does it count?"), offered)
    return True


def _read_lost_space(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """``22/3``: a whole number and a fraction whose space is lost, most likely; asked."""
    if (
        line.kind(at) != "number"
        or line.kind(at + 1) != "slash"
        or line.kind(at + 2) != "number"
        or at + 3 > end
    ):
        return None
    text = line.slice(at, at + 3)
    if len(line.tokens[at].text) != 2 or " " in text or draft.compound:
        return None
    offered = f"{text[0]} {text[1:]}"
    top, bottom = int(text[1]), line.tokens[at + 2].integer or 0
    if bottom <= top or not is_legal_footage(int(text[0]) + Fraction(top, bottom)):
        return None
    line.ask(at, at + 3, say("a footage whose space is lost?"), (offered,))
    draft.add_note(text)
    return at + 3


def _read_mark(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """A mark explained by a legend (``*``, ``†``); without a legend it is asked."""
    if line.kind(at) != "mark":
        return None
    mark = line.tokens[at].text
    meaning = line.source.marks.get(mark)
    if meaning:
        draft.add_note(f"{mark} {meaning}")
        draft.add_reason(say("%(mark)s by the legend", mark=mark))
    else:
        draft.add_note(mark)
        line.ask(at, at + 1, say("a mark without a legend: what does it mean?"))
    return at + 1


def _read_date(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Years, centuries and words of date: kept as a remark (they date a layer, not the stop's scheme)."""
    start = at
    if (worded := line.find(at, "date")) is not None and worded[1] <= end:
        year = line.tokens[worded[1]].integer if line.kind(worded[1]) == "number" else None
        if len(line.tokens[at].text) == 1 and not (year and year >= 1400):
            return None
        at = worded[1]
        if line.finds(at, "name") and not inside:
            return None
    value = line.tokens[at].integer if line.kind(at) == "number" and at < end else None
    roman = line.roman(at) if at < end and line.tokens[at].text.isupper() or inside else None
    if value is not None and 1400 <= value <= 2100:
        at += 1
        while at < end and (line.kind(at) in ("dash", "slash", "number") or line.tokens[at].text in "?²"):
            at += 1
    elif roman is not None and 13 <= roman <= 21 and (draft.has_pitch or inside):
        draft.add_reason(say("a Roman figure from XIII to XXI behind the pitch is a century"))
        at += 1
        while at < end and line.kind(at) == "other":
            at += 1
    if at == start:
        return None
    draft.add_note("date: " + line.slice(start, at).strip())
    return at


def _read_condition(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """A fault typed into the stoplist: kept, and handed to the survey."""
    begin = at + 1 if line.kind(at) == "number" else at
    if not line.finds(begin, "condition"):
        return None
    draft.add_note("condition: " + line.slice(at, end))
    line.ask(at, end, say("a fault noted in the stoplist: record it as an observation of a survey"))
    return end


def _read_earlier(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """``ex Gamba``: another stop stood here before."""
    found = line.find(at, "earlier")
    if found is None or line.kind(found[1]) != "word":
        return None
    before = StopDraft(state="earlier")
    after = read_name(line, found[1], end, before)
    if before.name is None:
        return None
    stop = after
    if line.kind(after) == "number":
        stop = read_pitch(line, after, end, before, inside=False) or after
    before.add_reason(say("%(at)s: an earlier name of this place", at=line.slice(at, found[1])))
    draft.extras.append(before)
    draft.add_note(f"earlier: {line.slice(found[1], stop)}")
    return stop


def _read_remark(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Material, form and place: known words that change nothing of the scheme."""
    if (length := _length_of_resonators(line, at, end)) is not None:
        draft.add_note(line.slice(at, length))
        return length
    for role in ("material", "form", "place", "size"):
        found = line.find(at, role)
        if found is None or found[1] > end:
            continue
        if line.options(at)[0][0] > found[1]:
            continue  # part of a longer phrase that means something else
        single = len(line.tokens[at].text) == 1 and found[1] - at <= 2
        if single and not inside:
            continue
        if role == "material":
            draft.about_material = True
            draft.add_reason(
                say("%(typed)s: %(what)s", typed=line.slice(at, found[1]), what=say(found[0] or "material"))
            )
        after = found[1]
        while line.kind(after) == "slash" and line.finds(after + 1, role) and after + 1 < end:
            after = (line.find(after + 1, role) or ("", after + 2))[1]
        draft.add_note(line.slice(at, after).rstrip("."))
        return after
    division = line.find(at, "division")
    if division is not None and division[1] <= end and len(line.slice(at, division[1])) > 1:
        draft.add_note(line.slice(at, division[1]))
        return division[1]
    return None


def _length_of_resonators(line: Line, at: int, end: int) -> int | None:
    """``½ L``, ``bass ½-length``: how long the resonators are."""
    begin = at + 1 if line.finds(at, "half") and line.kind(at + 1) == "number" else at
    if line.kind(begin) != "number" or line.tokens[begin].value != Fraction(1, 2):
        return None
    after = begin + 1
    after += line.kind(after) == "dash"
    word = line.tokens[after].text.lower() if line.kind(after) == "word" and after < end else ""
    if word in ("l", "length", "lange", "länge", "longueur", "lunghezza", "largo"):
        return after + 1
    return None


def _read_breaks(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """``repet. c, g, c1``: notes where a compound breaks, its pitches not said."""
    found = line.find(at, "repeats")
    if found is None:
        return None
    start, at = at, found[1]
    unsure = False
    while (note := line.note(at)) is not None and note[1] <= end:
        if note[0].note is None:
            unsure = True
        else:
            draft.composition.append(Composition(note[0].note, ()))
        at = note[1]
        while line.kind(at) in ("comma", "dash", "dot", "dots") and at < end:
            at += 1
    if unsure:
        line.ask(start, at, say("which notes does it break at?"))
    draft.add_note(line.slice(start, at).strip(" ,."))
    draft.add_reason(say("breaks at the notes listed; their pitches are not said"))
    return at


def _read_rank_letter(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """A capital letter behind the pitch names the rank that is drawn (``8 A``)."""
    if inside or not draft.has_pitch or line.kind(at) != "word" or draft.borrowed_from:
        return None
    text = line.tokens[at].text
    if len(text) != 1 or not text.isupper() or (at + 1 < end and line.kind(at + 1) != "comma"):
        return None
    draft.borrowed_from = f"rank {text}"
    draft.add_reason(say("the letter %(text)s behind the pitch names a rank", text=text))
    return at + 1


_PRODUCTIONS: tuple[Production, ...] = (
    _read_bracket, _read_lost_space, _read_mark, _read_condition, _read_date, read_ranks, read_composition, _read_breaks,
    read_limits, read_borrowing, _read_remark, read_pitch, read_pipes, read_half, read_state, _read_earlier,
    _read_rank_letter,
)  # fmt: skip
