"""A section through a slider chest at one pipe that two stops reach: from one channel, or from two.

From one channel (a common bass, a groove in the upperboard) both sliders stand over the same
bar; from two (a duplex, a transmission, octave grooves) each way has a channel and a pallet of
its own, and only a flap can keep the wind of one out of the other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.section_parts import (
    BOARD_TOP,
    BOTTOM,
    BOX_BOTTOM,
    BOX_TOP,
    CAVITY_FLOOR,
    CAVITY_TOP,
    CHANNEL_BOTTOM,
    CHANNEL_TOP,
    LEFT,
    RIGHT,
    SLIDER_TOP,
    TABLE_TOP,
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
    PAPER,
    SLIDER,
    SLIDER_LINE,
    WIND,
    WIND_LINE,
    WOOD,
    WOOD_LINE,
    Drawing,
    Sheet,
)

_AT = (LEFT + 84, RIGHT - 84)
_RISER = 22.0
_GROOVE = (328.0, 344.0)
_HALF = 8.0
_WALL = 12.0
_DROP = 13.0


@dataclass(frozen=True)
class MeetingWay:
    """One way to the pipe: the stop whose slider it passes, and the key whose channel it leaves."""

    stop: str
    key: str
    drawn: bool = True
    pressed: bool = True


@dataclass(frozen=True)
class _Plate:
    ways: tuple[MeetingWay, MeetingWay]
    one_channel: bool
    valves: bool

    def channel_full(self, place: int) -> bool:
        """Whether wind stands in the channel of a way."""
        if self.one_channel:
            return any(way.pressed for way in self.ways)
        return self.ways[place].pressed

    def blows(self, place: int) -> bool:
        """Whether wind comes up through the slider of a way."""
        return self.ways[place].drawn and self.channel_full(place)

    @property
    def blown(self) -> bool:
        return any(self.blows(place) for place in (0, 1))


def meeting_section_drawing(
    pipe: str,
    ways: Sequence[MeetingWay],
    *,
    one_channel: bool,
    valves: bool = False,
    prefix: str = "meeting",
    narrow: bool = False,
) -> Drawing:
    """Draw one pipe with two ways to it; with `valves` a flap lies over each way up."""
    if len(ways) != 2:
        raise ValueError(f"{len(ways)} ways given: the section shows exactly two stops that call the pipe")
    plate = _Plate((ways[0], ways[1]), one_channel, valves)
    labels = _labels_of(plate, pipe)
    with labelled_sheet(labels, prefix, narrow=narrow) as sheet:
        _draw_wood(sheet, plate)
        for place in (0, 1):
            _draw_way(sheet, plate, place)
        draw_middle_pipe(sheet, SectionPipe(ways[0].stop, pipe), plate.blown)
    how = (
        _("Both sliders stand over one channel, and a groove joins their holes under the pipe.")
        if one_channel
        else _("The two channels lie apart in the chest and are drawn side by side.")
    )
    return sheet.finish(
        _("Section through a slider chest: %s, reached by two stops") % pipe,
        _describe(plate, pipe),
        _("The principle, not to scale. Arrows and stipple show wind.") + " " + how,
    )


def _draw_wood(sheet: Sheet, plate: _Plate) -> None:
    wood = sheet.hatch("wood", WOOD_LINE, WOOD, step=6, angle=45, weight=0.6)
    wind = sheet.dots("wind", WIND_LINE, WIND, 7)
    for top, bottom in (
        (BOARD_TOP, CAVITY_TOP), (CAVITY_TOP, SLIDER_TOP), (SLIDER_TOP, TABLE_TOP), (TABLE_TOP, CHANNEL_TOP),
        (CHANNEL_TOP, BOX_TOP), (BOX_TOP, BOX_BOTTOM + _WALL),
    ):  # fmt: skip
        sheet.rect(LEFT, top, RIGHT - LEFT, bottom - top, fill=wood, stroke=INK, stroke_width=1.1)
    inner = RIGHT - LEFT - 2 * _WALL
    sheet.rect(LEFT + _WALL, BOX_TOP, inner, BOX_BOTTOM - BOX_TOP, fill=wind, stroke=INK, stroke_width=1.1)
    bars = [(LEFT + _WALL, RIGHT - _WALL)]
    if not plate.one_channel:
        bars = [(LEFT + _WALL, MIDDLE - 14), (MIDDLE + 14, RIGHT - _WALL)]
    for place, (left, right) in enumerate(bars):
        sheet.rect(
            left, CHANNEL_TOP, right - left, CHANNEL_BOTTOM - CHANNEL_TOP,
            fill=wind if plate.channel_full(place) else PAPER, stroke=INK, stroke_width=1.1,
        )  # fmt: skip
        _draw_pallet(sheet, (left + right) / 2, plate.channel_full(place))
    full = wind if plate.blown else PAPER
    sheet.rect(
        MIDDLE - 56, CAVITY_TOP, 112, CAVITY_FLOOR - CAVITY_TOP, fill=full, stroke=INK, stroke_width=1.1
    )
    _hollow(sheet, MIDDLE, BOARD_TOP - 0.5, CAVITY_TOP + 0.5, full, 6)
    if plate.blown:
        draw_arrow(sheet, [(MIDDLE, CAVITY_FLOOR - 4), (MIDDLE, BOARD_TOP + 8)])


def _hollow(sheet: Sheet, x: float, top: float, bottom: float, paint: str, half: float = _HALF) -> None:
    sheet.rect(x - half, top, 2 * half, bottom - top, fill=paint)
    sheet.path(["M", x - half, top, "V", bottom, "M", x + half, top, "V", bottom], stroke=INK, stroke_width=1)


def _draw_pallet(sheet: Sheet, x: float, open_pallet: bool) -> None:
    """Draw a pallet on its end under the bar, shut or pulled down by its wire."""
    wind = sheet.dots("wind", WIND_LINE, WIND, 7)
    drop = _DROP if open_pallet else 0.0
    _hollow(sheet, x, CHANNEL_BOTTOM - 0.5, BOX_TOP + 0.5, wind if open_pallet else PAPER, 18)
    sheet.line(x - 30, BOX_TOP + 2 + drop, x + 30, BOX_TOP + 2 + drop, stroke=LEATHER, stroke_width=3.4)
    sheet.rect(x - 30, BOX_TOP + 4 + drop, 60, 18, fill=sheet.hatch("wood"), stroke=INK, stroke_width=1.1)
    sheet.line(x, BOX_TOP + 22 + drop, x, BOTTOM - 6, stroke_width=1.4)
    if open_pallet:
        draw_arrow(sheet, [(x - 46, BOX_TOP + 40), (x - 38, BOX_TOP + 9), (x - 8, BOX_TOP + 7), (x, 424)])
        sheet.polygon([(x - 4, BOTTOM - 12), (x + 4, BOTTOM - 12), (x, BOTTOM - 3)], fill=INK)


def _draw_way(sheet: Sheet, plate: _Plate, place: int) -> None:
    way, side = plate.ways[place], -1 if place == 0 else 1
    x, riser = _AT[place], MIDDLE + side * _RISER
    wind = sheet.dots("wind", WIND_LINE, WIND, 7)
    up = wind if plate.blows(place) else PAPER
    # Without a flap the other way's wind stands in this groove too, down to a slider that is off.
    if not plate.valves and plate.blown:
        up = wind
    channel = wind if plate.channel_full(place) else PAPER
    top, floor = _GROOVE
    _hollow(sheet, riser, CAVITY_FLOOR - 0.5, top + 1, up)
    low, high = sorted((riser - side * _HALF, x + side * _HALF))
    sheet.rect(low, top, high - low, floor - top, fill=up)
    sheet.path(
        ["M", riser + side * _HALF, top, "H", x + side * _HALF, "V", SLIDER_TOP]
        + ["M", riser - side * _HALF, top, "V", floor, "H", x - side * _HALF, "V", SLIDER_TOP],
        stroke=INK, stroke_width=1,
    )  # fmt: skip
    sheet.rect(x - _HALF + 0.5, floor - 0.5, 2 * _HALF - 1, SLIDER_TOP - floor + 0.5, fill=up)
    slider = sheet.hatch("slider", SLIDER_LINE, SLIDER, step=3, angle=0, weight=0.6)
    sheet.rect(x - 40, SLIDER_TOP, 80, TABLE_TOP - SLIDER_TOP, fill=slider, stroke=INK, stroke_width=1.1)
    if way.drawn:
        _hollow(sheet, x, SLIDER_TOP - 0.5, TABLE_TOP + 0.5, channel)
    _hollow(sheet, x, TABLE_TOP, CHANNEL_TOP + 0.5, channel)
    if plate.valves:
        draw_flap(sheet, riser, side, plate.blows(place))
    if plate.blows(place):
        draw_arrow(sheet, [(x, CHANNEL_TOP + 22), (x, SLIDER_TOP - 4)])
        middle = (top + floor) / 2
        draw_arrow(sheet, [(x - side * 14, middle), (riser, middle), (riser, CAVITY_FLOOR + 10)])


def _labels_of(plate: _Plate, pipe: str) -> list[Label]:
    labels: list[Label] = [
        (pipe_state(pipe, plate.blown), (MIDDLE - 10, 70), "left"),
        (_("chamber under the foot: both ways meet"), (MIDDLE + 44, CAVITY_TOP + 14), "right"),
        (_("upperboard"), (LEFT + 20, BOARD_TOP + 6), "left"),
        (_("pallet box, full of wind"), (RIGHT - 30, BOX_BOTTOM - 16), "right"),
    ]
    for place, way in enumerate(plate.ways):
        side, out = ("left", -1) if place == 0 else ("right", 1)
        state = _("slider of %s, drawn") if way.drawn else _("slider of %s, off")
        labels.append((state % way.stop, (_AT[place] + out * 26, SLIDER_TOP + 8), side))
        labels.append((_("groove in the upperboard"), (_AT[place] - out * 20, _GROOVE[0] + 8), side))
        if plate.valves:
            lifted = plate.blows(place)
            point: Point = (MIDDLE + out * (_RISER + 4), CAVITY_FLOOR - (14 if lifted else 2))
            words = _("flap valve, lifted by the wind") if lifted else _("flap valve, lying on its hole")
            labels.append((words, point, side))
        if place == 0 or not plate.one_channel:
            full = plate.channel_full(place)
            words = _("channel of key %s, full of wind") if full else _("channel of key %s, empty")
            labels.append((words % way.key, (_AT[place] + out * 50, CHANNEL_TOP + 30), side))
            x = MIDDLE if plate.one_channel else MIDDLE + out * (RIGHT - _WALL - MIDDLE + 14) / 2
            words = _("pallet, open") if full else _("pallet, shut")
            labels.append((words, (x + out * 20, BOX_TOP + (26 if full else 12)), side))
    return sorted(labels, key=lambda label: label[1][1])


def _describe(plate: _Plate, pipe: str) -> str:
    parts = []
    for place, way in enumerate(plate.ways):
        words = {"stop": way.stop, "key": way.key}
        parts.append(_("%(stop)s is drawn.") % words if way.drawn else _("%(stop)s is not drawn.") % words)
        if place == 0 or not plate.one_channel:
            parts.append(
                _("The channel of key %(key)s is full of wind.") % words
                if plate.channel_full(place)
                else _("The channel of key %(key)s is empty.") % words
            )
    parts.append(
        _("Both ways meet under %s.") % pipe + " " + (_("It speaks.") if plate.blown else _("It is silent."))
    )
    if plate.valves:
        parts.append(_("A flap over each way keeps wind from going back down the other."))
    elif plate.one_channel:
        parts.append(_("Both come from one channel: no wind can go where nobody plays."))
    return " ".join(parts)
