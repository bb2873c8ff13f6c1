"""The parts of a slider chest in section: wood, wind, leather and pipes, each drawn once."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from inventory.drawings.svg import (
    INK,
    LEATHER,
    METAL,
    PAPER,
    SLIDER,
    SLIDER_LINE,
    SOFT,
    WIND,
    WIND_LINE,
    WOOD,
    WOOD_LINE,
    Sheet,
)

Point = tuple[float, float]

LEFT, RIGHT, BOTTOM = 246.0, 646.0, 600.0
PIPES_AT = (LEFT + 100, RIGHT - 100)
MOUTH, BOARD_TOP, CAVITY_TOP, CAVITY_FLOOR = 168.0, 256.0, 268.0, 306.0
SLIDER_TOP, TABLE_TOP, CHANNEL_TOP, CHANNEL_BOTTOM = 358.0, 374.0, 391.0, 442.0
BOX_TOP, BOX_BOTTOM = 456.0, 566.0
WIRE = 546.0
_OFFSET = 34.0
_HALF_WAY = 8.0
_WALL = 12.0
_OPENING = (384.0, 560.0)
_HINGE = (374.0, BOX_TOP + 1)


@dataclass(frozen=True)
class SectionPipe:
    """One pipe of the section: the stop of this channel that calls it, and its other caller."""

    stop: str
    """Name of the stop whose slider stands under the pipe in this channel."""
    pipe: str
    """What the pipe is, such as ``pipe 25, c¹``."""
    drawn: bool = True
    twin: str | None = None
    """Stop and key whose channel reaches the same pipe, such as ``Octave 4′, key c``."""
    twin_blows: bool = False
    """Whether that other channel brings wind at this moment."""
    relative_length: float = 1.0
    """1 for the longer pipe, 0.5 for its octave."""


@dataclass(frozen=True)
class Plate:
    """The state of the section: what is drawn, pressed and flapped, and so where wind stands."""

    pipes: tuple[SectionPipe, SectionPipe]
    pressed: bool
    flaps: bool

    def from_twin(self, pipe: SectionPipe) -> bool:
        """Whether the other channel brings wind to the pipe."""
        return pipe.twin is not None and pipe.twin_blows

    @property
    def channel_blown(self) -> bool:
        """Whether this channel holds wind: through its pallet, or back through a hole without a flap."""
        back = not self.flaps and any(p.drawn and self.from_twin(p) for p in self.pipes)
        return self.pressed or back

    def from_channel(self, pipe: SectionPipe) -> bool:
        """Whether wind comes up through this channel's own slider."""
        return self.channel_blown and pipe.drawn

    def blown(self, pipe: SectionPipe) -> bool:
        """Whether the pipe speaks."""
        return self.from_channel(pipe) or self.from_twin(pipe)

    def groove_blown(self, pipe: SectionPipe) -> bool:
        """Whether the groove to the other channel holds wind, from there or back into it."""
        return self.from_twin(pipe) or (not self.flaps and pipe.twin is not None and self.blown(pipe))


def own_hole(place: int) -> float:
    """Where this channel's hole stands: towards the middle of the plate."""
    return PIPES_AT[place] + (_OFFSET if place == 0 else -_OFFSET)


def twin_hole(place: int) -> float:
    """Where the other channel's hole stands: towards the edge of the plate."""
    return PIPES_AT[place] + (-_OFFSET if place == 0 else _OFFSET)


def flap_point(place: int, own: bool, lifted: bool) -> Point:
    """A point on a flap, for a leader."""
    hole = own_hole(place) if own else twin_hole(place)
    away = 1 if hole > PIPES_AT[place] else -1
    return (hole + away * 3, CAVITY_FLOOR - 15) if lifted else (hole, CAVITY_FLOOR - 2)


def pallet_point(pressed: bool) -> Point:
    """A point on the pallet, for a leader."""
    return (WIRE + 12, BOX_TOP + (36 if pressed else 10))


