"""Invented fronts: a case with towers and flats, or pipes that stand free."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from PIL import Image

from inventory.drawings.case_ornaments import draw_finial, draw_gable, draw_shades
from inventory.drawings.pictures import HEIGHT, WIDTH, Canvas, Colour, Pixels, Point, RegionBox, mix, region


@dataclass(frozen=True)
class CaseStyle:
    """How a workshop of a time builds its fronts."""

    wall: Colour
    wood: Colour
    trim: Colour
    metal: Colour
    lip: Colour
    head: str
    """What closes a field above: ``cornice``, ``gable``, ``arch``, ``rail`` or ``none``."""
    finial: str = ""
    grain: float = 1.0
    """How much the grain shows; little under paint."""
    dark: Colour = (0.10, 0.075, 0.055)


GOLD: Colour = (0.83, 0.64, 0.27)
STYLES: dict[str, CaseStyle] = {
    "plain 1790s": CaseStyle(
        (0.86, 0.84, 0.78), (0.72, 0.75, 0.70), GOLD, (0.86, 0.88, 0.90), GOLD, "cornice", "urn", 0.25,
    ),
    "gothic 1850s": CaseStyle(
        (0.74, 0.71, 0.66), (0.52, 0.36, 0.21), (0.60, 0.43, 0.26), (0.82, 0.83, 0.84), (0.80, 0.81, 0.82),
        "gable", "pinnacle",
    ),
    "romantic 1885": CaseStyle(
        (0.68, 0.66, 0.60), (0.36, 0.22, 0.13), (0.47, 0.31, 0.18), (0.80, 0.81, 0.83), (0.78, 0.79, 0.80),
        "arch", "ball",
    ),
    "flat front 1905": CaseStyle(
        (0.80, 0.80, 0.74), (0.60, 0.43, 0.24), (0.64, 0.48, 0.28), (0.76, 0.76, 0.76), (0.74, 0.74, 0.74), "rail"
    ),
    "unit 1930": CaseStyle(
        (0.84, 0.82, 0.77), (0.40, 0.30, 0.22), (0.42, 0.32, 0.24), (0.78, 0.80, 0.82), (0.76, 0.78, 0.80), "none"
    ),
}  # fmt: skip


@dataclass(frozen=True)
class _Field:
    place: int
    pipes: int
    tower: bool
    left: float
    right: float
    half: float
    """Half width of its widest pipe."""
    top: float
    """Height of the underside of its cornice."""


def draw_facade(
    seed: int, towers: Sequence[int], style: str = "plain 1790s", *, wood: Colour | None = None
) -> tuple[Image.Image, list[RegionBox]]:
    """Draw a front with so many pipes in each field, from the left; the odd fields are towers.

    Returns the picture (1600 × 1200) and the labelled regions of its parts.
    """
    if style not in STYLES:
        raise ValueError(f"style {style!r}: use one of {', '.join(STYLES)}")
    if not towers or any(not 1 <= n <= 25 for n in towers) or sum(towers) > 90:
        raise ValueError(f"towers {list(towers)}: give 1 to 25 pipes a field, 90 in all")
    look = STYLES[style]
    if wood is not None:
        trim = look.trim if look.trim == GOLD else mix(wood, (1, 1, 1), 0.12)
        look = replace(look, wood=wood, trim=trim)
    rng = np.random.default_rng(seed)
    canvas = Canvas(look.wall)
    canvas.grain = look.grain
    _room(canvas, rng, look)
    fields = _fields_of(rng, towers, look)
    regions: list[RegionBox] = []
    impost = float(rng.uniform(742, 792))
    if look.head == "none":
        _plinth(canvas, rng, look, fields, impost)
    else:
        _carcase(canvas, rng, look, fields, impost)
    for field in fields:
        top = _field(canvas, rng, look, field, impost)
        kind = "tower" if field.tower else "flat"
        noun = "pipe" if field.pipes == 1 else "pipes"
        regions.append(
            region(
                f"field {field.place}: {kind} of {field.pipes} {noun}", field.left, top, field.right, impost
            )
        )
    if look.head != "none":
        _heads(canvas, rng, look, fields)
        _lower_case(canvas, rng, look, fields, impost, regions)
    canvas.plank(rng, 0, 1128, WIDTH, HEIGHT, mix(look.wood, (0.3, 0.22, 0.15), 0.6), upright=False)
    return canvas.finish(), regions


def _room(canvas: Canvas, rng: np.random.Generator, look: CaseStyle) -> None:
    """Plaster, a blind arch behind the organ, and the light of a window on the wall."""
    half, spring = float(rng.uniform(590, 690)), float(rng.uniform(430, 540))
    rise = float(rng.uniform(0.62, 0.95)) * spring
    arch: list[Point] = [(800 - half, HEIGHT), (800 - half, spring)]
    arch += [(800 - half * math.cos(t), spring - rise * math.sin(t)) for t in np.linspace(0, math.pi, 60)]
    arch += [(800 + half, HEIGHT)]
    canvas.polygon([(x - 9, y - 7) for x, y in arch], mix(look.wall, (1, 1, 1), 0.4))
    canvas.polygon(arch, mix(look.wall, (0.2, 0.18, 0.2), 0.2))
    x, y = float(rng.uniform(30, 80)), float(rng.uniform(240, 420))
    for shift in (0, 46):
        pane: list[Point] = [(x + shift, y), (x + shift + 36, y - 14), (x + shift + 80, y + 260)]
        canvas.polygon([*pane, (x + shift + 44, y + 274)], (1, 0.96, 0.84), 0.13)


def _fields_of(rng: np.random.Generator, towers: Sequence[int], look: CaseStyle) -> list[_Field]:
    """Share the width out: pipes of towers are wider than those of flats."""
    is_tower = [n % 2 == 0 and look.head not in ("rail", "none") for n in range(len(towers))]
    weights = [count * (1.0 if tower else 0.66) for count, tower in zip(towers, is_tower, strict=True)]
    post = 22.0 if look.head != "none" else 8.0
    room = 1100.0 - post * (len(towers) + 1)
    unit = min(room / sum(weights), 64.0)
    total = unit * sum(weights) + post * (len(towers) + 1)
    x = (WIDTH - total) / 2 + post
    outer, rise, drop = (
        float(rng.uniform(185, 245)),
        float(rng.choice([0, 0, 34, -30])),
        float(rng.uniform(80, 130)),
    )
    fields = []
    for place, (count, tower, weight) in enumerate(zip(towers, is_tower, weights, strict=True), start=1):
        wide = unit * weight
        middle = 2 * place == len(towers) + 1
        if look.head in ("rail", "none"):
            top = outer + 10
        else:
            top = outer - (rise if middle else 0) if tower else outer + drop
        fields.append(_Field(place, count, tower, x, x + wide, wide / count / 2, top))
        x += wide + post
    return fields


def _heights(look: CaseStyle, field: _Field, count_of_fields_ahead: float) -> list[float]:
    """How tall each pipe of a field stands, from 0 to 1, left to right."""
    middle = (field.pipes - 1) / 2
    far = [abs(n - middle) / max(middle, 1) for n in range(field.pipes)]
    if look.head == "none":
        return [0.97 - 0.42 * (1 - (f - 1) ** 2) * 0.9 for f in far]
    if field.tower:
        return [0.95 - 0.30 * f for f in far]
    if look.head == "rail":
        return [0.74 + 0.20 * f for f in far]
    falling = count_of_fields_ahead < 0
    return [
        0.90 - 0.34 * (n if falling else field.pipes - 1 - n) / max(field.pipes - 1, 1)
        for n in range(field.pipes)
    ]


def _carcase(
    canvas: Canvas, rng: np.random.Generator, look: CaseStyle, fields: Sequence[_Field], impost: float
) -> None:
    left, right = fields[0].left - 22, fields[-1].right + 22
    whole = [(left, 1120.0), (left, 220.0), (right, 220.0), (right, 1120.0)]
    canvas.shadow(whole, 60, 0.55, dx=46, dy=26)
    for field in fields:
        top = field.top - 20
        canvas.rect(field.left - 20, top, field.right + 20, impost + 10, look.dark)
    for n, field in enumerate(fields):
        near = [f.top for f in (fields[n - 1] if n else field, field)]
        canvas.plank(rng, field.left - 22, min(near) - 24, field.left, impost, look.wood)
    canvas.plank(rng, right - 22, fields[-1].top - 24, right, impost, look.wood)


def _plinth(
    canvas: Canvas, rng: np.random.Generator, look: CaseStyle, fields: Sequence[_Field], impost: float
) -> None:
    left, right = fields[0].left - 40, fields[-1].right + 40
    shape = [(left, 1128.0), (left, impost), (right, impost), (right, 1128.0)]
    canvas.shadow(shape, 50, 0.5, dx=30, dy=10)
    canvas.plank(rng, left, impost + 14, right, 1128, look.wood, upright=False)
    for x in np.linspace(left, right, 7)[1:-1]:
        canvas.rect(float(x) - 1, impost + 20, float(x) + 1, 1124, (0, 0, 0), 0.35)
    canvas.plank(
        rng, left - 14, impost, right + 14, impost + 18, mix(look.wood, (1, 1, 1), 0.1), upright=False
    )


def _field(canvas: Canvas, rng: np.random.Generator, look: CaseStyle, field: _Field, impost: float) -> float:
    """Stand the pipes of one field; returns where the tallest ends."""
    ceiling = field.top
    span = impost - ceiling
    heights = _heights(look, field, (field.left + field.right) / 2 - WIDTH / 2)
    if look.head == "none":
        spots = [
            (field.left + (2 * n + 1) * field.half + 14, impost - span * h) for n, h in enumerate(heights)
        ]
        canvas.shadow([(field.left + 14, impost), *spots, (field.right + 14, impost)], 12, 0.3)
    order = sorted(range(field.pipes), key=lambda n: -abs(n - (field.pipes - 1) / 2))
    for n in order:
        far = abs(n - (field.pipes - 1) / 2) / max((field.pipes - 1) / 2, 1)
        centre = field.left + (2 * n + 1) * field.half
        half = field.half * 0.93
        # In towers the mouths rise to the sides, in flats they follow the slope of the tops.
        mouth = impost - 150 - (26 * far if field.tower else 70 * (0.95 - heights[n]))
        tint = mix(look.metal, (1, 1, 1), float(rng.uniform(-0.0, 0.06)))
        if look.head == "none" and field.place % 2 == 0:
            tint = (0.80, 0.50, 0.34)
        draw_front_pipe(canvas, centre, impost, mouth, impost - span * heights[n], half, tint, look)
    return impost - span * max(heights)


def draw_front_pipe(
    canvas: Canvas,
    centre: float,
    foot: float,
    mouth: float,
    top: float,
    half: float,
    tint: Colour,
    look: CaseStyle,
) -> None:
    """Draw one front pipe: cone of the foot, cylinder of the body, lips and the dark mouth."""
    canvas.round_surface(centre, mouth, foot + 2, lambda t: half * (1 - 0.80 * t), tint)
    canvas.round_surface(centre, top, mouth, half, tint)
    canvas.ellipse(centre, top, half, half * 0.14, mix(tint, (0, 0, 0), 0.72))
    lip, high = half * 0.66, max(half * 0.42, 3.0)
    point = half * (2.3 if look.head == "gable" else 1.8)
    upper: list[Point] = [(centre - lip, mouth - high)]
    lower: list[Point] = [(centre - lip, mouth)]
    for t in np.linspace(0, 1, 13):
        across = -1 + 2 * float(t)
        round_ = (
            math.sqrt(max(0.0, 1 - across * across))
            if look.head in ("arch", "rail", "none")
            else 1 - abs(across)
        )
        upper.append((centre + lip * across, mouth - high - point * round_))
        lower.append((centre + lip * across, mouth + point * 0.8 * round_))
    upper.append((centre + lip, mouth - high))
    lower.append((centre + lip, mouth))
    lip_tint = tint if look.head == "none" else look.lip
    flat = mix(lip_tint, (0, 0, 0), 0.16)
    canvas.polygon(upper, flat, 0.92)
    canvas.polygon(lower, mix(lip_tint, (0, 0, 0), 0.3), 0.92)
    canvas.line(upper[1:-1], mix(tint, (0, 0, 0), 0.62), 1.0, 0.8)
    canvas.line(lower[1:-1], mix(tint, (0, 0, 0), 0.62), 1.0, 0.8)
    canvas.line([(x + 1.2, y + 1.0) for x, y in upper[1:7]], (1, 1, 1), 0.9, 0.5)
    canvas.rect(centre - lip, mouth - high, centre + lip, mouth, (0.05, 0.04, 0.035))
    canvas.rect(centre - lip, mouth - high, centre + lip, mouth - high + 1.2, (1, 1, 1), 0.35)
    canvas.line([(centre - half, mouth + 0.5), (centre + half, mouth + 0.5)], (0, 0, 0), 0.8, 0.35)


def _heads(canvas: Canvas, rng: np.random.Generator, look: CaseStyle, fields: Sequence[_Field]) -> None:
    """Close every field above: shades hang between the pipes and the cornice, gable or arch."""
    for field in sorted(fields, key=lambda f: f.tower):
        top = field.top
        left, right, reach = field.left - 22, field.right + 22, 18.0 if field.tower else 6.0
        if look.head in ("cornice", "arch"):
            draw_shades(
                canvas, look.trim, field.left, field.right, top - 6, 58 if field.tower else 46, look.head
            )
        elif look.head == "gable":
            draw_gable(canvas, rng, look.wood, field.left, field.right, top, field.tower)
        layers = ((16, 0.0), (12, 0.55), (9, 1.0)) if look.head != "rail" else ((14, 0.3), (8, 0.8))
        y = top
        for n, (tall, out) in enumerate(layers):
            tone = mix(look.wood, look.trim, 0.75) if n == 1 else mix(look.wood, (1, 1, 1), 0.05 * n)
            canvas.plank(
                rng, left - reach * out, y - tall, right + reach * out, y, tone, upright=False, bevel=2
            )
            y -= tall
        if not field.tower or not look.finial:
            continue
        middle = (left + right) / 2
        if look.finial == "pinnacle":
            peak = top - 34 - (field.right - field.left) / 2 * 0.62 - 18
            canvas.ball(middle, peak - 4, 9, look.trim, 0.2)
            for x in (left + 6, right - 6):
                draw_finial(canvas, look.finial, look.trim, x, y, 0.7)
        else:
            draw_finial(canvas, look.finial, look.trim, middle, y, 1.0)


def _lower_case(
    canvas: Canvas, rng: np.random.Generator, look: CaseStyle, fields: Sequence[_Field], impost: float,
    regions: list[RegionBox],
) -> None:  # fmt: skip
    left, right = fields[0].left - 22, fields[-1].right + 22
    canvas.plank(rng, left, impost + 30, right, 1128, look.wood)
    count = max(3, round((right - left) / 190)) | 1
    wide = (right - left) / count
    for n in range(count):
        x0, x1, y0, y1 = left + n * wide + 18, left + (n + 1) * wide - 18, impost + 66, 1090.0
        canvas.rect(x0 - 5, y0 - 5, x1 + 5, y1 + 5, (0, 0, 0), 0.38)
        canvas.plank(rng, x0, y0, x1, y1, mix(look.wood, (0, 0, 0), 0.08), bevel=0)
        canvas.plank(rng, x0 + 16, y0 + 18, x1 - 16, y1 - 18, mix(look.wood, (1, 1, 1), 0.05), bevel=4)
    if look.head != "rail":
        _keydesk(canvas, rng, look, (left + right) / 2, impost + 128, regions)
    for field in fields:
        if field.tower:
            # A corbel carries each tower out over the lower case.
            middle, half = (field.left + field.right) / 2, (field.right - field.left) / 2 + 22
            low, deep = impost + 28, 78.0

            def narrowing(t: Pixels, half: float = half) -> Pixels:
                return half * np.cos(np.minimum(t, 0.97) * np.pi / 2) ** 0.75

            canvas.shadow(
                [(middle - half, low), (middle, low + deep + 20), (middle + half, low)], 16, 0.35, 10, 8
            )
            canvas.round_surface(
                middle, low, low + deep, narrowing, mix(look.wood, (0, 0, 0), 0.06), dull=1.0
            )
            for share in (0.18, 0.52):
                reach = half * math.cos(share * math.pi / 2) ** 0.75
                canvas.rect(
                    middle - reach,
                    low + deep * share - 2,
                    middle + reach,
                    low + deep * share + 2,
                    look.trim,
                    0.85,
                )
                canvas.rect(
                    middle - reach,
                    low + deep * share + 2,
                    middle + reach,
                    low + deep * share + 4,
                    (0, 0, 0),
                    0.35,
                )
            canvas.ball(middle, low + deep + 2, 8, look.trim, 0.3)
    canvas.rect(left, impost + 30, right, impost + 42, (0, 0, 0), 0.28)
    for y, tall, out in ((impost - 2, 12.0, 10.0), (impost + 10, 12.0, 16.0), (impost + 22, 8.0, 6.0)):
        tone = mix(look.wood, look.trim, 0.8) if out == 16.0 else look.wood
        canvas.plank(rng, left - out, y, right + out, y + tall, tone, upright=False, bevel=2)
    regions.append(region("lower case", left, impost + 30, right, 1128))
    regions.append(region("impost", left - 16, impost - 2, right + 16, impost + 30))


def _keydesk(
    canvas: Canvas, rng: np.random.Generator, look: CaseStyle, middle: float, top: float, regions: list[RegionBox]
) -> None:  # fmt: skip
    """Open a recess in the lower case with two keyboards, knobs at the sides and a music desk."""
    left, right, bottom = middle - 130, middle + 130, top + 160
    canvas.plank(rng, left - 16, top - 16, right + 16, bottom + 12, look.wood)
    canvas.rect(left, top, right, bottom, look.dark)
    canvas.plank(
        rng, left + 62, top + 22, right - 62, top + 84, mix(look.wood, (1, 1, 1), 0.06), upright=False
    )
    for side in (-1, 1):
        for row in range(5):
            canvas.ball(middle + side * 96, top + 22 + 22 * row, 6.5, mix(look.trim, look.wood, 0.3), 0.4)
    for row, y in enumerate((top + 94, top + 116)):
        canvas.rect(left + 52, y, right - 52, y + 15, (0.90, 0.86, 0.75))
        for key in range(1, 32):
            x = left + 52 + key * (right - left - 104) / 32
            canvas.rect(x - 0.5, y, x + 0.5, y + 15, (0.25, 0.2, 0.15), 0.7)
            if key % 7 not in (0, 3):
                canvas.rect(x - 1.6, y, x + 1.6, y + 8, (0.1, 0.08, 0.07))
        canvas.rect(left + 52, y + 15, right - 52, y + 19, (0, 0, 0), 0.5)
        canvas.rect(left + 40, y - 2 - row, left + 52, y + 19, look.wood)
        canvas.rect(right - 52, y - 2 - row, right - 40, y + 19, look.wood)
    canvas.plank(rng, left - 6, bottom - 22, right + 6, bottom + 2, look.wood, upright=False)
    regions.append(region("keydesk", left, top, right, bottom))
