"""The course of an instrument's condition at a glance: small charts over one scale of years, a point a visit.

A point is drawn only where a visit measured; between visits nobody looked, so points are joined
by a thin broken line and never by a curve. The recording level stands at each point as a number.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.svg import INK, PAPER, RULE, SOFT, WIND, WIND_LINE, Drawing, Sheet, shorten
from inventory.punctuation import labelled, semicolons

_TALL, _PLOT = 144.0, 62.0


@dataclass(frozen=True)
class Visit:
    """One value at one visit."""

    year: float
    """Year with its fraction."""
    value: float
    shown: str
    level: str
    """How deep the visit was, as a short mark."""


@dataclass(frozen=True)
class Line:
    """One measure over the visits; `low` and `high` are the ends of its scale."""

    title: str
    visits: Sequence[Visit]
    low: float
    high: float
    low_words: str = ""
    high_words: str = ""
    note: str = ""
    band: tuple[float, float] | None = None
    """A stretch of the scale worth knowing, shaded; its meaning stands in `note`."""


def course_drawing(
    lines: Sequence[Line], title: str, *, prefix: str = "course", narrow: bool = False
) -> Drawing:
    """Draw the measures as small multiples over the same years."""
    for line in lines:
        if not line.low < line.high or any(not line.low <= v.value <= line.high for v in line.visits):
            raise ValueError(f"{line.title}: a value lies outside {line.low} to {line.high}; widen the scale")
    width = 320.0 if narrow else 720.0
    across = 1 if narrow else 3
    each = (width - 28 - 30.0 * (across - 1)) / across
    years = [visit.year for line in lines for visit in line.visits]
    first, last = (min(years), max(years)) if years else (0.0, 0.0)
    sheet = Sheet(width, _TALL * max(1, -(-len(lines) // across)) + 4, prefix)
    told = []
    for place, line in enumerate(lines):
        x = 14 + (place % across) * (each + 30)
        _draw_line(sheet, line, x, _TALL * (place // across) + 18, each, first, last)
        values = ", ".join(f"{int(visit.year)} {visit.shown}" for visit in line.visits)
        told.append(labelled(line.title, values or _("not measured")))
    caption = _(
        "A point for each visit that measured it; between visits nobody looked. Small figures under the "
        "years: recording level of the visit. The table beside has every value."
    )
    return sheet.finish(title, semicolons(told) + ".", caption)


def _draw_line(sheet: Sheet, line: Line, x: float, y: float, each: float, first: float, last: float) -> None:
    sheet.text(x, y, shorten(line.title, 12.5, each), 12.5, font_weight="600")
    top, base = y + 22, y + 22 + _PLOT
    scale = _PLOT / (line.high - line.low)
    if line.band is not None:
        low, high = (base - (edge - line.low) * scale for edge in line.band)
        sheet.rect(x, high, each, low - high, fill=sheet.dots("band", SOFT, PAPER))
    sheet.line(x, base, x + each, base, stroke=INK, stroke_width=0.9)
    sheet.line(x, top, x + each, top, stroke=RULE, stroke_width=0.7)
    # The ends of the scale stand at the left, where the first point never comes.
    if line.high_words:
        sheet.text(x, top + 11, line.high_words, 11, fill=SOFT)
    if line.low_words:
        sheet.text(x, base - 3, line.low_words, 11, fill=SOFT)
    if not line.visits:
        sheet.text(x + 4, base - 24, _("not measured"), 11, fill=SOFT, font_style="italic")
        return
    room = each - 76
    points = []
    for visit in line.visits:
        part = 0.5 if last == first else (visit.year - first) / (last - first)
        points.append((x + 52 + part * room, base - (visit.value - line.low) * scale, visit))
    steps: list[str | float] = []
    for place, (px, py, _visit) in enumerate(points):
        steps += ["M" if place == 0 else "L", px, py]
    sheet.path(steps, stroke=WIND_LINE, stroke_width=1, stroke_dasharray="3 3")
    before = -99.0
    for px, py, visit in points:
        sheet.circle(px, py, 4, fill=WIND, stroke=WIND_LINE, stroke_width=1.6)
        sheet.text(px, py - 8 if py - 8 > top + 10 else py + 17, visit.shown, 11, "middle")
        if px - before >= 34:
            sheet.text(px, base + 14, f"{int(visit.year)}", 11, "middle", fill=SOFT)
            sheet.text(px, base + 26, visit.level, 11, "middle", fill=SOFT)
            before = px
    if line.note:
        sheet.text(x, y + 13, shorten(line.note, 11, each), 11, fill=SOFT, font_style="italic")
