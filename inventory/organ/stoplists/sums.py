"""What only the whole list shows: halves that belong together, sums that differ."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from inventory.organ.sentences import join_sentences, say
from inventory.organ.stoplists.headings import Count
from inventory.organ.stoplists.values import DivisionProposal, Question, StopProposal
from inventory.organ.typed_text import fold


def joined_halves(stops: Sequence[StopProposal]) -> list[StopProposal]:
    """The stops of a division, halves that follow each other told of their other half.

    >>> halves = [StopProposal(n, "", "Flute", half=h) for n, h in ((1, "bass"), (2, "treble"))]
    >>> joined_halves(halves)[0].reason.strip("; ")
    'one stop, two knobs: the other half in line 2'
    """
    found = list(stops)
    for place in range(len(found) - 1):
        first, second = found[place], found[place + 1]
        if {first.half, second.half} != {"bass", "treble"}:
            continue
        same_name = fold(first.name or "") == fold(second.name or "")
        if not same_name and first.line != second.line:
            continue
        if not same_name and second.footage is None and second.ranks is None:
            second = replace(second, footage=first.footage)
        how = say("one stop, two knobs") if same_name else say("two halves with different names")
        found[place] = _told(first, _other_half(how, second.line))
        found[place + 1] = _told(second, _other_half(how, first.line))
    return found


def _other_half(how: str, line: int) -> str:
    return say("%(how)s: the other half in line %(line)s", how=how, line=line)


def _told(stop: StopProposal, reason: str) -> StopProposal:
    return replace(stop, reason=join_sentences([stop.reason, reason]))


def count_stops(divisions: Sequence[DivisionProposal]) -> dict[str, int]:
    """Stops and knobs of a list: two halves of one name are one stop and two knobs.

    What stood there earlier is not counted. Manual keyboards are the divisions called so.

    >>> count_stops([DivisionProposal("GO", "manual", None, (StopProposal(1, "", "Flute", half="both"),))])
    {'stops': 1, 'knobs': 2, 'manuals': 1}
    """
    stops = knobs = 0
    for division in divisions:
        for stop in division.stops:
            if stop.state == "earlier":
                continue
            knobs += 2 if stop.half == "both" else 1
            stops += not (stop.half == "treble" and "one stop, two knobs" in stop.reason)
    manuals = sum(division.kind == "manual" for division in divisions)
    return {"stops": stops, "knobs": knobs, "manuals": manuals}


def count_questions(divisions: Sequence[DivisionProposal], counts: Sequence[Count]) -> list[Question]:
    """Questions where a written sum differs from the list; differences are asked, never mended.

    >>> count_questions([], [Count(1, "stops", 3, 1, "3 stops")])[0].why
    '3 stops are stated; the list has 0'
    """
    found = count_stops(divisions)
    questions: list[Question] = []
    for line in dict.fromkeys(count.line for count in counts):
        for what in ("stops", "knobs", "manuals"):
            stated = [count for count in counts if count.line == line and count.what == what]
            if stated and all(count.value != found[what] for count in stated):
                values = " or ".join(str(count.value) for count in stated)
                why = say(
                    "%(values)s %(what)s are stated; the list has %(found)s",
                    values=values,
                    what=what,
                    found=found[what],
                )
                questions.append(Question(line, stated[0].column, stated[0].text, why, ()))
    return questions
