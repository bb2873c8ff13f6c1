"""The wind's way in one trial, drawn upright as in a chest, with the suspected part marked.

Wind comes from below. A space is a box, filled where wind stands in it, hatched where only a
murmur comes; a gate is a bar across the way. Everything is said in words beside it as well.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from django.utils.translation import gettext as _

from inventory.drawings.svg import (
    INK,
    LEATHER,
    PAPER,
    RULE,
    SHARED_LINE,
    SOFT,
    WIND,
    WIND_LINE,
    Drawing,
    Sheet,
    wrap,
)
from inventory.organ.nets import FAINT, LOUD, NONE
from inventory.organ.winds_way import Step, Way
from inventory.punctuation import semicolons

_PITCH, _TOP, _SIZE = 48.0, 12.0, 12.5
Words = Callable[[str], str]


def winds_way_drawing(
    ways: Sequence[Way], words: Words, title: str, *, prefix: str = "way", narrow: bool = False
) -> Drawing:
    """Draw each way as a ladder; `words` tells a part of the exchange format."""
    across = 1 if narrow else min(2, max(1, len(ways)))
    each = 320.0 if narrow else 360.0
    width = each * across
    rows = [ways[n : n + across] for n in range(0, len(ways), across)]
    heights = [_TOP + _PITCH * max(len(way.steps) for way in row) + 18 for row in rows]
    sheet = Sheet(width, max(40.0, sum(heights) + 6), prefix)
    faint = sheet.hatch("murmur", WIND_LINE, PAPER, step=4, angle=0)
    marked = sheet.hatch("suspect", SHARED_LINE, PAPER, step=4)
    top, told = 0.0, []
    for row, height in zip(rows, heights, strict=True):
        for place, way in enumerate(row):
            _draw_way(sheet, way, words, each * place, each, top + height - 18, faint, marked)
            told.append(_tell(way, words))
        top += height
    caption = _(
        "From below upwards: boxes are spaces, bars are valves and sliders. Filled: wind. Hatched across: a murmur. "
        "Empty: no wind. Slanting hatch and bold words: the suspected part."
    )
    return sheet.finish(title, " ".join(told) or _("No pipe sounds differently in this trial."), caption)


def state_words(step: Step) -> str:
    """What happens at one step, in a word or two."""
    if step.fails:
        return {
            "shut": _("suspected: does not open"),
            "open": _("suspected: does not close"),
            "slight": _("suspected: closes badly"),
            "dead": _("suspected: holds no wind or does not speak"),
            "runs": _("suspected: wind runs across"),
        }[step.fails]
    if step.is_gate:
        return {LOUD: _("lets wind through"), FAINT: _("lets a little through"), NONE: _("no wind comes")}[
            step.level
        ]
    return {LOUD: _("wind"), FAINT: _("a murmur of wind"), NONE: _("no wind")}[step.level]


def _tell(way: Way, words: Words) -> str:
    steps = semicolons(
        _("%(part)s: %(state)s") % {"part": words(step.part), "state": state_words(step)}
        for step in way.steps
    )
    return steps + "."


def _draw_way(
    sheet: Sheet, way: Way, words: Words, left: float, each: float, foot: float, faint: str, marked: str
) -> None:
    middle, room = left + 34, each - 74
    for place, step in enumerate(way.steps):
        y = foot - _PITCH * (place + 0.5)
        if place:
            reached = step.level > NONE
            sheet.line(
                middle, y + _PITCH - 9, middle, y + 9,
                stroke=WIND_LINE if reached else RULE, stroke_width=3 if step.level == LOUD else 1.4,
                stroke_dasharray=None if step.level == LOUD else "4 3",
            )  # fmt: skip
        fill = marked if step.fails else {LOUD: WIND, FAINT: faint, NONE: PAPER}[step.level]
        edge = SHARED_LINE if step.fails else INK
        weight = 2.2 if step.fails else 1.0
        if step.is_gate:
            sheet.rect(middle - 20, y - 5, 40, 10, fill=marked if step.fails else LEATHER, stroke=edge,
                       stroke_width=weight, rx=4.0)  # fmt: skip
        else:
            sheet.rect(middle - 14, y - 10, 28, 20, fill=fill, stroke=edge, stroke_width=weight)
        _label(sheet, words(step.part), state_words(step), middle + 30, y, bool(step.fails), room)


def _label(sheet: Sheet, name: str, state: str, x: float, y: float, bold: bool, room: float) -> None:
    weight = "600" if bold else None
    lines = wrap(name, _SIZE, room)[:2]
    top = y - 2 if len(lines) == 1 else y - 10
    for place, line in enumerate(lines):
        sheet.text(x, top + 14 * place, line, _SIZE, font_weight=weight)
    sheet.text(x, top + 14 * len(lines), state, 11.0, fill=INK if bold else SOFT, font_weight=weight)
