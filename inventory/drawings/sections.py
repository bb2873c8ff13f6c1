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
    SectionPipe,
    draw_chest,
    draw_pipe,
    flap_point,
    own_hole,
    pallet_point,
    twin_hole,
)
from inventory.drawings.section_sheets import Label, labelled_sheet
from inventory.drawings.svg import Drawing

__all__ = ["SectionPipe", "section_drawing"]


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
    with labelled_sheet(labels, prefix, narrow=narrow) as sheet:
        draw_chest(sheet, plate)
        for place, pipe in enumerate(plate.pipes):
            draw_pipe(sheet, place, pipe, plate.blown(pipe))
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
