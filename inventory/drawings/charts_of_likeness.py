"""Charts of likeness: a clustered table of squares, and a flat map of points."""

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
from inventory.punctuation import in_figures

STEPS = (0.5, 0.65, 0.8, 0.95)
"""Likeness from which a square is one size larger."""
MARKS = ("circle", "square", "triangle", "diamond", "cross", "ring")


@dataclass(frozen=True)
class Point:
    """One instrument on a map: its number in the table beside, and the group its mark stands for."""

    number: int
    x: float
    y: float
    group: str


def likeness_squares(
    labels: Sequence[str],
    likeness: Sequence[Sequence[float]],
    title: str,
    *,
    prefix: str = "squares",
    narrow: bool = False,
) -> Drawing:
    """Draw a square for each pair, larger and darker the more alike; the size says it without the colour."""
    count = len(labels)
    width = 360.0 if narrow else 720.0
    room = 30.0 if narrow else min(max((text_width(one, 11) for one in labels), default=0.0) + 30, 260.0)
    cell = min((width - room - 10) / max(1, count), 24.0)
    top = 24.0
    sheet = Sheet(width, top + cell * count + 40, prefix)
    for row in range(count):
        y = top + row * cell
        if cell >= 8:
            label = f"{row + 1}" if narrow else f"{row + 1}  {labels[row]}"
            sheet.text(room - 6, y + cell * 0.5 + 4, shorten(label, 11, room - 8), 11, "end")
        if cell >= 14 or row % 5 == 4:
            sheet.text(room + (row + 0.5) * cell, top - 7, f"{row + 1}", 11, "middle", fill=SOFT)
        for column in range(count):
            x = room + column * cell
            size = sum(1 for step in STEPS if likeness[row][column] >= step)
            if row == column or size == 0:
                sheet.rect(x + cell * 0.42, y + cell * 0.42, cell * 0.16, cell * 0.16, fill=RULE)
                continue
            side = cell * (0.28 + 0.16 * size)
            sheet.rect(
                x + (cell - side) / 2, y + (cell - side) / 2, side, side,
                fill=SHARED_LINE if size >= 3 else SHARED, stroke=SHARED_LINE, stroke_width=0.6,
            )  # fmt: skip
    x, y = room, top + cell * count + 24
    for size, step in enumerate(STEPS, start=1):
        side = 15 * (0.28 + 0.16 * size)
        sheet.rect(x, y - side + 2, side, side, fill=SHARED_LINE if size >= 3 else SHARED, stroke=SHARED_LINE)
        words = _("from %(step)s") % {"step": in_figures(f"{step:.2f}")}
        sheet.text(x + side + 4, y, words, 11, fill=SOFT)
        x += side + text_width(words, 11) + 14
    told = _(
        "%(n)s instruments, ordered so that like stands beside like; nearest pairs are in the table beside."
    ) % {"n": count}
    caption = _(
        "Each square is a pair of instruments; the larger and darker, the more alike. Numbers as in the table."
    )
    return sheet.finish(title, told, caption)


def likeness_map(
    points: Sequence[Point], title: str, *, prefix: str = "map", narrow: bool = False
) -> Drawing:
    """Draw points on a flat map; groups are told apart by the shape of their mark."""
    width = 360.0 if narrow else 720.0
    groups = sorted({point.group for point in points})
    tall = width * (0.9 if narrow else 0.62)
    lines = _legend_lines(groups, width)
    sheet = Sheet(width, tall + 18 * len(lines) + 14, prefix)
    xs, ys = [p.x for p in points] or [0.0], [p.y for p in points] or [0.0]
    span = max(max(xs) - min(xs), (max(ys) - min(ys)) * width / tall) or 1.0
    scale = (width - 70) / span
    middle_x, middle_y = (max(xs) + min(xs)) / 2, (max(ys) + min(ys)) / 2
    sheet.rect(1, 1, width - 2, tall - 2, fill="none", stroke=RULE)
    for point in points:
        x = width / 2 + (point.x - middle_x) * scale
        y = tall / 2 - (point.y - middle_y) * scale
        _mark(sheet, x, y, groups.index(point.group))
        sheet.text(x + 8, y + 4, f"{point.number}", 11)
    for row, line in enumerate(lines):
        x, y = 10.0, tall + 18 * (row + 1)
        for name in line:
            _mark(sheet, x + 4, y - 4, groups.index(name))
            sheet.text(x + 14, y, name, 11.5)
            x += text_width(name, 11.5) + 30
    told = _("%(n)s instruments as points; near means alike. Marks: %(groups)s.") % {
        "n": len(points),
        "groups": ", ".join(f"{name} {MARKS[k % len(MARKS)]}" for k, name in enumerate(groups)),
    }
    caption = _("Near means alike. The axes have no meaning of their own. Numbers as in the table beside.")
    return sheet.finish(title, told, caption)


def _legend_lines(names: Sequence[str], width: float) -> list[list[str]]:
    lines: list[list[str]] = [[]]
    used = 10.0
    for name in names:
        wide = text_width(name, 11.5) + 30
        if used + wide > width and lines[-1]:
            lines.append([])
            used = 10.0
        lines[-1].append(name)
        used += wide
    return lines


def _mark(sheet: Sheet, x: float, y: float, kind: int) -> None:
    shape = MARKS[kind % len(MARKS)]
    look: dict[str, str | float | None] = {"fill": SHARED_LINE, "stroke": INK, "stroke_width": 0.7}
    if shape == "circle":
        sheet.circle(x, y, 4.2, **look)
    elif shape == "square":
        sheet.rect(x - 4, y - 4, 8, 8, **look)
    elif shape == "triangle":
        sheet.polygon([(x, y - 5), (x + 5, y + 4), (x - 5, y + 4)], **look)
    elif shape == "diamond":
        sheet.polygon([(x, y - 5.5), (x + 5.5, y), (x, y + 5.5), (x - 5.5, y)], **look)
    elif shape == "cross":
        sheet.path(["M", x - 4, y - 4, "L", x + 4, y + 4, "M", x - 4, y + 4, "L", x + 4, y - 4],
                   stroke=INK, stroke_width=2)  # fmt: skip
    else:
        sheet.circle(x, y, 4.2, fill=PAPER, stroke=INK, stroke_width=1.4)