def draw_chest(sheet: Sheet, plate: Plate) -> None:
    """Draw the wood of the chest, every hollow in it full or empty, then leather and metal."""
    wood = sheet.hatch("wood", WOOD_LINE, WOOD, step=6, angle=45, weight=0.6)
    cross = sheet.hatch("bearer", WOOD_LINE, WOOD, step=4, angle=-45, weight=0.6)
    slider = sheet.hatch("slider", SLIDER_LINE, SLIDER, step=3, angle=0, weight=0.6)
    wind = sheet.dots("wind", WIND_LINE, WIND, 7)

    def fill(full: bool) -> str:
        return wind if full else PAPER

    def plank(x: float, y: float, right: float, bottom: float, paint: str = wood) -> None:
        sheet.rect(x, y, right - x, bottom - y, fill=paint, stroke=INK, stroke_width=1.1)

    def hollow(x: float, y: float, right: float, bottom: float, full: bool) -> None:
        sheet.rect(x, y, right - x, bottom - y, fill=fill(full))
        # The grain of wind meets wood in a line on both sides; the ends stay open.
        sheet.path(["M", x, y, "V", bottom, "M", right, y, "V", bottom], stroke=INK, stroke_width=1)

    plank(LEFT, BOX_TOP - 14, RIGHT, BOX_BOTTOM + _WALL)
    plank(LEFT, CHANNEL_TOP, RIGHT, BOX_TOP)
    plank(LEFT, TABLE_TOP, RIGHT, CHANNEL_TOP)
    plank(LEFT, SLIDER_TOP, RIGHT, TABLE_TOP, cross)
    plank(LEFT, CAVITY_TOP, RIGHT, SLIDER_TOP)
    plank(LEFT, BOARD_TOP, RIGHT, CAVITY_TOP)
    inner, outer = LEFT + _WALL, RIGHT - _WALL
    sheet.rect(inner, BOX_TOP, outer - inner, BOX_BOTTOM - BOX_TOP, fill=wind, stroke=INK, stroke_width=1.1)
    sheet.rect(
        inner, CHANNEL_TOP, outer - inner, CHANNEL_BOTTOM - CHANNEL_TOP,
        fill=fill(plate.channel_blown), stroke=INK, stroke_width=1.1,
    )  # fmt: skip
    hollow(_OPENING[0], CHANNEL_BOTTOM - 0.5, _OPENING[1], BOX_TOP + 0.5, plate.channel_blown)
    for place, pipe in enumerate(plate.pipes):
        x, own, twin = PIPES_AT[place], own_hole(place), twin_hole(place)
        sheet.rect(
            x - 58,
            CAVITY_TOP,
            116,
            CAVITY_FLOOR - CAVITY_TOP,
            fill=fill(plate.blown(pipe)),
            stroke=INK,
            stroke_width=1.1,
        )
        hollow(own - _HALF_WAY, CAVITY_FLOOR - 0.5, own + _HALF_WAY, SLIDER_TOP, plate.from_channel(pipe))
        plank(own - 36, SLIDER_TOP, own + 36, TABLE_TOP, slider)
        if pipe.drawn:
            hollow(own - _HALF_WAY, SLIDER_TOP - 0.5, own + _HALF_WAY, TABLE_TOP + 0.5, plate.channel_blown)
        hollow(own - _HALF_WAY, TABLE_TOP, own + _HALF_WAY, CHANNEL_TOP + 0.5, plate.channel_blown)
        if pipe.twin:
            full = plate.groove_blown(pipe)
            hollow(twin - _HALF_WAY, CAVITY_FLOOR - 0.5, twin + _HALF_WAY, 334, full)
            sheet.circle(twin, 338, 11, fill=fill(full), stroke=INK, stroke_width=1.1)
            sheet.circle(twin, 338, 2, fill=INK if full else PAPER, stroke=INK, stroke_width=0.9)
            sheet.rect(twin - _HALF_WAY + 0.5, 322, 2 * _HALF_WAY - 1, 8, fill=fill(full))
        hollow(x - 6, BOARD_TOP - 0.5, x + 6, CAVITY_TOP + 0.5, plate.blown(pipe))
        if plate.flaps and pipe.twin:
            draw_flap(sheet, own, 1 if own > x else -1, plate.from_channel(pipe))
            draw_flap(sheet, twin, 1 if twin > x else -1, plate.from_twin(pipe))
    _draw_pallet(sheet, plate.pressed)
    _draw_arrows(sheet, plate)


