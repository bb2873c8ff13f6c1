"""A section through a chest of stop channels: how two cones, in two channels, reach one pipe.

Each stop has a channel of its own that runs the length of the chest and is full of wind
while the stop is drawn. Each key lifts one cone in every channel. The section is cut at one
pipe that two stops call: it shows a cone of each, lifted by its own key.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.section_parts import (
    BOARD_TOP,
    CAVITY_FLOOR,
    CAVITY_TOP,
    LEFT,
    RIGHT,
    Point,
    SectionPipe,
    draw_arrow,
    draw_flap,
)
from inventory.drawings.section_sheets import MIDDLE, Label, draw_middle_pipe, labelled_sheet
from inventory.drawings.sections import pipe_state
from inventory.drawings.svg import (
    INK,
    LEATHER,
    METAL,
    PAPER,
    WIND,
    WIND_LINE,
    WOOD,
    WOOD_LINE,
    Drawing,
    Sheet,
)

_CHANNEL_TOP, _CHANNEL_FLOOR = 362.0, 446.0
_BORE_FLOOR = 486.0
_BLOCK_BOTTOM = 512.0
_BAR = 560.0
_CONES = (LEFT + 84, RIGHT - 84)
_WALL = 12.0
_RISER = 22.0
"""From the middle to each way up."""


@dataclass(frozen=True)
class ConeWay:
    """One way to the pipe: the stop whose channel it leaves, and the key that lifts its cone."""

    stop: str
    key: str
    drawn: bool = True
    pressed: bool = True

    @property
    def blows(self) -> bool:
        """Whether wind comes through: the channel full and the cone lifted."""
        return self.drawn and self.pressed


@dataclass(frozen=True)
class _Plate:
    ways: tuple[ConeWay, ConeWay]
    valves: bool

    @property
    def blown(self) -> bool:
        return any(way.blows for way in self.ways)

    def riser_full(self, way: ConeWay) -> bool:
        """Whether the way up of a cone holds wind, its own or what comes back down."""
        return way.blows or (self.blown and not self.valves)

    def channel_full(self, way: ConeWay) -> bool:
        """Whether the stop channel holds wind: drawn, or filled backwards past a lifted cone."""
        return way.drawn or (way.pressed and self.blown and not self.valves)


def cone_section_drawing(
    pipe: str,
    ways: Sequence[ConeWay],
    *,
    valves: bool = False,
    prefix: str = "cones",
    narrow: bool = False,
) -> Drawing:
    """Draw one pipe over two stop channels; with `valves` a flap lies over each way up."""
    if len(ways) != 2:
        raise ValueError(f"{len(ways)} ways given: the section shows exactly two stops that call the pipe")
    plate = _Plate((ways[0], ways[1]), valves)
    labels = _labels_of(plate, pipe)
    with labelled_sheet(labels, prefix, narrow=narrow) as sheet:
        _draw_chest(sheet, plate)
        draw_middle_pipe(sheet, SectionPipe(ways[0].stop, pipe), plate.blown)
    return sheet.finish(
        _("Section through a chest of stop channels: %s") % pipe,
        _describe(plate, pipe),
        _(
            "The principle, not to scale. Cut at one pipe, across the stop channels. Stipple and arrows show wind; "
            "a channel is full while its stop is drawn, a cone is lifted by its own key."
        ),
    )


def _draw_chest(sheet: Sheet, plate: _Plate) -> None:
    wood = sheet.hatch("wood", WOOD_LINE, WOOD, step=6, angle=45, weight=0.6)
    wind = sheet.dots("wind", WIND_LINE, WIND, 7)

    def fill(full: bool) -> str:
        return wind if full else PAPER

    sheet.rect(
        LEFT, CAVITY_TOP, RIGHT - LEFT, _BLOCK_BOTTOM - CAVITY_TOP, fill=wood, stroke=INK, stroke_width=1.1
    )
    sheet.rect(LEFT, BOARD_TOP, RIGHT - LEFT, CAVITY_TOP - BOARD_TOP, fill=wood, stroke=INK, stroke_width=1.1)
    # The chamber in which both ways meet, and the hole of the pipe.
    sheet.rect(
        MIDDLE - 56, CAVITY_TOP, 112, CAVITY_FLOOR - CAVITY_TOP,
        fill=fill(plate.blown), stroke=INK, stroke_width=1.1,
    )  # fmt: skip
    _hollow(sheet, MIDDLE - 6, BOARD_TOP - 0.5, MIDDLE + 6, CAVITY_TOP + 0.5, fill(plate.blown))
    for place, way in enumerate(plate.ways):
        side = -1 if place == 0 else 1
        riser, cone = MIDDLE + side * _RISER, _CONES[place]
        left, right = (LEFT + _WALL, MIDDLE - 40) if place == 0 else (MIDDLE + 40, RIGHT - _WALL)
        sheet.rect(
            left, _CHANNEL_TOP, right - left, _CHANNEL_FLOOR - _CHANNEL_TOP,
            fill=fill(plate.channel_full(way)), stroke=INK, stroke_width=1.1,
        )  # fmt: skip
        paint = fill(plate.riser_full(way))
        # The bore under the seat leads sideways and up to the chamber.
        _hollow(sheet, riser - 8, CAVITY_FLOOR - 0.5, riser + 8, _BORE_FLOOR - 18, paint)
        low, high = sorted((riser - side * 8, cone + side * 10))
        sheet.rect(low, _BORE_FLOOR - 18, high - low, 18, fill=paint)
        sheet.path(
            ["M", riser + side * 8, _BORE_FLOOR - 18, "H", cone - side * 10]
            + ["M", riser - side * 8, _BORE_FLOOR - 18, "V", _BORE_FLOOR, "H", cone + side * 10]
            + ["V", _BORE_FLOOR - 18],
            stroke=INK, stroke_width=1,
        )  # fmt: skip
        sheet.polygon(
            [
                (cone - 16, _CHANNEL_FLOOR - 0.5), (cone + 16, _CHANNEL_FLOOR - 0.5),
                (cone + 9, _BORE_FLOOR - 17), (cone - 9, _BORE_FLOOR - 17),
            ],
            fill=paint,
        )  # fmt: skip
        for edge in (-1, 1):
            sheet.line(cone + edge * 16, _CHANNEL_FLOOR, cone + edge * 9, _BORE_FLOOR - 18, stroke_width=1)
        _draw_cone(sheet, cone, way.pressed)
        if plate.valves:
            draw_flap(sheet, riser, side, way.blows)
        _draw_arrows(sheet, plate, place)


def _hollow(sheet: Sheet, x: float, y: float, right: float, bottom: float, paint: str) -> None:
    sheet.rect(x, y, right - x, bottom - y, fill=paint)
    sheet.path(["M", x, y, "V", bottom, "M", right, y, "V", bottom], stroke=INK, stroke_width=1)


def _draw_cone(sheet: Sheet, x: float, lifted: bool) -> None:
    """Draw a cone on its seat or lifted off it, with the sticker that its key pushes up."""
    rise = 26.0 if lifted else 0.0
    seat = _CHANNEL_FLOOR - rise
    sheet.line(x, seat + 10, x, _BAR - rise, stroke_width=2.2)
    sheet.polygon(
        [(x - 18, seat - 8), (x + 18, seat - 8), (x + 9, seat + 20), (x - 9, seat + 20)],
        fill=METAL, stroke=INK, stroke_width=1.1,
    )  # fmt: skip
    for edge in (-1, 1):
        sheet.line(x + edge * 18.5, seat - 6, x + edge * 10, seat + 19, stroke=LEATHER, stroke_width=2.6)
    sheet.rect(x - 24, _BAR - rise, 48, 13, fill=sheet.hatch("wood"), stroke=INK, stroke_width=1.1)
    if lifted:
        sheet.polygon([(x - 5, _BAR - 3), (x + 5, _BAR - 3), (x, _BAR - 11)], fill=INK)


def _draw_arrows(sheet: Sheet, plate: _Plate, place: int) -> None:
    way = plate.ways[place]
    side = -1 if place == 0 else 1
    riser, cone = MIDDLE + side * _RISER, _CONES[place]
    mid = _BORE_FLOOR - 9
    if way.blows:
        draw_arrow(sheet, [(cone - side * 14, mid), (riser, mid), (riser, 380)])
        draw_arrow(sheet, [(riser, 360), (riser, CAVITY_FLOOR + 12)])
    elif plate.riser_full(way):
        draw_arrow(sheet, [(riser, CAVITY_FLOOR + 12), (riser, mid), (cone - side * 14, mid)])
        if way.pressed:
            draw_arrow(
                sheet, [(cone - side * 24, _CHANNEL_FLOOR - 6), (cone - side * 44, _CHANNEL_FLOOR - 30)]
            )
    if plate.blown and place == 0:
        draw_arrow(sheet, [(MIDDLE, CAVITY_FLOOR - 4), (MIDDLE, BOARD_TOP + 8)])


def _labels_of(plate: _Plate, pipe: str) -> list[Label]:
    labels: list[Label] = [
        (pipe_state(pipe, plate.blown), (MIDDLE - 10, 70), "left"),
        (_("chamber under the foot: both ways meet"), (MIDDLE + 44, CAVITY_TOP + 14), "right"),
        (_("upperboard"), (LEFT + 20, BOARD_TOP + 6), "left"),
    ]
    for place, way in enumerate(plate.ways):
        side = "left" if place == 0 else "right"
        out = -1 if place == 0 else 1
        cone = _CONES[place]
        rise = 26.0 if way.pressed else 0.0
        state = _("stop channel of %s: drawn, full of wind") if way.drawn else _("stop channel of %s: off")
        if not way.drawn and plate.channel_full(way):
            state = _("stop channel of %s: off, yet filled from behind")
        labels.append((state % way.stop, (cone + out * 44, _CHANNEL_TOP + 20), side))
        words = _("cone, lifted by key %s") if way.pressed else _("cone of key %s, on its seat")
        labels.append((words % way.key, (cone + out * 14, _CHANNEL_FLOOR - rise), side))
        labels.append((_("bore to the pipe"), (cone - out * 24, _BORE_FLOOR - 6), side))
        words = _("lifter of key %s, raised") if way.pressed else _("lifter of key %s")
        labels.append((words % way.key, (cone + out * 20, _BAR - rise + 7), side))
        if plate.valves:
            point: Point = (MIDDLE + out * (_RISER + 4), CAVITY_FLOOR - (14 if way.blows else 2))
            words = _("flap valve, lifted by the wind") if way.blows else _("flap valve, lying on its hole")
            labels.append((words, point, side))
    return sorted(labels, key=lambda label: label[1][1])


def _describe(plate: _Plate, pipe: str) -> str:
    parts = []
    for way in plate.ways:
        words = {"stop": way.stop, "key": way.key}
        parts.append(
            _("The stop channel of %(stop)s is full of wind.") % words
            if way.drawn
            else _("%(stop)s is not drawn.") % words
        )
        parts.append(
            _("Key %(key)s lifts its cone in it.") % words
            if way.pressed
            else _("Its cone of key %(key)s lies on its seat and holds wind back both ways.") % words
        )
    parts.append(
        _("Both ways meet under %s.") % pipe + " " + (_("It speaks.") if plate.blown else _("It is silent."))
    )
    if plate.valves:
        parts.append(_("A flap over each way keeps wind from going back down the other."))
    elif any(plate.channel_full(way) and not way.drawn for way in plate.ways):
        parts.append(_("Wind goes back past the lifted cone into the channel that is off."))
    return " ".join(parts)
