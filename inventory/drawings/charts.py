"""Charts of the catalogue's statistics; the table with the same figures stands beside them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.svg import (
    INK,
    PAPER,
    RULE,
    SHARED,
    SHARED_LINE,
    SOFT,
    Drawing,
    Sheet,
    shorten,
    text_width,
)
from inventory.punctuation import in_figures, labelled, semicolons

_EDGE = 14.0


@dataclass(frozen=True)
class ShareRow:
    """One share with its interval: all as fractions from 0 to 1, with its count and denominator."""

    label: str
    share: float | None
    low: float | None
    high: float | None
    count: int
    of: int
    small: bool = False
    """A group too small to be ranked."""


@dataclass(frozen=True)
class Panel:
    """One small chart of a set: its bars as (label, value)."""

    title: str
    bars: Sequence[tuple[str, float]]
    note: str = ""


def share_bars(
    rows: Sequence[ShareRow], title: str, *, prefix: str = "shares", narrow: bool = False, note: str = ""
) -> Drawing:
    """Draw a bar for each share with its interval as a whisker, and n of the denominator."""
    for row in rows:
        for value in (row.share, row.low, row.high):
            if value is not None and not 0 <= value <= 1:
                raise ValueError(f"{row.label}: {value} is not a share; give fractions from 0 to 1")
    width = 360.0 if narrow else 720.0
    size = 12.5
    counts = [_("%(count)d of %(of)d") % {"count": row.count, "of": row.of} for row in rows]
    count_room = max((text_width(c, 11.5) for c in counts), default=0.0) + 12
    label_room = 0.0
    if not narrow:
        label_room = min(max((text_width(r.label, size) for r in rows), default=0.0) + 14, 230.0)
    left, right = _EDGE + label_room, width - _EDGE - count_room
    pitch, bar_drop = (42.0, 17.0) if narrow else (27.0, 3.0)
    foot = 12 + pitch * max(len(rows), 1)
    sheet = Sheet(width, foot + 30, prefix)
    hatch = sheet.hatch("small", SHARED_LINE, PAPER, step=4)
    for tick in (0, 0.25, 0.5, 0.75, 1):
        x = left + tick * (right - left)
        sheet.line(x, 8, x, foot, stroke=RULE, stroke_width=0.8)
        if not narrow or tick in (0, 0.5, 1):
            sheet.text(x, foot + 16, f"{tick * 100:g} %", 11.5, "middle", fill=SOFT)
    for place, (row, counted) in enumerate(zip(rows, counts, strict=True)):
        y = 12 + pitch * place
        if narrow:
            sheet.text(left, y + 11, shorten(row.label, size, width - 2 * _EDGE), size)
        else:
            sheet.text(left - 10, y + 15, shorten(row.label, size, label_room - 10), size, "end")
        top = y + bar_drop
        sheet.text(width - _EDGE, top + 12.5, counted, 11.5, "end", fill=SOFT)
        if row.share is None:
            sheet.text(left + 6, top + 12.5, _("no figure"), 11.5, fill=SOFT, font_style="italic")
            continue
        long = row.share * (right - left)
        if long > 0:
            sheet.rect(
                left, top, long, 16, fill=hatch if row.small else SHARED, stroke=SHARED_LINE, stroke_width=0.9,
                stroke_dasharray="2 2" if row.small else None,
            )  # fmt: skip
        if row.low is not None and row.high is not None:
            _draw_whisker(sheet, left + row.low * (right - left), left + row.high * (right - left), top + 8)
    caption = note or _("Whiskers: 95 % interval. Beside each bar: how many of how many.")
    if any(row.small for row in rows):
        caption += " " + _("Hatched bars with broken outline: groups too small to be ranked.")
    told = []
    for row, counted in zip(rows, counts, strict=True):
        said = _("no figure") if row.share is None else f"{row.share * 100:.0f} %"
        if row.share is not None and row.low is not None and row.high is not None:
            said += f" ({row.low * 100:.0f}–{row.high * 100:.0f} %)"
        told.append(labelled(row.label, f"{said}, {counted}"))
    return sheet.finish(title, semicolons(told) + ".", caption)


def small_multiples(
    panels: Sequence[Panel],
    title: str,
    *,
    unit: str = "",
    prefix: str = "panels",
    narrow: bool = False,
) -> Drawing:
    """Draw several bar charts on one scale, in a grid, so that they can be compared."""
    width = 360.0 if narrow else 720.0
    across = 1 if narrow else min(3, max(1, len(panels)))
    gap = 26.0
    each = (width - 2 * _EDGE - gap * (across - 1)) / across
    tall, plot = 166.0, 92.0
    most = max((value for panel in panels for _label, value in panel.bars), default=0.0)
    if any(value < 0 for panel in panels for _label, value in panel.bars):
        raise ValueError("a bar below zero cannot be drawn here; give counts or shares")
    sheet = Sheet(width, tall * max(1, -(-len(panels) // across)) + 6, prefix)
    for place, panel in enumerate(panels):
        x = _EDGE + (place % across) * (each + gap)
        y = tall * (place // across) + 18
        sheet.text(x, y, shorten(panel.title, 13, each), 13, font_weight="600")
        base = y + 24 + plot
        slot = each / max(1, len(panel.bars))
        widest = max((text_width(label, 11) for label, _value in panel.bars), default=0.0)
        every = max(1, -(-int(widest + 8) // max(1, int(slot))))
        for n, (label, value) in enumerate(panel.bars):
            high = 0.0 if most == 0 else value / most * plot
            middle = x + (n + 0.5) * slot
            bar = min(slot * 0.72, 34.0)
            if high > 0:
                sheet.rect(
                    middle - bar / 2,
                    base - high,
                    bar,
                    high,
                    fill=SHARED,
                    stroke=SHARED_LINE,
                    stroke_width=0.8,
                )
            if slot >= text_width(f"{value:g}", 11) + 2:
                sheet.text(middle, base - high - 4, in_figures(f"{value:g}"), 11, "middle", fill=SOFT)
            if n % every == 0:
                sheet.text(middle, base + 14, shorten(label, 11, slot * every - 2), 11, "middle")
        sheet.line(x, base, x + each, base, stroke=INK, stroke_width=0.9)
        if panel.note:
            sheet.text(x, base + 30, shorten(panel.note, 11, each), 11, fill=SOFT, font_style="italic")
    told = []
    for panel in panels:
        bars = ", ".join(f"{label} {in_figures(f'{value:g}')}" for label, value in panel.bars)
        told.append(labelled(panel.title, bars))
    caption = _("All panels share one scale.") + (f" {unit}" if unit else "")
    return sheet.finish(title, semicolons(told) + ".", caption)


def _draw_whisker(sheet: Sheet, low: float, high: float, y: float) -> None:
    # A pale stroke beneath keeps the whisker visible over the bar.
    sheet.line(low, y, high, y, stroke=PAPER, stroke_width=3.4)
    steps: list[str | float] = [
        "M",
        low,
        y - 4,
        "V",
        y + 4,
        "M",
        high,
        y - 4,
        "V",
        y + 4,
        "M",
        low,
        y,
        "H",
        high,
    ]
    sheet.path(steps, stroke=INK, stroke_width=1.3)
