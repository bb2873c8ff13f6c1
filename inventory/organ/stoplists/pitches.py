"""Numbers behind a name, by role: pitch, ranks, pipes, degrees and composition.

Each production looks at the tokens from `at` and either returns the index after what it
understood or None. Productions are tried in order by `qualifiers`.
"""

from __future__ import annotations

from fractions import Fraction

from inventory.organ.sentences import say
from inventory.organ.stoplists.drafts import StopDraft
from inventory.organ.stoplists.number_roles import DEGREE_HARMONICS, feet_of, near_footages
from inventory.organ.stoplists.phrases import Line
from inventory.organ.stoplists.tokens import is_legal_footage

_PITCH_BY_ROMAN = {4: 4, 8: 8, 16: 16, 32: 32}
_JOINS = ("dash", "slash")


def read_ranks(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Ranks: ``4f.``, ``IV rangs``, ``III–IV``, ``5r`` and bare figures behind a compound name.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Mixtur", family="mixture")
    >>> read_ranks(cut_line("III–IV fach"), 0, 4, draft, inside=False), draft.ranks
    (4, '3-4')
    """
    low = _count_at(line, at)
    if low is None:
        return None
    if draft.ranks is not None:
        # Said again behind the composition it was counted from: nothing new.
        again = draft.compound and low == draft.ranks and line.roman(at) is not None
        return at + 1 if again else None
    after, high = at + 1, None
    if line.kind(after) in _JOINS and after + 1 < end and (second := _count_at(line, after + 1)) is not None:
        high, after = second, after + 2
        if line.kind(after) in (*_JOINS, "dot", "comma") and line.kind(after + 1) == "number":
            return None  # a longer row: degrees or pitches
    worded = line.find(after, "rank_word") if after < end else None
    if worded is not None and not _is_rank_word(line, after, worded[1], draft):
        worded = None
    roman = line.roman(at) is not None
    if worded is None and not draft.compound:
        return None
    if worded is None and line.kind(after) == "primes":
        return None  # a foot mark: this is a pitch
    if worded is None and not roman and (draft.has_pitch or not _bare_ranks(line, at, after, high, draft)):
        return None
    if not (1 <= low <= 12 and (high is None or low < high <= 20)):
        return None
    draft.ranks = low if high is None else f"{low}-{high}"
    draft.add_reason(
        "ranks, because of the word beside it" if worded else "ranks: the name is a compound stop"
    )
    if high is not None:
        draft.add_reason(say("where the ranks grow is not said"))
    return worded[1] if worded else after


def _count_at(line: Line, at: int) -> int | None:
    if (roman := line.roman(at)) is not None:
        return roman
    return line.tokens[at].integer if line.kind(at) == "number" else None


def _is_rank_word(line: Line, at: int, after: int, draft: StopDraft) -> bool:
    """Short rank words (f, r, x, h) count beside compounds or when glued to their figure."""
    word = line.tokens[at].text
    if len(word) > 1:
        return True
    if word.lower() == "f" and not draft.compound:
        return False  # f is Fuß beside a simple stop
    return draft.compound or not line.tokens[at].spaced


def _bare_ranks(line: Line, at: int, after: int, high: int | None, draft: StopDraft) -> bool:
    """Whether a bare figure behind a compound name is its ranks; a cornet's may be its pitch."""
    value = line.tokens[at].integer
    if value is None or value > 12 or line.finds(after, "foot_word", "pipe_word", "key_word"):
        return False
    if high is not None:
        return True
    if line.kind(after) in ("dot", "comma", "dash") and line.kind(after + 1) == "number":
        return False  # degrees or pitches in a row
    if draft.family == "cornet" and value in (2, 4, 8):
        return False  # a pitch; whether it is a compound or a reed is asked at the end
    if value == 8:
        line.ask(at, after, say("a compound stop's ranks, or its pitch?"), ("8 ranks", "8 feet"))
        return False
    return True


def read_pitch(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """A pitch, or several of one stop: ``8'``, ``2 2/3``, ``VIII``, ``13 palmos``, ``16-8-4``.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Montre")
    >>> read_pitch(cut_line("2 2/3'"), 0, 2, draft, inside=False), draft.footages
    (2, [Fraction(8, 3)])
    """
    if line.kind(at) != "number":
        return _roman_pitch(line, at, end, draft, inside=inside)
    first = _one_pitch(line, at, end, draft, inside=inside)
    if first is None:
        return None
    feet, after = first
    found = [feet]
    shared = False
    while after < end and line.kind(after) in ("dash", "slash", "comma", "number"):
        number = after if line.kind(after) == "number" else after + 1
        if line.kind(after) == "comma" and line.finds(number + 1, "name", "abbreviation"):
            break
        if draft.compound and line.finds(number + 1, "rank_word"):
            break
        following = (
            _one_pitch(line, number, end, draft, inside=inside) if line.kind(number) == "number" else None
        )
        if following is None or (line.kind(after) == "number" and not _is_marked(line, after)):
            break
        shared = shared or line.kind(after) != "number"
        found.append(following[0])
        after = following[1]
    if len(found) == 2 and shared and draft.state == "derived":
        draft.add_note(line.slice(at, after))
        draft.add_reason(say("the two pitches are the ends of what it is made of"))
        return after
    if not inside or not draft.has_pitch:
        draft.footages.extend(found)
    if len(found) > 1:
        draft.shared_pitches = draft.shared_pitches or shared
        draft.add_reason(f"{len(found)} pitches, so {len(found)} stops" + (" of one rank" if shared else ""))
    return after


def _is_marked(line: Line, at: int) -> bool:
    return line.kind(at + 1) == "primes" or line.finds(at + 1, "foot_word")


def _one_pitch(
    line: Line, at: int, end: int, draft: StopDraft, *, inside: bool
) -> tuple[Fraction, int] | None:
    """One number as feet and the index after its foot mark; None when it is something else."""
    value = line.tokens[at].value
    if at >= end or value is None or value > 64:
        return None
    after = at + 1
    marked = line.kind(after) == "primes" and line.tokens[after].text in ("'", '"')
    if marked:
        after += 1
    palm = line.find(after, "palm_word") if after < end else None
    foot = _foot_word(line, after) if after < end else None
    if foot is not None and not palm and _counts_something(line, at, after, draft, inside=inside):
        foot = None
    if palm or foot:
        after = (palm or foot or ("", after))[1]
    elif not marked and _counts_something(line, at, after, draft, inside=inside):
        return None
    if line.kind(after) and line.tokens[after].text == "ª" and int(value) in DEGREE_HARMONICS:
        draft.add_reason(say("%(value)sª is a degree of the scale, counted from 8 feet", value=value))
        return 8 / DEGREE_HARMONICS[int(value)], after + 1
    result = feet_of(value, draft.family, draft.folded, palms=palm is not None)
    if result.feet is None:
        if marked or foot or (not inside and not draft.has_pitch and not draft.compound and value <= 16):
            line.ask(at, after, result.rule, near_footages(value))
        return None
    draft.add_reason(result.rule)
    return result.feet, after


def _foot_word(line: Line, at: int) -> tuple[str, int] | None:
    """A word for feet; p is one (pieds, pies, piedi) in any language when nothing contradicts."""
    found = line.find(at, "foot_word")
    if found is None and line.kind(at) == "word" and line.tokens[at].text in ("p", "P"):
        return "", at + 1 + (line.kind(at + 1) == "dot")
    return found


def _counts_something(line: Line, at: int, after: int, draft: StopDraft, *, inside: bool) -> bool:
    """Whether a number is a count (of pipes, keys) or a second number rather than a pitch."""
    value = line.tokens[at].value or Fraction(0)
    if line.finds(after, "key_word") and not line.finds(after, "foot_word"):
        return True
    if line.finds(after, "pipe_word"):
        french_feet = _foot_word(line, after) and value <= 32 and is_legal_footage(value)
        return not french_feet or draft.has_pitch or inside
    if inside and value.denominator == 1 and not line.finds(after, "foot_word"):
        return line.kind(after) not in ("plus",) and not (
            line.kind(after) == "dash" and draft.state == "derived"
        )
    return False


def _roman_pitch(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """A Roman pitch behind a simple name (``Montre VIII``)."""
    value = line.roman(at)
    if value is None or inside or draft.has_pitch or draft.compound or draft.name is None:
        return None
    after = at + 1
    if value in _PITCH_BY_ROMAN and line.kind(after) not in _JOINS:
        draft.footages.append(Fraction(value))
        draft.add_reason(say("a Roman figure behind a simple stop is its pitch"))
        return after + (line.kind(after) == "primes")
    if value > 12:
        return None
    candidates = (f"{value} feet", f"{value} ranks", f"keyboard or number {value}")
    line.ask(at, after, say("a Roman figure that is no pitch of a simple stop"), candidates)
    return after


def read_pipes(line: Line, at: int, end: int, draft: StopDraft, *, inside: bool) -> int | None:
    """Numbers of pipes and of keys: ``97 p.``, ``56``, ``37 n.``; off-chest pipes are a remark.

    >>> from inventory.organ.stoplists.phrases import cut_line
    >>> draft = StopDraft("Montre")
    >>> read_pipes(cut_line("97 p."), 0, 3, draft, inside=True), draft.pipes
    (3, 97)
    """
    value = line.tokens[at].integer if line.kind(at) == "number" else None
    if value is None or not 1 <= value <= 1000:
        return None
    after = at + 1
    if (elsewhere := _pipes_elsewhere(line, after, end)) is not None:
        draft.add_note(line.slice(at, elsewhere))
        return elsewhere
    if (pipes := line.find(after, "pipe_word")) and pipes[1] <= end:
        if draft.pipes is None and not line.finds(pipes[1], "place", "condition"):
            draft.pipes = value
            draft.add_reason(say("pipes, because of the word beside the number"))
            return pipes[1]
        draft.add_note(line.slice(at, end))
        return end
    if (keys := line.find(after, "key_word")) and keys[1] <= end and not line.finds(keys[1], "condition"):
        if not line.finds(at + 1, "condition"):
            draft.add_note(line.slice(at, keys[1]))
            return keys[1]
    beside_pitch = not inside and draft.has_pitch and draft.pipes is None
    if beside_pitch and 12 < value <= 400 and line.kind(after) not in _JOINS:
        draft.pipes = value
        draft.add_reason(say("%(value)s beside the pitch is its number of pipes", value=value))
        return after
    return None


def _pipes_elsewhere(line: Line, at: int, end: int) -> int | None:
    """``12 gr. tuyaux postés``: how many pipes stand off the chest, which is not the stop's number."""
    for index in range(at, min(at + 4, end)):
        pipes = line.find(index, "pipe_word")
        longer = line.find(index, "place")
        after = longer[1] if longer else pipes[1] if pipes else None
        if after is not None and (longer or line.finds(after, "place")):
            place = line.find(after, "place") if not longer else longer
            return min(place[1] if place else after, end)
        if line.kind(index) not in ("word", "dot"):
            return None
    return None
