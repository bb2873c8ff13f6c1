"""The sheet a section stands on: its words led to their points at the sides, or numbered below where it is narrow."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager

from inventory.drawings.section_parts import (
    BOTTOM,
    LEFT,
    PIPES_AT,
    RIGHT,
    Point,
    SectionPipe,
    draw_pipe,
)
from inventory.drawings.svg import INK, PAPER, SOFT, Sheet, clean, wrap

_SCALE = 0.76
MIDDLE = (LEFT + RIGHT) / 2
Label = tuple[str, Point, str]
"""Words, the point they speak of, and the side they stand on."""


@contextmanager
def labelled_sheet(labels: Sequence[Label], prefix: str, *, narrow: bool) -> Iterator[Sheet]:
    """A sheet to draw a section on; its labels are set when the drawing is done, over everything else."""
    if narrow:
        notes = [wrap(words, 12, 300) for words, _target, _side in labels]
        foot = BOTTOM * _SCALE + 16
        sheet = Sheet(360, foot + sum(15 * len(lines) + 5 for lines in notes) + 4, prefix)
        sheet.open_group(transform=f"translate({180 - MIDDLE * _SCALE:.1f} 4) scale({_SCALE})")
        yield sheet
        _lead_labels(sheet, [([str(n)], *label[1:]) for n, label in enumerate(labels, start=1)], 15, 15)
        sheet.close_group()
        _list_notes(sheet, notes, foot)
        return
    sheet = Sheet(900, BOTTOM + 12, prefix)
    sheet.open_group(transform="translate(4 4)")
    yield sheet
    _lead_labels(sheet, [(wrap(words, 12.5, 204), target, side) for words, target, side in labels], 36, 12.5)
    sheet.close_group()


def draw_middle_pipe(sheet: Sheet, pipe: SectionPipe, speaks: bool) -> None:
    """The only pipe of a section, in its middle."""
    sheet.open_group(transform=f"translate({MIDDLE - PIPES_AT[0]:.0f} 0)")
    draw_pipe(sheet, 0, pipe, speaks)
    sheet.close_group()


def _lead_labels(
    sheet: Sheet, labels: Sequence[tuple[list[str], Point, str]], away: float, size: float
) -> None:
    """Set labels in two columns beside the chest, none on another, with thin leaders."""
    line_height, between = size * 1.24, size * 0.72
    for side in ("left", "right"):
        outward = -1 if side == "left" else 1
        edge = (LEFT if side == "left" else RIGHT) + outward * away
        blocks = [(lines, target) for lines, target, where in labels if where == side]
        heights = [line_height * len(lines) + between for lines, _target in blocks]
        tops = _spread(
            [y - (tall - between) / 2 for (_l, (_x, y)), tall in zip(blocks, heights, strict=True)], heights
        )
        over = max(0.0, tops[-1] + heights[-1] - between - BOTTOM - 2)
        tops = _spread([top - over * top / tops[-1] for top in tops], heights) if over else tops
        for top, (lines, (x, target_y)) in zip(tops, blocks, strict=True):
            middle = top + line_height * len(lines) / 2
            knee = edge - outward * min(away - 6, 18)
            leader = ["M", edge - outward * 5, middle, "L", knee, middle, "L", x, target_y]
            sheet.path(leader, stroke=PAPER, stroke_width=2.4, stroke_opacity="0.8")
            sheet.path(leader, stroke=INK, stroke_width=0.7)
            sheet.circle(x, target_y, 1.9, fill=INK, stroke=PAPER, stroke_width=0.8)
            for row, line in enumerate(lines):
                anchor = "end" if side == "left" else "start"
                baseline = top + line_height * (row + 0.78)
                sheet.add(
                    "text", clean(line), x=edge, y=baseline, font_size=size, text_anchor=anchor, fill=INK
                )


def _spread(wanted: Sequence[float], heights: Sequence[float]) -> list[float]:
    """Move blocks of a column as little as may be until none lies on another."""
    clusters: list[tuple[float, list[int]]] = []
    for place, top in enumerate(wanted):
        start, members = top, [place]
        while clusters and clusters[-1][0] + sum(heights[m] for m in clusters[-1][1]) > start:
            members = clusters.pop()[1] + members
            offsets = [sum(heights[m] for m in members[:n]) for n in range(len(members))]
            start = sum(wanted[m] - o for m, o in zip(members, offsets, strict=True)) / len(members)
        clusters.append((max(start, 2.0), members))
    tops = []
    for start, members in clusters:
        for member in members:
            tops.append(start)
            start += heights[member]
    return tops


def _list_notes(sheet: Sheet, notes: Sequence[list[str]], y: float) -> None:
    """The numbered words below a narrow section."""
    y += 14
    for place, lines in enumerate(notes, start=1):
        sheet.text(32, y, str(place), 12, "end", fill=SOFT)
        for line in lines:
            sheet.text(42, y, line, 12)
            y += 15
        y += 5
