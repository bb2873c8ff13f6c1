"""The name at the head of a stop: known names and abbreviations, unknown words as written."""

from __future__ import annotations

from inventory.organ.sentences import say
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.vocabulary import phrase_key
from inventory.organ.typed_text import fold

_ENDS_A_NAME = (
    "only", "borrow", "extension", "common_bass", "derived", "state", "earlier", "now", "place", "condition",
    "repeats", "half",
)  # fmt: skip


def read_name(line: Line, at: int, end: int, draft: StopDraft) -> int:
    """Read the name that begins at a token into the draft; returns the index after it.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft()
    >>> read_name(cut_line("Bdn 8"), 0, 2, draft), draft.name
    (1, 'Bourdon')
    """
    start = at
    if line.kind(at) in ("primes",) or line.finds(at, "ditto"):
        return _read_ditto(line, at, draft)
    parts: list[str] = []
    while at < end:
        after = _known_part(line, at, end, draft, parts, first=at == start)
        if after is None:
            break
        at = after
        if line.kind(at) in ("dash", "amp") and at + 1 < end and _goes_on(line, at):
            parts.append(line.tokens[at].text if line.kind(at) == "amp" else "-")
            at += 1
    if parts:
        draft.name = _joined(parts)
    return at


def _known_part(
    line: Line, at: int, end: int, draft: StopDraft, parts: list[str], *, first: bool
) -> int | None:
    """One word or phrase of a name; None where the name ends."""
    if line.kind(at) != "word":
        return None
    if (short := line.find(at, "abbreviation")) and short[1] <= end:
        known = line.find(at, "name")
        if (known is None or known[1] < short[1]) and not draft.family:
            return _abbreviated(line, at, short, draft, parts)
    if (known := line.find(at, "name")) and known[1] <= end and not (draft.family and _is_half(line, at)):
        draft.family = known[0] or draft.family
        draft.usual = (line.find(at, "usual") or (None,))[0] or draft.usual
        parts.append(line.slice(at, known[1]).rstrip("."))
        return known[1]
    if not first and (ordinal := line.find(at, "ordinal")) and line.kind(ordinal[1]) == "number":
        if line.kind(at - 1) != "dot" or draft.family:
            parts.append(line.slice(at, ordinal[1] + 1))
            return ordinal[1] + 1
    numbered = draft.family and not draft.compound and (line.roman(at) or 9) <= 3
    if numbered and line.tokens[at].text.isupper() and line.kind(at + 1) == "number":
        parts.append(line.tokens[at].text)  # Open Diapason I 8
        return at + 1
    if not first and _ends_name(line, at, draft):
        return None
    if first and line.roman(at) is not None and line.tokens[at].text.isupper():
        return None
    if first and not line.finds(at, "size") and line.finds(at, *_ENDS_A_NAME):
        return None
    size = line.find(at, "size")
    after = size[1] if size else at + 1
    parts.append(line.slice(at, after).rstrip(".") if size else line.tokens[at].text)
    while line.kind(after) == "dot":
        parts[-1] += "."
        after += 1
    return after


def _is_half(line: Line, at: int) -> bool:
    """Whether a word that is also a name (``Contras``, ``Basso``) stands here for a half."""
    return line.finds(at, "half")


def _ends_name(line: Line, at: int, draft: StopDraft) -> bool:
    """Whether the word at a token belongs no longer to the name but to what follows it."""
    token = line.tokens[at]
    if line.finds(at, "size") and not line.finds(at, "half"):
        return False
    if line.finds(at, *_ENDS_A_NAME) and not (line.finds(at, "half") and len(token.text) == 1):
        return True
    if (
        line.roman(at) is not None
        or token.text == "TC"
        or line.finds(at, "rank_word", "form", "ordinal", "rank_name")
    ):
        return True
    if len(token.text) == 1 and not _next_is_word(line, at):
        return True
    if line.note(at) is not None and len(token.text) <= 3:
        return True
    for role in ("from", "to"):
        found = line.find(at, role)
        if found and line.note(found[1]) is not None:
            return True
    return line.finds(at, "filler") and line.kind(at + 1) == "number"


def _next_is_word(line: Line, at: int) -> bool:
    """Whether a single letter is followed by a word of the name (``Viola d gamba``)."""
    return line.kind(at + 1) == "word" and len(line.tokens[at + 1].text) > 2


def _goes_on(line: Line, at: int) -> bool:
    """Whether a name goes on behind a hyphen or &: ``Oboe–Fagott``, ``Bassoon & Oboe``."""
    if line.kind(at + 1) != "word":
        return False
    if line.finds(at + 1, "name"):
        return True
    if line.finds(at + 1, *_ENDS_A_NAME) or line.note(at + 1) is not None or line.roman(at + 1) is not None:
        return False
    return not line.tokens[at + 1].spaced


def _abbreviated(line: Line, at: int, short: tuple[str, int], draft: StopDraft, parts: list[str]) -> int:
    """An abbreviation from the dictionary: expanded when it has one meaning, asked when several."""
    meanings = short[0].split("|")
    every = [
        meaning
        for after, senses in line.options(at)
        if after == short[1]
        for sense in senses
        if sense.role == "abbreviation"
        for meaning in sense.value.split("|")
    ]
    different = {fold(meaning): meaning for meaning in every or meanings}
    if any(line.finds(index, "palm_word") for index in range(short[1], len(line.tokens))):
        # Palms are written of a flautado, never of a flute.
        different = {key: word for key, word in different.items() if key == "flautado"} or different
    typed = line.slice(at, short[1])
    families = {_family_of(line, meaning) for meaning in different.values()}
    draft.recognised = True
    if line.finds(at, "borrow") and short[1] == (line.find(at, "borrow") or ("", 0))[1]:
        line.ask(at, short[1], say("a name, or transmission?"), (*different.values(), "transmission"))
        parts.append(typed)
    elif len(different) > 1 and len(families) > 1:
        line.ask(at, short[1], say("this abbreviation has several meanings"), tuple(different.values()))
        parts.append(typed)
    elif len(different) > 1:
        parts.append(typed)
        draft.family = families.pop()
        draft.add_reason(
            say(
                "%(typed)s kept as written (%(values)s: one family)",
                typed=typed,
                values=" or ".join(different.values()),
            )
        )
    else:
        parts.append(next(iter(different.values())))
        draft.family = families.pop()
        draft.add_reason(say("%(typed)s stands for %(parts)s", typed=typed, parts=parts[-1]))
    return short[1]


def _family_of(line: Line, meaning: str) -> str:
    for sense in line.source.vocabulary.senses(phrase_key(meaning), line.source.language):
        if sense.role == "name":
            return sense.value
    return ""


def _read_ditto(line: Line, at: int, draft: StopDraft) -> int:
    """A ditto mark: the name of the stop above."""
    found = line.find(at, "ditto")
    after = found[1] if found else at + 1
    draft.name = line.source.previous_name
    if draft.name is None:
        line.ask(at, after, say("a ditto mark, but no stop stands above it"))
    else:
        draft.add_reason(say("ditto: the name of the stop above"))
        known = line.source.vocabulary.senses(fold(draft.name).replace("-", " "), line.source.language)
        draft.family = next((sense.value for sense in known if sense.role == "name"), "")
    return after


def _joined(parts: list[str]) -> str:
    """The parts of a name as written, hyphens without spaces."""
    text = ""
    for part in parts:
        if part == "-" or text.endswith("-") or not text:
            text += part
        else:
            text += " " + part
    return text.strip(" -")