def draw_flap(sheet: Sheet, hole: float, away: int, lifted: bool) -> None:
    """Draw a strip of leather glued at its outer end, lying on the hole or blown up off it."""
    glued, free, y = hole + away * 18, hole - away * 14, CAVITY_FLOOR
    sheet.line(glued + away * 4, y - 1.8, glued - away * 4, y - 1.8, stroke=LEATHER, stroke_width=3.6)
    if lifted:
        steps: list[str | float] = ["M", glued, y - 1.8, "Q", hole + away * 8, y - 5, hole - away * 6, y - 29]
    else:
        steps = ["M", glued, y - 1.8, "H", free]
    sheet.path(steps, stroke=LEATHER, stroke_width=3.6)


def _draw_pallet(sheet: Sheet, pressed: bool) -> None:
    x, y = _HINGE
    angle = 9.0 if pressed else 0.0
    turn = f"rotate({angle:.0f} {x:.0f} {y:.0f})" if pressed else None
    drop = math.tan(math.radians(angle))
    spring_y = y + 22 + (482 - x) * drop
    sheet.path(
        ["M", 482, spring_y, "L", 424, 520, "C", 404, 534, 410, 552, 426, 545]
        + ["C", 440, 538, 428, 522, 412, 532]
        + ["M", 412, 532, "C", 404, 538, 408, 548, 424, 552, "L", 482, BOX_BOTTOM - 3],
        stroke=INK, stroke_width=1.5,
    )  # fmt: skip
    sheet.open_group(transform=turn)
    sheet.polygon(
        [(x, y + 3), (570, y + 3), (570, y + 11), (522, y + 23), (x + 46, y + 23), (x, y + 11)],
        fill=sheet.hatch("wood"), stroke=INK, stroke_width=1.1,
    )  # fmt: skip
    sheet.line(x - 6, y + 1.6, 570, y + 1.6, stroke=LEATHER, stroke_width=3.2)
    sheet.close_group()
    eye = y + 14 + (WIRE - x) * drop
    sheet.line(WIRE, eye, WIRE, BOTTOM - 4, stroke_width=1.4)
    sheet.circle(WIRE, eye, 3, fill=PAPER, stroke=INK, stroke_width=1.1)
    sheet.rect(WIRE - 14, BOX_BOTTOM + _WALL, 28, 3, fill=METAL, stroke=INK, stroke_width=0.8)
    if pressed:
        sheet.polygon([(WIRE - 4, BOTTOM - 10), (WIRE + 4, BOTTOM - 10), (WIRE, BOTTOM - 1)], fill=INK)


def draw_arrow(sheet: Sheet, points: Sequence[Point]) -> None:
    (x0, y0), (x, y) = points[-2], points[-1]
    angle = math.atan2(y - y0, x - x0)
    steps: list[str | float] = ["M", *points[0]]
    for point in points[1:]:
        steps += ["L", *point]
    sheet.path(steps, stroke=WIND_LINE, stroke_width=1.6, stroke_linejoin="round")
    head = [(x + 2 * math.cos(angle), y + 2 * math.sin(angle))]
    for turn in (2.65, -2.65):
        head.append((x + 7 * math.cos(angle + turn), y + 7 * math.sin(angle + turn)))
    sheet.polygon(head, fill=WIND_LINE)


