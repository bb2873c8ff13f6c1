"""Invented views of an opened toeboard: holes, chambers, leather flaps, pipes that still stand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from PIL import Image

from inventory.drawings.pictures import FINER, HEIGHT, WIDTH, Canvas, Colour, Pixels, RegionBox, mix, region
from inventory.drawings.toeboards import nominal_diameter_mm
from inventory.organ.layouts import order_channels
from inventory.organ.notes import note_name
from inventory.organ.schemes import Keyboard

_WOOD: Colour = (0.70, 0.54, 0.35)
_LEATHER: Colour = (0.66, 0.46, 0.31)
_DARK: Colour = (0.055, 0.04, 0.03)
_CORNERS = ((34.0, 1080.0), (1572.0, 1016.0), (1330.0, 470.0), (236.0, 516.0))
"""Where the front left, front right, back right and back left corner of the board are seen."""


@dataclass(frozen=True)
class _View:
    """Perspective from the flat board (1600 × 1200, front at the bottom) to the picture."""

    matrix: Pixels

    def at(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the flat board is seen."""
        a, b, c = self.matrix @ np.array([x, y, 1.0])
        return float(a / c), float(b / c)

    def scale(self, x: float, y: float) -> float:
        """How large a length across the board is seen at a point."""
        return abs(self.at(x + 5, y)[0] - self.at(x - 5, y)[0]) / 10


def draw_open_toeboard(
    seed: int, stops: Sequence[str], keys: int, flap_valves: bool = True, layout: str = "chromatic"
) -> tuple[Image.Image, list[RegionBox]]:
    """Draw a board lifted open, seen from the passage: the front row nearest, the last row still standing.

    Layouts are those of `organ.layouts.LAYOUTS`. Returns the picture (1600 × 1200) and the
    regions of its rows, of a lifted flap and of a curled one where there are flaps.
    """
    if not 1 <= len(stops) <= 8:
        raise ValueError(f"{len(stops)} stops: draw 1 to 8 rows")
    if not 1 <= keys <= 73:
        raise ValueError(f"{keys} keys: draw 1 to 73 channels")
    rng = np.random.default_rng(seed)
    notes = list(range(36, 36 + keys))
    order = [key for _keyboard, key in order_channels(layout, [Keyboard("I", tuple(notes))])]
    view = _View(_homography(((0, 1200), (1600, 1200), (1600, 0), (0, 0)), _CORNERS))
    wood = mix(_WOOD, (0.5, 0.34, 0.2), float(rng.uniform(0, 0.5)))
    columns = _columns(order, notes)
    rows = [1200 - 1200 / len(stops) * (n + 0.5) for n in range(len(stops))]
    band = 1200 / len(stops)

    canvas = Canvas((0.14, 0.115, 0.095))
    _loft(canvas, rng, wood)
    flat, shown = _flat_board(rng, wood, stops, rows, band, columns, order, notes, flap_valves)
    _lay(canvas, flat, view)
    _front_edge(canvas, rng, wood, view)
    regions = []
    for n, stop in enumerate(stops):
        y0, y1 = rows[n] - band / 2, rows[n] + band / 2
        seen = [view.at(x, y) for x, y in ((0, y0), (1600, y0), (1600, y1), (0, y1))]
        regions.append(_around(f"row of {stop}", seen))
    for label, x, y, reach in shown:
        seen = [view.at(x + a * reach, y + b * reach) for a, b in ((-1, -1), (1, -1), (1, 1), (-1, 1))]
        regions.append(_around(label, seen))
    _standing_pipes(canvas, rng, wood, view, columns, order, notes, rows[-1], band)
    left, right = view.at(0, rows[-1]), view.at(1600, rows[-1])
    regions.append(region(f"pipes of {stops[-1]}, still standing", left[0], 0, right[0], left[1]))
    return canvas.finish(0.35, 0.55), regions


def _around(label: str, points: Sequence[tuple[float, float]]) -> RegionBox:
    xs, ys = [p[0] for p in points], [p[1] for p in points]
    return region(label, min(xs), min(ys), max(xs), max(ys))


