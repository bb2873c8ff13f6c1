"""A locator map: a coastline, and the grid cells in which instruments stand, never closer."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.drawings.svg import INK, PAPER, RULE, SHARED_LINE, SOFT, Drawing, Sheet, number, text_width
from inventory.punctuation import in_figures

__all__ = ["Cell", "Frame", "Place", "frame_of", "locator_map"]

Outline = Sequence[tuple[float, float]]
_SEA = "var(--sea, #eef3f4)"
_SEA_LINE = "var(--sea-line, #9fb6bd)"
_LAND = "var(--land, #fbf8f1)"


@dataclass(frozen=True)
class Cell:
    """One square of the public grid, by its lower left corner, in the map's unit."""

    x: float
    y: float
    size: float
    label: str = ""
    height: float | None = None
    """To the north; None where it is as high as it is wide."""

    @property
    def tall(self) -> float:
        """How far it reaches to the north."""
        return self.size if self.height is None else self.height


@dataclass(frozen=True)
class Place:
    """A name on the map, such as an island's."""

    x: float
    y: float
    name: str


@dataclass(frozen=True)
class Frame:
    """Where the map's unit lies on the sheet."""

    west: float
    south: float
    east: float
    north: float
    width: float

    @property
    def span(self) -> float:
        """What the sheet's width shows, but for its margins."""
        return max(self.east - self.west, (self.north - self.south) * 0.8, 1e-6)

    @property
    def margin(self) -> float:
        """Sea left free on every side."""
        return self.span * 0.09

    @property
    def scale(self) -> float:
        """Points of the sheet for one unit."""
        return self.width / (self.span + 2 * self.margin)

    @property
    def height(self) -> float:
        """Of the sheet; its foot is kept for the scale."""
        return (self.north - self.south + 2 * self.margin) * self.scale + 44

    def at(self, x: float, y: float) -> tuple[float, float]:
        """A point of the map on the sheet."""
        middle = (self.west + self.east) / 2
        return (x - middle) * self.scale + self.width / 2, (self.north + self.margin - y) * self.scale


def frame_of(coast: Sequence[Outline], cells: Sequence[Cell] = (), width: float = 720) -> Frame:
    """The frame that holds a coast and cells."""
    points = [point for outline in coast for point in outline]
    points += [(c.x, c.y) for c in cells] + [(c.x + c.size, c.y + c.tall) for c in cells]
    if not points:
        raise ValueError("nothing to draw: give at least one outline of the coast or one cell")
    xs, ys = [x for x, _y in points], [y for _x, y in points]
    return Frame(min(xs), min(ys), max(xs), max(ys), width)


def locator_map(
    coast: Sequence[Outline],
    cells: Sequence[Cell],
    *,
    places: Sequence[Place] = (),
    unit: str = "km",
    grid: float | tuple[float, float] | None = None,
    title: str = "",
    prefix: str = "map",
    width: float = 720,
) -> Drawing:
    """Draw the coast (polygons in `unit`, y to the north) with the cells marked on it."""
    frame = frame_of(coast, cells, width)
    west, south, east, north = frame.west, frame.south, frame.east, frame.north
    span, margin, scale, height, at = frame.span, frame.margin, frame.scale, frame.height, frame.at

    sheet = Sheet(width, height, prefix)
    sheet.rect(0.5, 0.5, width - 1, height - 1, fill=_SEA, stroke=RULE, stroke_width=1)
    # The land is written once and used for every line round it: written each time it would be most of the page.
    land = _outline_path([[at(x, y) for x, y in outline] for outline in coast])
    sheet.add("defs", f'<path id="{prefix}-land" d="{land}" stroke-linejoin="round"/>')
    # Lines of water round the land, as engravers drew them: wide strokes under narrower ones.
    for reach in (15.0, 9.5, 4.5):
        for ink, wide in ((_SEA_LINE, 2 * reach + 0.9), (_SEA, 2 * reach - 0.3)):
            sheet.add("use", href=f"#{prefix}-land", fill="none", stroke=ink, stroke_width=wide)
    sheet.add("use", href=f"#{prefix}-land", fill=_LAND, stroke=INK, stroke_width=1.1)
    steps = grid or ((cells[0].size, cells[0].tall) if cells else 0.0)
    step = steps if isinstance(steps, tuple) else (steps, steps)
    if min(step) * scale >= 4:
        _draw_grid(
            sheet, at, step, (west - margin, south - margin, east + margin, north + margin), height - 44
        )
    hatch = sheet.hatch("cell", SHARED_LINE, step=4, weight=1.2)
    for cell in cells:
        x, y = at(cell.x, cell.y + cell.tall)
        sheet.rect(
            x, y, cell.size * scale, cell.tall * scale, fill=hatch, stroke=SHARED_LINE, stroke_width=1.6
        )
    for place in places:
        x, y = at(place.x, place.y)
        _halo(sheet, x, y, place.name, 12.5, "middle", italic=True)
    for cell in cells:
        if cell.label:
            x, y = at(cell.x + cell.size, cell.y + cell.tall / 2)
            fits = x + 6 + text_width(cell.label, 12.5) < width - 4
            left = at(cell.x, 0)[0]
            _halo(sheet, x + 6 if fits else left - 6, y + 4, cell.label, 12.5, "start" if fits else "end")
    _draw_scale(sheet, scale, unit, span, height)
    sheet.path(
        ["M", width - 26, height - 14, "V", height - 38, "M", width - 30, height - 31, "L", width - 26, height - 39]
        + ["L", width - 22, height - 31],
        stroke=INK, stroke_width=1.2,
    )  # fmt: skip
    sheet.text(width - 36, height - 18, _("N"), 12, "end", fill=SOFT)
    title = title or _("Where it stands, to the nearest grid cell")
    description = ngettext("%d grid cell is marked.", "%d grid cells are marked.", len(cells)) % len(cells)
    labelled = [c.label for c in cells if c.label]
    if labelled:
        description += " " + ", ".join(labelled) + "."
    caption = ""
    if cells:
        size = in_figures(f"{cells[0].size:g} {unit}")
        caption = _("Each square is a grid cell of %s; the exact place is not shown.") % size
    return sheet.finish(title, description, caption)


