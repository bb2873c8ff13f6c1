"""A section through a unit chest: one pipe with a valve of its own, and the contacts that may open it.

There is no channel and no slider: the pipe stands on a box that is always full of wind, and
its valve opens when its line is live. Every stop that calls the pipe reaches that line from a
contact under its own key, through the switch of the stop.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.section_parts import (
    BOARD_TOP,
    LEFT,
    RIGHT,
    SectionPipe,
    draw_arrow,
)
from inventory.drawings.section_sheets import MIDDLE, Label, draw_middle_pipe, labelled_sheet
from inventory.drawings.sections import pipe_state
from inventory.drawings.svg import (
    INK,
    LEATHER,
    METAL,
    PAPER,
    SLIDER,
    SOFT,
    WIND,
    WIND_LINE,
    WOOD,
    WOOD_LINE,
    Drawing,
    Sheet,
)

_BOX_TOP, _BOX_FLOOR, _BOX_BOTTOM = BOARD_TOP + 12, 372.0, 384.0
_SPLIT = 424.0
_SWITCH, _CONTACT, _RAIL = 442.0, 508.0, 580.0
_GAP = 30.0
_AT = (LEFT + 84, RIGHT - 84)
_LIFT = 20.0


@dataclass(frozen=True)
class UnitWay:
    """One way to the pipe's line: the stop whose switch it passes, and the key with its contact."""

    stop: str
    key: str
    drawn: bool = True
    pressed: bool = True

    @property
    def live(self) -> bool:
        """Whether current comes through: contact and switch both closed."""
        return self.drawn and self.pressed


def unit_section_drawing(
    pipe: str, ways: Sequence[UnitWay], *, prefix: str = "unit", narrow: bool = False
) -> Drawing:
    """Draw one pipe of a unit chest and the two ways by which its valve is opened."""
    if len(ways) != 2:
        raise ValueError(f"{len(ways)} ways given: the section shows exactly two stops that call the pipe")
    open_valve = any(way.live for way in ways)
    labels = _labels_of(pipe, ways, open_valve)
    with labelled_sheet(labels, prefix, narrow=narrow) as sheet:
        _draw_box(sheet, open_valve)
        for place, way in enumerate(ways):
            _draw_way(sheet, place, way)
        _draw_line(sheet, open_valve)
        draw_middle_pipe(sheet, SectionPipe(ways[0].stop, pipe), open_valve)
    return sheet.finish(
        _("Section through a unit chest: %s") % pipe,
        _describe(pipe, ways, open_valve),
        _(
            "The principle, not to scale; the wiring is a diagram. A heavy line is live, a thin one dead. The pipe has "
            "one valve: it opens once, however many contacts ask for it."
        ),
    )


def _draw_box(sheet: Sheet, open_valve: bool) -> None:
    wood = sheet.hatch("wood", WOOD_LINE, WOOD, step=6, angle=45, weight=0.6)
    wind = sheet.dots("wind", WIND_LINE, WIND, 7)
    sheet.rect(
        LEFT, BOARD_TOP, RIGHT - LEFT, _BOX_BOTTOM - BOARD_TOP, fill=wood, stroke=INK, stroke_width=1.1
    )
    sheet.rect(
        LEFT + 12, _BOX_TOP, RIGHT - LEFT - 24, _BOX_FLOOR - _BOX_TOP, fill=wind, stroke=INK, stroke_width=1.1
    )
    full = wind if open_valve else PAPER
    sheet.rect(MIDDLE - 6, BOARD_TOP - 0.5, 12, 13, fill=full)
    sheet.path(
        ["M", MIDDLE - 6, BOARD_TOP, "V", _BOX_TOP, "M", MIDDLE + 6, BOARD_TOP, "V", _BOX_TOP],
        stroke=INK, stroke_width=1,
    )  # fmt: skip
    fall = _LIFT if open_valve else 0.0
    top = _BOX_TOP + 1 + fall
    sheet.line(MIDDLE, top + 9, MIDDLE, _BOX_FLOOR - 36, stroke_width=2.2)
    sheet.rect(MIDDLE - 22, top, 44, 4, fill=LEATHER)
    sheet.rect(MIDDLE - 22, top + 4, 44, 6, fill=METAL, stroke=INK, stroke_width=1)
    # The magnet that pulls the valve down.
    sheet.rect(MIDDLE - 18, _BOX_FLOOR - 36, 36, 36, fill=SLIDER, stroke=INK, stroke_width=1.1)
    for turn in range(5):
        y = _BOX_FLOOR - 31 + 6.5 * turn
        sheet.line(MIDDLE - 18, y, MIDDLE + 18, y + 3, stroke=SOFT, stroke_width=1)
    if open_valve:
        for side in (-1, 1):
            start = (MIDDLE + side * 70, _BOX_TOP + 50)
            draw_arrow(
                sheet, [start, (MIDDLE + side * 34, _BOX_TOP + 12), (MIDDLE + side * 10, _BOX_TOP + 8)]
            )
        draw_arrow(sheet, [(MIDDLE, _BOX_TOP + 14), (MIDDLE, BOARD_TOP + 4)])