def _homography(source: Sequence[tuple[float, float]], target: Sequence[tuple[float, float]]) -> Pixels:
    """The projective map that takes four points to four others."""
    rows, right = [], []
    for (x, y), (u, v) in zip(source, target, strict=True):
        rows += [[x, y, 1, 0, 0, 0, -u * x, -u * y], [0, 0, 0, x, y, 1, -v * x, -v * y]]
        right += [u, v]
    solved = np.linalg.solve(np.array(rows, dtype=float), np.array(right, dtype=float))
    return np.append(solved, 1.0).reshape(3, 3)


def _columns(order: Sequence[int], notes: Sequence[int]) -> list[float]:
    """Middle of every channel across the flat board, wide where its pipe is wide."""
    wide = [max(nominal_diameter_mm(notes[key - 1]), 26.0) + 14 for key in order]
    total, x, middles = sum(wide), 40.0, []
    for each in wide:
        middles.append(x + each / total * 1520 / 2)
        x += each / total * 1520
    return middles


def _gap(columns: Sequence[float], place: int) -> float:
    """Distance to the nearer neighbour."""
    beside = [abs(columns[place] - columns[m]) for m in (place - 1, place + 1) if 0 <= m < len(columns)]
    return min([*beside, 90.0])


def _flat_board(
    rng: np.random.Generator, wood: Colour, stops: Sequence[str], rows: Sequence[float], band: float,
    columns: Sequence[float], order: Sequence[int], notes: Sequence[int], flaps: bool,
) -> tuple[Canvas, list[tuple[str, float, float, float]]]:  # fmt: skip
    """Paint the board as if seen straight from above; returns it and what is worth a label."""
    flat = Canvas(wood)
    shown: list[tuple[str, float, float, float]] = []
    open_rows = max(1, len(stops) - 1)
    lifted = (int(rng.integers(0, open_rows)), int(len(columns) * rng.uniform(0.10, 0.30)))
    curled = (int(rng.integers(0, open_rows)), int(len(columns) * rng.uniform(0.38, 0.55)))
    for n, middle in enumerate(rows):
        top, bottom = middle - band / 2, middle + band / 2
        flat.plank(
            rng,
            0,
            top,
            1600,
            bottom,
            mix(wood, (1, 1, 1), float(rng.uniform(-0.0, 0.08))),
            upright=False,
            bevel=3,
        )
        flat.rect(0, bottom - 3, 1600, bottom + 3, (0, 0, 0), 0.55)
        flat.words(24, top + 30, stops[n], 30, (0.25, 0.13, 0.07), face="It", anchor="lm", alpha=0.75)
        for x in range(90, 1600, 284):
            flat.ellipse(x, bottom - 15, 6, 6, (0.36, 0.34, 0.31))
            flat.line([(x - 4, bottom - 18), (x + 4, bottom - 12)], _DARK, 1.6)
        for place, key in enumerate(order):
            x, note = columns[place], notes[key - 1]
            gap = _gap(columns, place)
            radius = min(3.4 + nominal_diameter_mm(note) / 15, gap * 0.34, band * 0.13)
            if flaps and n < open_rows:
                state = "lifted" if (n, place) == lifted else "curled" if (n, place) == curled else "flat"
                _chamber(flat, rng, x, middle + band * 0.06, gap * 0.43, band * 0.30, radius, state, wood)
                if state != "flat":
                    shown.append(
                        (f"flap {state}, {note_name(note)}", x, middle + band * 0.06, max(gap, band * 0.3))
                    )
            else:
                _hole(flat, x, middle + band * 0.06, radius, wood)
            if note % 12 == 0 or place in (0, len(order) - 1):
                flat.words(x, bottom - 38, note_name(note), 27, (0.22, 0.12, 0.07), face="It", alpha=0.85)
    return flat, shown


def _hole(flat: Canvas, x: float, y: float, radius: float, wood: Colour) -> None:
    """A bored hole with its burnt rim and a little light on the far wall."""
    flat.ellipse(x, y, radius * 1.34, radius * 1.34, mix(wood, (0.18, 0.09, 0.04), 0.62), 0.75)
    flat.ellipse(x, y, radius, radius, _DARK)
    flat.ellipse(x + radius * 0.16, y + radius * 0.2, radius * 0.78, radius * 0.72, mix(wood, _DARK, 0.80))
    flat.ellipse(x - radius * 0.05, y - radius * 0.05, radius * 0.74, radius * 0.74, (0.02, 0.015, 0.01))