def _outline_path(lands: Sequence[Outline]) -> str:
    """Closed outlines as one path, in steps from point to point; a step too small to be seen is left out."""
    parts = []
    for outline in lands:
        x, y = (round(10 * value) for value in outline[0])
        parts.append(f"M{number(x / 10)} {number(y / 10)}l")
        for point in outline[1:]:
            to_x, to_y = (round(10 * value) for value in point)
            if abs(to_x - x) + abs(to_y - y) >= _SMALLEST_STEP:
                across, down = number((to_x - x) / 10), number((to_y - y) / 10)
                parts.append(f"{across}{'' if down.startswith('-') else ' '}{down} ")
                x, y = to_x, to_y
        parts.append("z")
    return "".join(parts).replace(" z", "z")


_SMALLEST_STEP = 12
"""Tenths of a point of the sheet."""


def _draw_grid(
    sheet: Sheet,
    at: object,
    step: tuple[float, float],
    bounds: tuple[float, float, float, float],
    foot: float,
) -> None:
    assert callable(at)
    west, south, east, north = bounds
    steps: list[str | float] = []
    across, up = step
    for n in range(int(west // across) + 1, int(east // across) + 1):
        steps += ["M", at(n * across, 0)[0], 1.0, "V", foot]
    for n in range(int(south // up) + 1, int(north // up) + 1):
        steps += ["M", 1.0, at(0, n * up)[1], "H", sheet.width - 1]
    if steps:
        sheet.path(steps, stroke=SOFT, stroke_width=0.4, stroke_opacity="0.35")


def _halo(
    sheet: Sheet, x: float, y: float, words: str, size: float, anchor: str, italic: bool = False
) -> None:
    sheet.text(
        x, y, words, size, anchor, font_style="italic" if italic else None, fill=SOFT if italic else INK,
        paint_order="stroke", stroke=PAPER, stroke_width=3, stroke_linejoin="round",
    )  # fmt: skip


def _draw_scale(sheet: Sheet, scale: float, unit: str, span: float, height: float) -> None:
    step = next(s * 10**power for power in range(-6, 9) for s in (1, 2, 5) if s * 10**power >= span / 8)
    x, y, long = 18.0, height - 18, step * scale
    sheet.rect(x, y, long / 2, 5, fill=INK, stroke=INK, stroke_width=0.8)
    sheet.rect(x + long / 2, y, long / 2, 5, fill=PAPER, stroke=INK, stroke_width=0.8)
    sheet.text(x, y - 6, "0", 11.5)
    sheet.text(x + long, y - 6, in_figures(f"{step:g} {unit}"), 11.5, "middle")
