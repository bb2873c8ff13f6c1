"""Couplers and accessories: lines of a stoplist that are no stops.

``II/I``, ``Swell to Great``, ``Réc. sur GO`` all mean: playing the second sounds the first.
So the second is `from` and the first is `to` in the sense of DESIGN §4.
"""

from __future__ import annotations

from inventory.organ.sentences import say
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.values import CouplerProposal

_SHIFTS = {16: -12, 8: 0, 4: 12}


def read_coupler(line: Line, at: int, end: int) -> CouplerProposal | None:
    """The coupler an item means, or None when it is no coupler.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> found = read_coupler(cut_line("Swell to Great 4'"), 0, 5)
    >>> found.origin, found.target, found.shift
    ('Great', 'Swell', 12)
    """
    kinds: list[str] = []
    keyboards: list[str] = []
    joined = ""
    shift: int | None = None
    index, understood = at, True
    while index < end:
        kind = line.kind(index)
        word = line.find(index, "coupler")
        keyboard = _keyboard_at(line, index, end)
        to = line.find(index, "coupler_to") if keyboards else None
        if word is not None and (keyboard is None or word[1] > keyboard[1]):
            kinds.append(word[0])
            index = word[1]
        elif to is not None and to[1] < end:
            joined, index = "to", to[1]
        elif keyboard is not None:
            keyboards.append(keyboard[0])
            index = keyboard[1]
        elif kind in ("slash", "dash", "plus", "arrow") and keyboards:
            joined, index = joined or kind, index + 1
        elif kind == "number" and line.tokens[index].integer in _SHIFTS and keyboards:
            shift = _SHIFTS[line.tokens[index].integer or 8]
            index += 1 + (line.kind(index + 1) == "primes")
        elif kind in ("dot", "colon", "comma", "open", "close", "primes"):
            index += 1
        elif line.finds(index, "filler"):
            index += 1
        else:
            understood = False
            index += 1
    if not _is_coupler(kinds, keyboards, joined, understood):
        return None
    if shift is None:
        shift = 12 if "super" in kinds else -12 if "sub" in kinds else 0
    return _proposal(line, at, end, keyboards, joined, shift, "pedal" in kinds)


def joins_keyboards(line: Line, at: int) -> bool:
    """Whether two keyboards joined by a stroke or a word stand at a token: ``II/I``, ``Swell to Great``.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> joins_keyboards(cut_line("II/I"), 0), joins_keyboards(cut_line("Swell Oboe"), 0)
    (True, False)
    """
    first = _keyboard_at(line, at, len(line.tokens))
    if first is None:
        return False
    to = line.find(first[1], "coupler_to")
    after = to[1] if to else first[1] + 1 if line.kind(first[1]) == "slash" else None
    return after is not None and _keyboard_at(line, after, len(line.tokens)) is not None


def _keyboard_at(line: Line, at: int, end: int) -> tuple[str, int] | None:
    """A keyboard named by its division, its Roman number or P."""
    if at >= end or line.kind(at) != "word":
        return None
    if (division := line.find(at, "division")) is not None and division[1] <= end:
        return line.label(at, division[1]), division[1]
    text = line.tokens[at].text
    value = line.roman(at)
    if value is not None and value <= 6:
        return text.upper(), at + 1
    return ("P", at + 1) if text in ("P", "p") else None


def _is_coupler(kinds: list[str], keyboards: list[str], joined: str, understood: bool) -> bool:
    if "plain" in kinds or "pedal" in kinds or "unison off" in kinds:
        return True
    if not understood or len(keyboards) > 2:
        return False
    if kinds and keyboards:
        return True
    return len(keyboards) == 2 and joined in ("slash", "dash", "to", "plus")


def _proposal(
    line: Line, at: int, end: int, keyboards: list[str], joined: str, shift: int, from_pedal: bool
) -> CouplerProposal:
    origin: str | None = None
    target: str | None = None
    if from_pedal and len(keyboards) == 1:
        origin, target = "Pedal", keyboards[0]
    elif len(keyboards) >= 2:
        target, origin = keyboards[0], keyboards[1]
        if from_pedal and joined != "to":
            origin, target = "Pedal", keyboards[0]
        if joined in ("dash", "plus", "arrow", ""):
            offered = (f"{target} to {origin}: playing {origin} sounds {target}",
                       f"{origin} to {target}: playing {target} sounds {origin}")  # fmt: skip
            line.ask(at, end, say("which keyboard is played, and which sounds?"), offered)
            origin = target = None
    elif len(keyboards) == 1 and shift:
        origin = target = keyboards[0]
    else:
        line.ask(at, end, say("a coupler, but not between which keyboards"))
    if len(keyboards) > 2:
        line.ask(at, end, say("more than two keyboards in one coupler"))
    return CouplerProposal(line.number, line.typed_slice(at, end), origin, target, shift)


def is_accessory(line: Line, at: int, end: int) -> bool:
    """Whether an item is an accessory (tremulant, bells, pedals for the foot).

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> is_accessory(cut_line("Tremulant"), 0, 1), is_accessory(cut_line("Montre"), 0, 1)
    (True, False)
    """
    at += line.kind(at) == "number" and at + 1 < end
    found = line.find(at, "accessory")
    if found is None or found[1] > end:
        return False
    name = line.find(at, "name")
    return name is None or name[1] < found[1] or line.kind(found[1]) != "number"
