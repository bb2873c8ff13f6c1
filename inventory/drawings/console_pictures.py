"""Invented consoles: keyboards, pedals, and knobs or tablets with their labels."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np
from PIL import Image

from inventory.drawings.pictures import (
    HEIGHT,
    WIDTH,
    Canvas,
    Colour,
    RegionBox,
    font,
    mix,
    region,
    wood_grain,
)

_WOODS: dict[str, Colour] = {
    "plain 1790s": (0.56, 0.40, 0.25),
    "gothic 1850s": (0.50, 0.34, 0.20),
    "romantic 1885": (0.34, 0.20, 0.12),
    "flat front 1905": (0.58, 0.42, 0.24),
    "unit 1930": (0.38, 0.24, 0.16),
}
_IVORY: Colour = (0.95, 0.91, 0.81)
_BLACK: Colour = (0.10, 0.085, 0.075)
_PORCELAIN: Colour = (0.97, 0.955, 0.92)
_SHARPS = frozenset((1, 3, 6, 8, 10))


def draw_console(
    seed: int,
    keyboards: int,
    knob_labels: Sequence[str],
    style: str = "romantic 1885",
    *,
    keys: int = 54,
    pedals: int = 27,
) -> tuple[Image.Image, list[RegionBox]]:
    """Draw a console from the player's place, with one knob (or tablet, 1930) for each label.

    Returns the picture (1600 × 1200) and the regions of every keyboard, knob and the pedals.
    """
    if style not in _WOODS:
        raise ValueError(f"style {style!r}: use one of {', '.join(_WOODS)}")
    if not 1 <= keyboards <= 4:
        raise ValueError(f"{keyboards} keyboards: draw 1 to 4")
    if not 0 <= len(knob_labels) <= 72:
        raise ValueError(f"{len(knob_labels)} knobs: draw at most 72")
    rng = np.random.default_rng(seed)
    wood = mix(_WOODS[style], (0.6, 0.45, 0.3), float(rng.uniform(0, 0.22)))
    canvas = Canvas(wood)
    canvas.plank(rng, 0, 0, WIDTH, HEIGHT, mix(wood, (0, 0, 0), 0.28), bevel=0)
    old = style == "plain 1790s"
    left, right = 420.0, 1180.0
    floor = 1020.0
    tall = 86.0
    lowest = 800.0
    top = lowest - tall * keyboards
    regions: list[RegionBox] = []
    lift = 84.0 * math.ceil(len(knob_labels) / 18) + 20 if style == "unit 1930" else 0.0
    _cabinet(canvas, rng, wood, left, right, top, lowest + 40, lift)
    if style == "unit 1930":
        _tablets(canvas, rng, wood, knob_labels, left, right, top, regions)
    else:
        _jambs(canvas, rng, wood, knob_labels, left, right, top, lowest, old, regions)
    for n in range(keyboards):
        y = lowest - tall * (n + 1)
        _keyboard(canvas, rng, wood, left + 20 + 3 * n, right - 20 - 3 * n, y, tall, keys, old)
        regions.append(
            region(f"keyboard {n + 1} from below, {keys} keys", left + 20, y, right - 20, y + tall)
        )
    canvas.plank(
        rng, left - 30, lowest + 2, right + 30, lowest + 46, mix(wood, (1, 1, 1), 0.06), upright=False
    )
    canvas.rect(0, lowest + 46, WIDTH, floor - 70, (0, 0, 0), 0.3)
    canvas.plank(rng, 120, lowest + 46, WIDTH - 120, floor, mix(wood, (0, 0, 0), 0.42), bevel=0)
    for n in range(12):
        canvas.rect(0, lowest + 46 + 5 * n, WIDTH, lowest + 51 + 5 * n, (0, 0, 0), 0.5 - 0.035 * n)
    canvas.plank(
        rng, 0, floor - 70, WIDTH, HEIGHT, mix(wood, (0.15, 0.12, 0.1), 0.55), upright=False, bevel=0
    )
    for n in range(10):
        canvas.rect(0, floor - 70 + 5 * n, WIDTH, floor - 65 + 5 * n, (0, 0, 0), 0.42 - 0.04 * n)
    if pedals:
        _pedals(canvas, rng, wood, pedals)
        regions.append(region(f"pedals, {pedals} keys", 380, 936, 1220, HEIGHT))
    return canvas.finish(0.4, 0.3), regions


def _cabinet(
    canvas: Canvas,
    rng: np.random.Generator,
    wood: Colour,
    left: float,
    right: float,
    top: float,
    foot: float,
    lift: float,
) -> None:
    """The back of the keydesk: panels, the music desk, and the cheeks of the keyboards."""
    canvas.plank(rng, 60, 60, WIDTH - 60, foot, mix(wood, (0, 0, 0), 0.08))
    canvas.rect(60, 60, WIDTH - 60, 96, (0, 0, 0), 0.3)
    canvas.plank(rng, 30, 26, WIDTH - 30, 64, mix(wood, (1, 1, 1), 0.08), upright=False)
    desk_foot = top - 34 - lift
    desk_top = max(110.0, min(150.0, desk_foot - 216))
    canvas.rect(left + 44, desk_top + 14, right - 26, desk_foot + 20, (0, 0, 0), 0.35)
    canvas.plank(
        rng, left + 30, desk_top, right - 30, desk_foot, mix(wood, (1, 1, 1), 0.05), upright=False, bevel=4
    )
    canvas.rect(left + 60, desk_top + 30, right - 60, desk_foot - 34, (0, 0, 0), 0.16)
    canvas.plank(
        rng,
        left + 64,
        desk_top + 34,
        right - 64,
        desk_foot - 38,
        mix(wood, (0, 0, 0), 0.06),
        upright=False,
        bevel=2,
    )
    canvas.plank(
        rng, left + 16, desk_foot - 14, right - 16, desk_foot + 10, mix(wood, (1, 1, 1), 0.1), upright=False
    )
    _music(canvas, rng, (left + right) / 2, desk_foot - 16, min(190.0, desk_foot - desk_top - 50))
    for x0, x1 in ((left - 26, left + 20), (right - 20, right + 26)):
        canvas.rect(x0 + 8, top - 12, x1 + 14, foot, (0, 0, 0), 0.3)
        canvas.plank(rng, x0, top - 22, x1, foot, mix(wood, (1, 1, 1), 0.04), bevel=3.5)


def _music(canvas: Canvas, rng: np.random.Generator, middle: float, foot: float, tall: float) -> None:
    """An open book of music, its notes only suggested."""
    half = tall * 0.78
    canvas.polygon(
        [
            (middle - half + 8, foot - tall + 12),
            (middle + half + 12, foot - tall + 12),
            (middle + half + 12, foot + 5),
            (middle - half + 8, foot + 5),
        ],
        (0, 0, 0),
        0.35,
    )
    for side in (-1, 1):
        page = [
            (middle, foot - tall + 7),
            (middle + side * half, foot - tall),
            (middle + side * half, foot - 3),
            (middle, foot),
        ]
        canvas.polygon(page, (0.95, 0.92, 0.84) if side < 0 else (0.92, 0.88, 0.79))
        for n in range(7):
            canvas.polygon(
                [
                    (middle, foot - tall + 7),
                    (middle + side * (n + 1) * 3.4, foot - tall + 6),
                    (middle + side * (n + 1) * 3.4, foot - 1),
                    (middle, foot),
                ],
                (0.3, 0.22, 0.12),
                0.045,
            )
        for system in range(4):
            y = foot - tall * 0.86 + system * tall * 0.215
            x0, x1 = sorted((middle + side * 20, middle + side * (half - 13)))
            for line in range(5):
                canvas.line([(x0, y + 4.2 * line), (x1, y + 4.2 * line)], (0.3, 0.26, 0.2), 0.6, 0.75)
            x = x0 + 12
            while x < x1 - 8:
                height = y + 2.1 * float(rng.integers(0, 9))
                canvas.ellipse(x, height, 2.5, 1.9, (0.15, 0.12, 0.1), 0.85)
                canvas.line([(x + 2.2, height), (x + 2.2, height - 13)], (0.15, 0.12, 0.1), 0.8, 0.85)
                x += float(rng.uniform(9, 19))
    canvas.line([(middle, foot - tall + 7), (middle, foot)], (0.25, 0.18, 0.1), 1.2, 0.6)


def _keyboard(
    canvas: Canvas, rng: np.random.Generator, wood: Colour, left: float, right: float, top: float, tall: float,
    keys: int, old: bool,
) -> None:  # fmt: skip
    """One keyboard seen from above its front: tops, then fronts. Old ones have dark naturals."""
    naturals = [n for n in range(keys) if n % 12 not in _SHARPS]
    wide = (right - left) / len(naturals)
    plain, raised = (_BLACK, _IVORY) if old else (_IVORY, _BLACK)
    deep, front = tall * 0.62, tall * 0.20
    canvas.rect(left, top, right, top + tall, (0.05, 0.04, 0.03))
    for place, _n in enumerate(naturals):
        x = left + place * wide
        tone = mix(plain, (0.75, 0.6, 0.4), float(rng.uniform(0, 0.12)))
        canvas.rect(x + 0.7, top + 4, x + wide - 0.7, top + 4 + deep, tone)
        canvas.rect(x + 0.7, top + 4, x + wide - 0.7, top + 18, (0, 0, 0), 0.28)
        canvas.rect(
            x + 0.7, top + 4 + deep, x + wide - 0.7, top + 4 + deep + front, mix(tone, (0, 0, 0), 0.30)
        )
        canvas.rect(
            x + 0.7, top + 3 + deep, x + wide - 0.7, top + 5 + deep, (1, 1, 1), 0.5 if not old else 0.2
        )
    for n in range(keys):
        if n % 12 in _SHARPS:
            x = left + sum(1 for m in naturals if m < n) * wide
            half = wide * 0.29
            canvas.rect(x - half + 2, top + 4, x + half + 4, top + 6 + deep * 0.64, (0, 0, 0), 0.35)
            canvas.rect(x - half, top + 2, x + half, top + deep * 0.62, raised)
            canvas.rect(x - half + 1.4, top + 2, x + half - 1.4, top + deep * 0.50, (1, 1, 1), 0.13)
            canvas.rect(x - half, top + deep * 0.54, x + half, top + deep * 0.62, (0, 0, 0), 0.3)
    canvas.rect(left, top + 4 + deep + front, right, top + tall, mix(wood, (0, 0, 0), 0.5))


def _jambs(
    canvas: Canvas, rng: np.random.Generator, wood: Colour, labels: Sequence[str], left: float, right: float,
    top: float, lowest: float, old: bool, regions: list[RegionBox],
) -> None:  # fmt: skip
    """Set the knobs in columns on both sides, the first label at the upper left."""
    split = -(-len(labels) // 2)
    for side, own in ((0, labels[:split]), (1, labels[split:])):
        if not own:
            continue
        x0, x1 = (84.0, left - 40) if side == 0 else (right + 40, WIDTH - 84.0)
        y0, y1 = 120.0, lowest + 20
        canvas.plank(rng, x0, y0 - 8, x1, y1, mix(wood, (1, 1, 1), 0.03), bevel=3)
        columns = 2 if len(own) <= 14 else 3 if len(own) <= 24 else 4
        rows = -(-len(own) // columns)
        step_x, step_y = (x1 - x0) / columns, min((y1 - y0 - 10) / rows, 156.0)
        radius = min(step_x, step_y) * 0.40
        begin = y0 + (y1 - y0 - 8 - step_y * rows) / 2
        half, high = step_x * 0.44, min(step_y * 0.26, 30.0)
        room = (half * 1.86, high * 1.8, "It") if old else (radius * 1.34, radius * 1.15, "Regular")
        most = _common_size(labels, *room)
        for n, label in enumerate(own):
            x = x0 + step_x * (n % columns + 0.5)
            y = begin + step_y * (n // columns + 0.5)
            drawn_out = bool(rng.random() < 0.2)
            if old:
                _turned_knob(canvas, x, y, radius, label, half, high, most)
            else:
                _porcelain_knob(canvas, x, y, radius, label, wood, drawn_out, most)
            regions.append(
                region(label, x - step_x * 0.46, y - step_y * 0.46, x + step_x * 0.46, y + step_y * 0.46)
            )


def _porcelain_knob(
    canvas: Canvas, x: float, y: float, radius: float, label: str, wood: Colour, drawn_out: bool, most: float
) -> None:
    reach = 12 if drawn_out else 5
    canvas.ellipse(x + reach, y + reach + 3, radius * 1.02, radius * 1.02, (0, 0, 0), 0.22)
    canvas.ellipse(x + reach * 0.6, y + reach * 0.7, radius * 1.02, radius * 1.02, (0, 0, 0), 0.3)
    ring = mix(wood, (0.08, 0.05, 0.03), 0.72)
    canvas.ellipse(x, y, radius, radius, ring)
    canvas.ellipse(x - 1, y - 1, radius * 0.95, radius * 0.95, mix(ring, (1, 1, 1), 0.16))
    canvas.ellipse(x, y, radius * 0.86, radius * 0.86, mix(ring, (0, 0, 0), 0.5))
    canvas.ellipse(x, y, radius * 0.83, radius * 0.83, mix(_PORCELAIN, (0.5, 0.45, 0.35), 0.18))
    canvas.ellipse(x - 0.8, y - 0.8, radius * 0.80, radius * 0.80, _PORCELAIN)
    canvas.ellipse(x - radius * 0.34, y - radius * 0.46, radius * 0.26, radius * 0.11, (1, 1, 1), 0.75)
    _write(canvas, x, y, label, radius * 1.34, radius * 1.15, (0.12, 0.1, 0.12), "Regular", most)


def _turned_knob(
    canvas: Canvas, x: float, y: float, radius: float, label: str, half: float, high: float, most: float
) -> None:
    """A turned wooden knob with a written paper label under it."""
    knob = min(radius * 0.46, 24.0)
    paper = mix((0.93, 0.87, 0.72), (0.8, 0.65, 0.4), 0.12)
    centre = y + knob * 0.9 + high
    canvas.ellipse(x + 9, y - knob * 0.5 + 10, knob, knob, (0, 0, 0), 0.35)
    canvas.ball(x, y - knob * 0.5, knob, (0.20, 0.13, 0.08), 0.45)
    canvas.rect(x - half + 2, centre - high + 2, x + half + 2, centre + high + 2, (0, 0, 0), 0.3)
    canvas.rect(x - half, centre - high, x + half, centre + high, paper)
    _write(canvas, x, centre, label, half * 1.86, high * 1.8, (0.2, 0.12, 0.07), "It", most)


def _tablets(
    canvas: Canvas, rng: np.random.Generator, wood: Colour, labels: Sequence[str], left: float, right: float,
    top: float, regions: list[RegionBox],
) -> None:  # fmt: skip
    """Set tilting tablets in rows above the upper keyboard."""
    if not labels:
        return
    rows = max(1, math.ceil(len(labels) / 18))
    across = math.ceil(len(labels) / rows)
    wide = min((right - left + 500) / across, 66.0)
    tall = 84.0
    most = _common_size(labels, wide - 13, tall - 30, "Regular")
    for n, label in enumerate(labels):
        row, place = divmod(n, across)
        x = WIDTH / 2 - across * wide / 2 + place * wide
        y = top - 52 - tall * (rows - row)
        if place == 0:
            canvas.plank(
                rng, WIDTH / 2 - across * wide / 2 - 22, y - 10, WIDTH / 2 + across * wide / 2 + 22, y + tall - 2,
                mix(wood, (0, 0, 0), 0.35), upright=False,
            )  # fmt: skip
        down = bool(rng.random() < 0.25)
        tint = _IVORY if "coupler" not in label.lower() else (0.93, 0.93, 0.93)
        canvas.rect(x + 6, y + 6, x + wide - 2, y + tall - 8, (0, 0, 0), 0.4)
        canvas.rect(x + 4, y, x + wide - 4, y + tall - 14, mix(tint, (0, 0, 0), 0.14 if down else 0.0))
        canvas.rect(x + 4, y, x + wide - 4, y + 5, (1, 1, 1), 0.0 if down else 0.5)
        canvas.rect(x + 4, y + tall - 22, x + wide - 4, y + tall - 14, (0, 0, 0), 0.10 if down else 0.32)
        _write(
            canvas,
            x + wide / 2,
            y + (tall - 20) / 2,
            label,
            wide - 13,
            tall - 30,
            (0.14, 0.1, 0.08),
            "Regular",
            most,
        )
        regions.append(region(label, x + 2, y - 2, x + wide - 2, y + tall - 10))


def _lines_of(label: str) -> list[str]:
    """Break a label at its words; a mixed fraction stays together, three lines at most."""
    lines = re.sub(r"(\d) (\d+/\d)", "\\1\u00a0\\2", label).split(" ")
    while len(lines) > 3:
        shortest = min(range(len(lines) - 1), key=lambda n: len(lines[n]) + len(lines[n + 1]))
        lines[shortest : shortest + 2] = [f"{lines[shortest]} {lines[shortest + 1]}"]
    return lines


def _label_size(label: str, room: float, high: float, face: str) -> float:
    lines = _lines_of(label)
    widest = max(font(40, face).getlength(line) for line in lines) / 40
    tight = 0.96 if len(lines) < 3 else 0.9
    return max(5.0, min(26.0, high / len(lines) / 1.02, room / max(widest, 0.1) * tight))


def _common_size(labels: Sequence[str], room: float, high: float, face: str) -> float:
    """One hand wrote all labels of a console: no size is far above the smallest."""
    return 1.2 * min((_label_size(label, room, high, face) for label in labels), default=20.0)


def _write(
    canvas: Canvas, x: float, y: float, label: str, room: float, high: float, colour: Colour, face: str, most: float
) -> None:  # fmt: skip
    """Write a label in a few lines, as large as its room and its fellows allow."""
    lines = _lines_of(label)
    size = min(most, _label_size(label, room, high, face))
    for n, line in enumerate(lines):
        canvas.words(x, y + (n - (len(lines) - 1) / 2) * size * 1.04, line, size, colour, face=face)


def _pedals(canvas: Canvas, rng: np.random.Generator, wood: Colour, pedals: int) -> None:
    """The pedalboard, wider towards the player."""
    naturals = [n for n in range(pedals) if n % 12 not in _SHARPS]
    far0, far1, near0, near1 = 440.0, 1160.0, 380.0, 1220.0
    canvas.polygon(
        [(far0 - 14, 938), (far1 + 14, 938), (near1 + 18, HEIGHT), (near0 - 18, HEIGHT)], (0.06, 0.045, 0.035)
    )
    count = len(naturals)

    def at(share: float, y: float) -> float:
        depth = (y - 940) / (HEIGHT - 940)
        low, high = far0 + (near0 - far0) * depth, far1 + (near1 - far1) * depth
        return low + (high - low) * share

    grain = wood_grain(rng, 160, 700, mix(wood, (0.9, 0.75, 0.5), 0.45))
    for place in range(count):
        a, b = (place + 0.16) / count, (place + 0.84) / count
        canvas.polygon(
            [(at(a, 944), 944), (at(b, 944), 944), (at(b, 1196), 1196), (at(a, 1196), 1196)], grain
        )
        canvas.line([(at(a, 944) + 1, 944), (at(a, 1196) + 1, 1196)], (1, 1, 1), 1.6, 0.3)
        canvas.line([(at(b, 944) - 1, 944), (at(b, 1196) - 1, 1196)], (0, 0, 0), 2.2, 0.45)
    for n in range(pedals):
        if n % 12 in _SHARPS:
            share = sum(1 for m in naturals if m < n) / count
            half = 0.30 / count
            corners = ((share - half, 940), (share + half, 940), (share + half, 1058), (share - half, 1058))
            block = [(at(across, y), float(y)) for across, y in corners]
            canvas.polygon([(x + 5, y + 12) for x, y in block], (0, 0, 0), 0.4)
            canvas.polygon(block, mix(wood, (0.06, 0.05, 0.04), 0.72))
            canvas.line([block[0], block[3]], (1, 1, 1), 1.6, 0.25)
            canvas.polygon([block[3], block[2], (block[2][0], 1068), (block[3][0], 1068)], (0.05, 0.04, 0.03))
