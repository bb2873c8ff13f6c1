"""A section through a slider chest along the channel of one key: how two stops reach one pipe.

The cut runs from front to back, so the sliders, which move from side to side, are seen on
their ends: a drawn slider shows its hole, a slider that is off shows solid wood. A groove,
seen on its end as a ring, brings wind from the channel of another key to the same pipe.
"""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from inventory.drawings.section_parts import (
    BOTTOM,
    CAVITY_TOP,
    CHANNEL_TOP,
    LEFT,
    PIPES_AT,
    RIGHT,
    TABLE_TOP,
    WIRE,
    Plate,
    Point,
    SectionPipe,
    draw_chest,
    draw_pipe,
    flap_point,
    own_hole,
    pallet_point,
    twin_hole,
)
from inventory.drawings.svg import INK, PAPER, SOFT, Drawing, Sheet, clean, wrap

__all__ = ["SectionPipe", "section_drawing"]

_SCALE = 0.76
Label = tuple[str, Point, str]


def section_drawing(
    pipes: Sequence[SectionPipe],
    key: str,
    *,
    pressed: bool = True,
    flaps: bool = True,
    prefix: str = "section",
    narrow: bool = False,
) -> Drawing:
    """Draw one note of a slider chest with two stops in it, at rest or playing.

    With `flaps` false the valves are left out, as on a chest where they are lost: the drawing
    then shows the wind going on into the other channel.
    """
    if len(pipes) != 2:
        raise ValueError(
            f"{len(pipes)} pipes given: the section shows exactly two; choose the two to compare"
        )
    plate = Plate((pipes[0], pipes[1]), pressed, flaps)
    labels = _labels_of(plate, key)
    notes: list[list[str]] = []
    if narrow:
        notes = [wrap(words, 12, 300) for words, _target, _side in labels]
        foot = BOTTOM * _SCALE + 16
        sheet = Sheet(360, foot + sum(15 * len(lines) + 5 for lines in notes) + 4, prefix)
        sheet.open_group(transform=f"translate({180 - (LEFT + RIGHT) / 2 * _SCALE:.1f} 4) scale({_SCALE})")
    else:
        sheet = Sheet(900, BOTTOM + 12, prefix)
        sheet.open_group(transform="translate(4 4)")
    draw_chest(sheet, plate)
    for place, pipe in enumerate(plate.pipes):
        draw_pipe(sheet, place, pipe, plate.blown(pipe))
    if narrow:
        lead_labels(sheet, [([str(n)], *label[1:]) for n, label in enumerate(labels, start=1)], 15, 15)
        sheet.close_group()
        list_notes(sheet, notes, foot)
    else:
        lead_labels(
            sheet, [(wrap(words, 12.5, 204), target, side) for words, target, side in labels], 36, 12.5
        )
        sheet.close_group()
    return sheet.finish(
        _("Section through a slider chest: key %s") % key,
        _describe(plate, key),
        _(
            "The principle, not to scale. Cut along the channel of one key, from front to back. Arrows and "
            "stipple show wind; a drawn slider shows its hole, a slider that is off shows solid wood."
        ),
    )


def _labels_of(plate: Plate, key: str) -> list[Label]:
    """Every label with the point it leads to and the side it stands on, from top to bottom."""
    first, second = plate.pipes
    labels: list[Label] = [
        (_name(first, plate), (PIPES_AT[0] - 8, 60), "left"),
        (_name(second, plate), (PIPES_AT[1] + 8, 84), "right"),
        (_("chamber under the foot: both ways meet"), (PIPES_AT[1] + 16, CAVITY_TOP + 9), "right"),
    ]
    for place, pipe in enumerate(plate.pipes):
        side = "left" if place == 0 else "right"
        if pipe.twin:
            labels.append((_("groove from %s") % pipe.twin, (twin_hole(place), 346), side))
        if pipe.twin and plate.flaps:
            above = plate.blown(pipe)
            ways = ((True, plate.from_channel(pipe)), (False, plate.from_twin(pipe)))
            for own, lifted in ways:
                if lifted:
                    words = _("flap valve, lifted by the wind")
                elif above:
                    words = _("flap valve, pressed shut: no wind goes back")
                else:
                    words = _("flap valve, lying on its hole")
                labels.append((words, flap_point(place, own, lifted), side))
        state = _("slider of %s, drawn") if pipe.drawn else _("slider of %s, off")
        inward = -1 if place == 0 else 1
        labels.append((state % pipe.stop, (own_hole(place) + inward * 26, 366), side))
    labels += [
        (_("upperboard"), (RIGHT - 8, 330), "right"),
        (_("table"), (LEFT + 8, TABLE_TOP + 9), "left"),
        (_("channel of key %s: wind for every stop drawn") % key, (LEFT + 30, CHANNEL_TOP + 28), "left"),
        (_("pallet, open") if plate.pressed else _("pallet, shut"), pallet_point(plate.pressed), "right"),
        (_("spring"), (430, 514), "left"),
        (_("pallet box, full of wind"), (RIGHT - 30, 548), "right"),
        (
            _("wire to the key, pulled") if plate.pressed else _("wire to the key"),
            (WIRE, BOTTOM - 14),
            "right",
        ),
    ]
    return sorted(labels, key=lambda label: label[1][1])


def _name(pipe: SectionPipe, plate: Plate) -> str:
    return pipe_state(pipe.pipe, plate.blown(pipe))


def pipe_state(pipe: str, blown: bool) -> str:
    """A pipe by its name, and whether it speaks."""
    if blown:
        return _("%(pipe)s: speaks") % {"pipe": pipe}
    return _("%(pipe)s: silent") % {"pipe": pipe}


def lead_labels(
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


def list_notes(sheet: Sheet, notes: Sequence[list[str]], y: float) -> None:
    y += 14
    for place, lines in enumerate(notes, start=1):
        sheet.text(32, y, str(place), 12, "end", fill=SOFT)
        for line in lines:
            sheet.text(42, y, line, 12)
            y += 15
        y += 5


def _describe(plate: Plate, key: str) -> str:
    parts = [_("Wind stands in the pallet box at the bottom.")]
    if plate.pressed:
        parts.append(_("Key %s is pressed: its pallet is open and its channel full of wind.") % key)
    elif plate.channel_blown:
        parts.append(
            _("Key %s is at rest, yet wind has come back into its channel through a hole without a flap.")
            % key
        )
    else:
        parts.append(_("Key %s is at rest: its pallet is shut and its channel empty.") % key)
    for pipe in plate.pipes:
        state = _("drawn") if pipe.drawn else _("off")
        sentence = _("The slider of %(stop)s is %(state)s; %(pipe)s.")
        parts.append(sentence % {"stop": pipe.stop, "state": state, "pipe": _name(pipe, plate)})
        if pipe.twin:
            parts.append(_("The same pipe is also reached from %s.") % pipe.twin)
    if plate.flaps:
        parts.append(
            _("Over each hole under a shared pipe lies a flap of leather, so that wind cannot go back.")
        )
    else:
        parts.append(_("There are no flaps: wind can go on through the second hole into the other channel."))
    return " ".join(parts)