def _chamber(
    flat: Canvas, rng: np.random.Generator, x: float, y: float, half: float, deep: float, radius: float, state: str,
    wood: Colour,
) -> None:  # fmt: skip
    """A chamber cut in the board, with a hole from each of two channels and a flap on each."""
    flat.rect(x - half, y - deep, x + half, y + deep, mix(wood, (0.12, 0.07, 0.04), 0.5))
    flat.rect(x - half, y - deep, x + half, y - deep + 6, (0, 0, 0), 0.5)
    flat.rect(x - half, y - deep, x - half + 3, y + deep, (0, 0, 0), 0.42)
    flat.rect(x - half, y + deep - 2.5, x + half, y + deep, (1, 1, 1), 0.25)
    hole = min(radius, half * 0.55, deep * 0.26)
    for side in (-1, 1):
        cy = y + side * deep * 0.46
        _hole(flat, x, cy, hole, mix(wood, _DARK, 0.35))
        tone = mix(_LEATHER, (0.90, 0.80, 0.64), float(rng.uniform(0.1, 0.75)))
        reach, long = min(hole * 1.5, half * 0.86), deep * 0.40
        if state == "lifted" and side == 1:
            flat.rect(x - reach + 4, cy + long * 0.5, x + reach + 8, cy + long + 8, (0, 0, 0), 0.4)
            flat.rect(x - reach, cy + long * 0.42, x + reach, cy + long, mix(tone, (1, 1, 1), 0.18))
            flat.rect(x - reach, cy + long * 0.42, x + reach, cy + long * 0.42 + 2.4, (1, 1, 1), 0.45)
            continue
        shift = hole * 0.55 if state == "curled" and side == -1 else float(rng.normal(0, hole * 0.05))
        slant = hole * 0.7 if state == "curled" and side == -1 else 0.0
        corners = [
            (x - reach + shift, cy - long), (x + reach + shift, cy - long + slant * 0.4),
            (x + reach - slant, cy + long * 0.88), (x + reach * 0.8 - slant, cy + long),
            (x - reach * 0.8 + slant, cy + long - slant), (x - reach + slant, cy + long * 0.88 - slant),
        ]  # fmt: skip
        flat.polygon([(px + 2.5, py + 3.5) for px, py in corners], (0, 0, 0), 0.45)
        flat.polygon(corners, tone)
        flat.line([corners[0], corners[1]], mix(tone, (0, 0, 0), 0.45), 3.0)
        flat.line([corners[0], corners[-1]], (1, 1, 1), 1.2, 0.35)
        flat.ellipse(x, cy, hole * 0.82, hole * 0.82, (0, 0, 0), 0.10)


def _lay(canvas: Canvas, flat: Canvas, view: _View) -> None:
    """Set the flat board into the picture in perspective."""
    enlarge = np.diag([FINER, FINER, 1.0])
    back = np.linalg.inv(enlarge @ view.matrix @ np.linalg.inv(enlarge))
    back = (back / back[2, 2]).flatten()[:8]
    size = (WIDTH * FINER, HEIGHT * FINER)
    image = Image.fromarray((np.clip(flat.pixels, 0, 1) * 255).astype(np.uint8))
    board = image.transform(size, Image.Transform.PERSPECTIVE, tuple(back), Image.Resampling.BICUBIC)
    corners = [view.at(x, y) for x, y in ((0, 0), (1600, 0), (1600, 1200), (0, 1200))]
    canvas.shadow([(x, y + 40) for x, y in corners], 30, 0.6)
    made = np.asarray(board, dtype=np.float32) / 255
    left, top = int(max(0, min(x for x, _y in corners)) * FINER), int(min(y for _x, y in corners) * FINER)
    canvas.polygon(corners, made[top:, left:])


