"""Invented views of what wears: a grid seen from below with split bars, trackers hung and unhung.

Two of one seed are drawn from the same standpoint: nothing differs but what the surveyor came to see.
"""

from __future__ import annotations

import numpy as np
from PIL import Image

from inventory.drawings.pictures import HEIGHT, WIDTH, Canvas, Colour, RegionBox, mix, region

_WOOD: Colour = (0.66, 0.51, 0.34)
_DARK: Colour = (0.05, 0.04, 0.03)
_NEW: Colour = (0.88, 0.78, 0.58)
_LEFT, _RIGHT, _TOP, _BOTTOM = 110.0, 1490.0, 150.0, 1050.0


def draw_grid(
    seed: int, channels: int, splits: int, mended: bool = False
) -> tuple[Image.Image, list[RegionBox]]:
    """Draw the grid of a slider chest from below, the pallets taken out: so many of its bars are split, or mended.

    Returns the picture (1600 × 1200) and the regions of the grid and of the stretch with the splits.
    """
    if not 2 <= channels <= 60:
        raise ValueError(f"{channels} channels: draw 2 to 60")
    if not 0 <= splits < channels:
        raise ValueError(f"{splits} splits: draw 0 to {channels - 1}, one a bar")
    rng = np.random.default_rng(seed)
    canvas = Canvas((0.13, 0.11, 0.09))
    wood = mix(_WOOD, (0.48, 0.33, 0.2), float(rng.uniform(0, 0.5)))
    for y in (_TOP - 70, _BOTTOM):
        canvas.plank(rng, _LEFT - 70, y, _RIGHT + 70, y + 70, wood, upright=False, bevel=5)
    for x in (_LEFT - 70, _RIGHT):
        canvas.plank(rng, x, _TOP, x + 70, _BOTTOM, wood, bevel=5)
    canvas.rect(_LEFT, _TOP, _RIGHT, _BOTTOM, _DARK)
    step = (_RIGHT - _LEFT) / channels
    first = int(rng.integers(1, max(2, channels - splits)))
    for bar in range(1, channels):
        x, half = _LEFT + bar * step, step * 0.17
        canvas.plank(rng, x - half, _TOP, x + half, _BOTTOM, mix(wood, (1, 1, 1), float(rng.uniform(0, 0.1))))
        way = _split_of(rng, x, half)
        if not first <= bar < first + splits:
            continue
        if mended:
            canvas.line(way, _NEW, 7)
            canvas.line([(px + 3, py) for px, py in way], (0.35, 0.24, 0.14), 1.2, 0.6)
        else:
            canvas.line(way, _DARK, 4.5)
            canvas.line([(px + 2.5, py) for px, py in way], (1, 1, 1), 1.0, 0.35)
    for n in range(7):
        canvas.ellipse(_LEFT - 34, _TOP + n * (_BOTTOM - _TOP) / 6, 7, 7, (0.33, 0.31, 0.29))
        canvas.ellipse(_RIGHT + 34, _TOP + n * (_BOTTOM - _TOP) / 6, 7, 7, (0.33, 0.31, 0.29))
    regions = [region("grid, from below", _LEFT, _TOP, _RIGHT, _BOTTOM)]
    if splits:
        left, right = _LEFT + (first - 0.6) * step, _LEFT + (first + splits - 0.4) * step
        regions.append(region("bars mended" if mended else "bars split", left, _TOP, right, _BOTTOM))
    return canvas.finish(0.35, 0.5), regions


def _split_of(rng: np.random.Generator, x: float, half: float) -> list[tuple[float, float]]:
    """The way of a split along a bar: always drawn by lot, so that both pictures take the same lots."""
    top = float(rng.uniform(_TOP + 60, _TOP + 300))
    bottom = float(rng.uniform(_BOTTOM - 330, _BOTTOM - 60))
    return [(x + float(rng.uniform(-half, half)) * 0.7, top + (bottom - top) * n / 9) for n in range(10)]


def draw_trackers(seed: int, keys: int, hung: bool = True) -> tuple[Image.Image, list[RegionBox]]:
    """Draw a row of trackers between a roller board and its backfalls, hung or hanging loose.

    Returns the picture (1600 × 1200) and the regions of the rollers, the trackers and the backfalls.
    """
    if not 2 <= keys <= 61:
        raise ValueError(f"{keys} keys: draw 2 to 61 trackers")
    rng = np.random.default_rng(seed)
    canvas = Canvas((0.17, 0.14, 0.11))
    wood = mix(_WOOD, (0.5, 0.34, 0.2), float(rng.uniform(0, 0.5)))
    for x in (0, 1490):
        canvas.plank(rng, x, 0, x + 110, HEIGHT, mix(wood, (0, 0, 0), 0.45))
    canvas.plank(rng, 90, 70, 1510, 330, wood, upright=False, bevel=4)
    step = 1320 / keys
    rollers = max(2, keys // 4)
    for n in range(rollers):
        y, left, right = 88 + 222 * n / rollers, 140 + n * 1320 / rollers * 0.55, 1460 - (rollers - n) * 26
        canvas.rect(left, y + 3, right, y + 9, (0, 0, 0), 0.3)
        canvas.rect(left, y, right, y + 6, mix(wood, (0.2, 0.13, 0.08), 0.6))
        canvas.rect(left, y, right, y + 1.5, (1, 1, 1), 0.2)
    canvas.plank(rng, 90, 905, 1510, 965, mix(wood, (0, 0, 0), 0.2), upright=False, bevel=3)
    for n in range(keys):
        x = 140 + (n + 0.5) * step
        swing, drop = float(rng.uniform(-0.9, 0.9)) * step, float(rng.uniform(10, 70))
        tone = mix((0.86, 0.74, 0.52), wood, float(rng.uniform(0, 0.6)))
        end = (x, 884.0) if hung else (x + swing, 884.0 - drop)
        canvas.line([(x + 3, 322), (end[0] + 3, end[1] + 2)], (0, 0, 0), 4.6, 0.45)
        canvas.line([(x, 318), end], tone, 4.6)
        canvas.line([end, (end[0], end[1] + 16)], (0.75, 0.68, 0.42), 1.8)
        canvas.ellipse(x, 906, 3.4, 3.4, (0.70, 0.63, 0.40))
        canvas.plank(
            rng,
            x - step * 0.22,
            908,
            x + step * 0.22,
            1120,
            mix(wood, (1, 1, 1), float(rng.uniform(0, 0.12))),
        )
    canvas.rect(0, 1120, WIDTH, HEIGHT, (0.07, 0.055, 0.045))
    row = "trackers, hung" if hung else "trackers, hanging loose"
    regions = [
        region("roller board", 90, 70, 1510, 330),
        region(row, 130, 330, 1470, 890),
        region("backfalls", 130, 900, 1470, 1120),
    ]
    return canvas.finish(0.35, 0.5), regions
