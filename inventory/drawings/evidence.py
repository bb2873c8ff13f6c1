"""On what each line of a scheme rests, told by the line a drawing makes round it, and by a mark in doubt."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from typing import NamedTuple

from django.utils.translation import gettext as _

from inventory.drawings.svg import INK, PAPER, Sheet, text_width
from inventory.languages import say_once
from inventory.organ.schemes import Call


class Grounds(NamedTuple):
    """What kind of evidence a call rests on, and whether the record is certain of it."""

    evidence: str = ""
    """``seen``, ``sounded``, ``source``, ``inferred``; empty where nobody says."""
    certain: bool = True


Evidence = Mapping[Call, Grounds]
NOTHING_SAID: Evidence = {}
STRENGTH = ("seen", "sounded", "source", "inferred", "")
"""From what stands on the firmest ground to what nobody says."""
DASHES: Mapping[str, str | None] = {
    "seen": None,
    "sounded": "7 2 1.5 2",
    "source": "5 3",
    "inferred": "1.2 2.2",
    "": "1.2 2.2",
}
"""The line round a bar or slider; never colour alone."""
DOUBT = "?"


@say_once
def evidence_in_words(grounds: Grounds, short: bool = False) -> str:
    """The words that stand in a legend or, in short, beside a slider on a telephone."""
    words = (
        {
            "seen": _("seen"),
            "sounded": _("sounded"),
            "source": _("from a source"),
            "inferred": _("inferred"),
            "": _("not said"),
        }[grounds.evidence]
        if short
        else {
            "seen": _("seen with the board lifted"),
            "sounded": _("proved by playing"),
            "source": _("told by a source"),
            "inferred": _("inferred"),
            "": _("evidence not said"),
        }[grounds.evidence]
    )
    return words if grounds.certain else _("%(evidence)s, not certain") % {"evidence": words}


def weakest(found: Iterable[Grounds]) -> Grounds:
    """What a whole rests on when its parts rest on these: no more than the weakest of them."""
    listed = list(found)
    if not listed:
        return Grounds()
    kind = max((one.evidence for one in listed), key=STRENGTH.index)
    return Grounds(kind, all(one.certain for one in listed))


def by_grounds(evidence: Evidence, calls: Iterable[Call]) -> dict[Grounds, set[int]]:
    """The pipes of some calls by what they rest on; one asked twice takes the firmer ground."""
    firmest: dict[int, Grounds] = {}
    for call in calls:
        found = evidence.get(call, Grounds())
        other = firmest.get(call.pipe)
        if other is None or _order(found) < _order(other):
            firmest[call.pipe] = found
    grouped: dict[Grounds, set[int]] = {}
    for pipe, found in firmest.items():
        grouped.setdefault(found, set()).add(pipe)
    return dict(sorted(grouped.items(), key=lambda item: _order(item[0])))


def draw_doubt(sheet: Sheet, x: float, y: float) -> None:
    """The mark of what is not certain, legible on any ground."""
    sheet.text(x, y, DOUBT, 12, "middle", paint_order="stroke", stroke=PAPER, stroke_width=4.0)


def height_of_legend(found: Collection[Grounds], width: float) -> float:
    """Room the legend of these needs on a sheet of this width."""
    return 18.0 * len(_lines(found, width)) + 4 if found else 0.0


def draw_legend(sheet: Sheet, found: Collection[Grounds], y: float) -> None:
    """A piece of each line with its words, in rows from `y` down."""
    for line in _lines(found, sheet.width):
        x = 14.0
        for grounds, need in line:
            sheet.rect(
                x, y - 8, 24, 8, fill="none", stroke=INK, stroke_width=1.2,
                stroke_dasharray=DASHES[grounds.evidence],
            )  # fmt: skip
            if not grounds.certain:
                draw_doubt(sheet, x + 12, y)
            sheet.text(x + 31, y, evidence_in_words(grounds), 12)
            x += need
        y += 18


def _lines(found: Collection[Grounds], width: float) -> list[list[tuple[Grounds, float]]]:
    lines: list[list[tuple[Grounds, float]]] = []
    room = 0.0
    for grounds in sorted(set(found), key=_order):
        need = 31 + text_width(evidence_in_words(grounds), 12) + 14
        if not lines or need > room:
            lines.append([])
            room = width - 28
        lines[-1].append((grounds, need))
        room -= need
    return lines


def _order(grounds: Grounds) -> tuple[int, bool]:
    return (STRENGTH.index(grounds.evidence), not grounds.certain)