def _loft(canvas: Canvas, rng: np.random.Generator, wood: Colour) -> None:
    """The dim inside of the organ behind the board: posts, and rows of pipes in the dark."""
    for y in range(0, 1000, 8):
        canvas.rect(0, y, WIDTH, y + 8, (0.30, 0.25, 0.20), 0.5 * np.sin(np.pi * y / 1000))
    for n in range(34):
        x = 30 + n * 47 + float(rng.uniform(-6, 6))
        half = 12 + 9 * abs(n - 17) / 17
        canvas.round_surface(x, 0, 420 + float(rng.uniform(-12, 12)), half, (0.24, 0.22, 0.20), dull=0.6)
    canvas.rect(0, 0, WIDTH, 430, (0.08, 0.06, 0.05), 0.45)
    canvas.plank(rng, 0, 396, WIDTH, 436, mix(wood, (0, 0, 0), 0.62), upright=False)
    for x in (120, 1430):
        canvas.plank(rng, x, 0, x + 52, 560, mix(wood, (0, 0, 0), 0.6))


def _front_edge(canvas: Canvas, rng: np.random.Generator, wood: Colour, view: _View) -> None:
    left, right = view.at(0, 1200), view.at(1600, 1200)
    for depth, tall, tone in ((0, 40, 0.22), (40, 16, 0.72), (56, 46, 0.38)):
        corners = [(left[0], left[1] + depth), (right[0], right[1] + depth)]
        corners += [(right[0], right[1] + depth + tall), (left[0], left[1] + depth + tall)]
        canvas.polygon(corners, mix(wood, (0, 0, 0), tone))
        canvas.line(corners[:2], (1, 1, 1), 1.6, 0.3)
    for n in range(9):
        x, y = view.at(90 + n * 178, 1200)
        canvas.ellipse(x, y + 20, 6, 6, (0.30, 0.28, 0.26))
    canvas.polygon(
        [(0, left[1] + 102), (WIDTH, right[1] + 102), (WIDTH, HEIGHT), (0, HEIGHT)], (0.05, 0.04, 0.035)
    )


def _standing_pipes(
    canvas: Canvas, rng: np.random.Generator, wood: Colour, view: _View, columns: Sequence[float],
    order: Sequence[int], notes: Sequence[int], row: float, band: float,
) -> None:  # fmt: skip
    """The last row, its pipes still in their rack."""
    y_flat = row + band * 0.06
    rack = 118.0
    for place, key in enumerate(order):
        x, y = view.at(columns[place], y_flat)
        note, size = notes[key - 1], view.scale(columns[place], y_flat)
        gap = _gap(columns, place)
        half = max(min(nominal_diameter_mm(note) * 0.24, gap * 0.47) * size, 2.2)
        mouth = y - 150 * size - 26
        long = 2 ** (-(note - 36) / 12) * 1150 * size + 26
        tint = mix((0.80, 0.80, 0.79), (0.62, 0.60, 0.56), float(rng.uniform(0, 0.5)))
        canvas.ellipse(x + 7, y + 1, half * 0.9, half * 0.3, (0, 0, 0), 0.4)
        canvas.round_surface(x, mouth, y, lambda t, half=half: half * (1 - 0.72 * t), tint, dull=0.25)
        canvas.round_surface(x, max(mouth - long, -4), mouth, half, tint, dull=0.25)
        if mouth - long > 0:
            canvas.ellipse(x, mouth - long, half, half * 0.2, mix(tint, (0, 0, 0), 0.7))
        if half > 4:
            canvas.rect(x - half * 0.62, mouth - half * 0.42, x + half * 0.62, mouth, (0.06, 0.05, 0.045))
            lip = [
                (x - half * 0.62, mouth - half * 0.42),
                (x, mouth - half * 1.9),
                (x + half * 0.62, mouth - half * 0.42),
            ]
            canvas.polygon(lip, mix(tint, (1, 1, 1), 0.12), 0.6)
    left, right = view.at(20, y_flat), view.at(1580, y_flat)
    ends = [(left[0], left[1] - rack), (right[0], right[1] - rack)]
    front = [*ends, (ends[1][0], ends[1][1] + 17), (ends[0][0], ends[0][1] + 17)]
    canvas.polygon([(x, y + 14) for x, y in front], (0, 0, 0), 0.35)
    canvas.polygon(front, mix(wood, (0, 0, 0), 0.14))
    canvas.line(ends, (1, 1, 1), 1.6, 0.4)
    for share in (0.0, 0.34, 0.67, 1.0):
        x = left[0] + (right[0] - left[0]) * share
        y = left[1] + (right[1] - left[1]) * share
        canvas.plank(rng, x - 9, y - rack + 16, x + 9, y + 4, mix(wood, (0, 0, 0), 0.2))