def _draw_arrows(sheet: Sheet, plate: Plate) -> None:
    if plate.pressed:
        draw_arrow(sheet, [(612, 540), (590, 520), (583, 490), (556, 466), (532, 440), (508, 424)])
    for place, pipe in enumerate(plate.pipes):
        x, own, twin = PIPES_AT[place], own_hole(place), twin_hole(place)
        inward = -1 if place == 0 else 1
        if plate.from_channel(pipe):
            back = not plate.pressed and plate.from_twin(pipe)
            if back:
                draw_arrow(sheet, [(own, CAVITY_FLOOR + 12), (own, SLIDER_TOP - 8)])
                draw_arrow(sheet, [(own, TABLE_TOP + 4), (own, 408), (own - inward * 30, 418)])
            else:
                start = (468.0, 418.0) if place == 0 else (486.0, 412.0)
                draw_arrow(sheet, [start, (own - inward * 6, 412), (own, 402), (own, 384)])
                draw_arrow(sheet, [(own, SLIDER_TOP - 4), (own, 322)])
        if plate.from_twin(pipe):
            draw_arrow(sheet, [(twin, 330), (twin, 313)])
        elif plate.groove_blown(pipe):
            draw_arrow(sheet, [(twin, 309), (twin, 324)])
        if plate.blown(pipe):
            draw_arrow(sheet, [(x, CAVITY_FLOOR - 4), (x, BOARD_TOP + 8)])


def draw_pipe(sheet: Sheet, place: int, pipe: SectionPipe, speaks: bool) -> None:
    """Draw a pipe in view: foot in its hole, mouth, body; arcs at the mouth when it speaks."""
    x = PIPES_AT[place]
    half = 15 + 12 * min(max(pipe.relative_length, 0.1), 1.0)
    high = 40 + 200 * min(max(pipe.relative_length, 0.1), 1.0)
    top = max(MOUTH - high, 16.0)
    cut_off = MOUTH - high < 16
    sheet.polygon(
        [(x - half, MOUTH), (x + half, MOUTH), (x + 5, BOARD_TOP + 3), (x - 5, BOARD_TOP + 3)],
        fill=METAL, stroke=INK, stroke_width=1.1,
    )  # fmt: skip
    edge: list[str | float] = ["H", x + half]
    if cut_off:
        edge = ["C", x - half / 2, top - 9, x - half / 6, top + 8, x + half / 3, top - 1]
        edge += ["S", x + half * 0.8, top - 6, x + half, top + 2]
    sheet.path(
        ["M", x - half, MOUTH, "V", top, *edge, "V", MOUTH, "Z"], fill=METAL, stroke=INK, stroke_width=1.1
    )
    for part in (0.62, 0.76, 0.88):
        sheet.line(x + half * part, top + 8, x + half * part, MOUTH - 4, stroke=SOFT, stroke_width=0.4)
        sheet.line(
            x + half * part,
            MOUTH + 4,
            x + 4 + half * part * 0.12,
            BOARD_TOP - 24,
            stroke=SOFT,
            stroke_width=0.4,
        )
    lip = half * 0.62
    sheet.path(
        ["M", x - lip, MOUTH - 11, "L", x, MOUTH - 11 - half * 1.25, "L", x + lip, MOUTH - 11],
        stroke=INK,
        stroke_width=0.9,
    )
    sheet.path(
        ["M", x - lip, MOUTH, "Q", x, MOUTH + half * 1.3, x + lip, MOUTH], stroke=INK, stroke_width=0.9
    )
    sheet.rect(x - lip, MOUTH - 11, 2 * lip, 11, fill=INK)
    if speaks:
        side = 1 if place == 0 else -1
        for radius in (9, 16, 23):
            reach = x + side * (half + 4 + radius * 0.62)
            sheet.path(
                ["M", reach, MOUTH - 6 - radius * 0.62, "A", radius, radius, 0.0, "0"]
                + ["1" if side > 0 else "0", reach, MOUTH - 6 + radius * 0.62],
                stroke=WIND_LINE, stroke_width=1.2,
            )  # fmt: skip