def _wire(sheet: Sheet, live: bool, *points: tuple[float, float]) -> None:
    """Draw a wire: heavy where it is live, thin where it is dead."""
    steps: list[str | float] = ["M", *points[0]]
    for point in points[1:]:
        steps += ["L", *point]
    sheet.path(steps, stroke=INK, stroke_width=3.4 if live else 1.0, stroke_linejoin="round")


def _draw_way(sheet: Sheet, place: int, way: UnitWay) -> None:
    x = _AT[place]
    _wire(sheet, way.live, (x, _SWITCH), (x, _SPLIT), (MIDDLE, _SPLIT))
    _wire(sheet, way.pressed, (x, _CONTACT), (x, _SWITCH + _GAP))
    _wire(sheet, True, (x, _RAIL), (x, _CONTACT + _GAP))
    for top, closed, live in ((_SWITCH, way.drawn, way.live), (_CONTACT, way.pressed, way.pressed)):
        sheet.rect(x - 26, top - 9, 52, _GAP + 18, fill=PAPER, stroke=SOFT, stroke_width=0.8)
        end = (x, top) if closed else (x - 19, top + 3)
        _wire(sheet, closed and live, (x, top + _GAP), end)
        for y in (top, top + _GAP):
            sheet.circle(x, y, 3.4, fill=METAL, stroke=INK, stroke_width=1.1)
    # The tail of the key above its contact.
    sheet.rect(x - 70, _CONTACT + 9, 40, 12, fill=sheet.hatch("wood"), stroke=INK, stroke_width=1)
    if way.pressed:
        sheet.polygon([(x - 55, _CONTACT + 4), (x - 45, _CONTACT + 4), (x - 50, _CONTACT - 4)], fill=INK)


def _draw_line(sheet: Sheet, live: bool) -> None:
    _wire(sheet, live, (MIDDLE, _SPLIT), (MIDDLE, _BOX_FLOOR))
    sheet.circle(MIDDLE, _SPLIT, 4, fill=INK)
    sheet.line(LEFT + 10, _RAIL, RIGHT - 10, _RAIL, stroke_width=3.4)


def _labels_of(pipe: str, ways: Sequence[UnitWay], open_valve: bool) -> list[Label]:
    fall = _LIFT if open_valve else 0.0
    labels: list[Label] = [
        (pipe_state(pipe, open_valve), (MIDDLE - 10, 70), "left"),
        (
            _("the pipe's own valve, pulled open") if open_valve else _("the pipe's own valve, shut"),
            (MIDDLE + 18, _BOX_TOP + 6 + fall), "right",
        ),
        (_("box, always full of wind"), (LEFT + 40, _BOX_TOP + 60), "left"),
        (_("magnet"), (MIDDLE + 14, _BOX_FLOOR - 16), "right"),
        (_("line of this pipe: live") if open_valve else _("line of this pipe: dead"), (MIDDLE, 404), "left"),
        (_("supply of current"), (RIGHT - 30, _RAIL), "right"),
    ]  # fmt: skip
    for place, way in enumerate(ways):
        side, x = ("left", _AT[place] - 20) if place == 0 else ("right", _AT[place] + 20)
        state = _("switch of %s, drawn") if way.drawn else _("switch of %s, off")
        labels.append((state % way.stop, (x, _SWITCH + 16), side))
        state = _("contact of key %s, closed") if way.pressed else _("contact of key %s, open")
        labels.append((state % way.key, (x, _CONTACT + 16), side))
    return sorted(labels, key=lambda label: label[1][1])


def _describe(pipe: str, ways: Sequence[UnitWay], open_valve: bool) -> str:
    parts = [
        _("%s stands on a box that is always full of wind, over a valve of its own.")
        % (pipe[:1].upper() + pipe[1:])
    ]
    for way in ways:
        words = {
            "stop": way.stop,
            "key": way.key,
            "contact": _("closed") if way.pressed else _("open"),
            "switch": _("drawn") if way.drawn else _("off"),
        }
        parts.append(
            _("The contact of key %(key)s is %(contact)s; the switch of %(stop)s is %(switch)s.") % words
        )
    parts.append(
        _("The line is live: the magnet holds the valve open and the pipe speaks.")
        if open_valve
        else _("The line is dead: the valve is shut and the pipe is silent.")
    )
    parts.append(_("No wind passes from one stop to another, so no flap is needed."))
    return " ".join(parts)
