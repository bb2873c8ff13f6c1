"""Carving on the invented cases: shades of leaves, gables, urns and pinnacles."""

from __future__ import annotations

import math

import numpy as np

from inventory.drawings.pictures import Canvas, Colour, Point, mix


def draw_scroll(
    canvas: Canvas, colour: Colour, x: float, y: float, radius: float, mirrored: bool, width: float
) -> None:
    """Draw a leafy scroll that unrolls from (x, y) outward."""
    side = -1 if mirrored else 1
    points: list[Point] = []
    for turn in np.linspace(0.4, 2 * math.pi * 1.45, 44):
        reach = radius * float(turn) / (2 * math.pi * 1.45)
        points.append((x + side * reach * math.cos(float(turn)), y + reach * 0.86 * math.sin(float(turn))))
    for shift, tone, thick in (
        (1.6, mix(colour, (0, 0, 0), 0.62), width + 1.6),
        (0.0, colour, width),
        (-0.9, mix(colour, (1, 1, 1), 0.5), width * 0.32),
    ):
        canvas.line([(px + shift, py + shift) for px, py in points], tone, thick)
    for n in (20, 28, 36):
        px, py = points[n]
        away = math.atan2(py - y, px - x)
        leaf = radius * 0.34
        tip = (px + leaf * 1.35 * math.cos(away + 0.5 * side), py + leaf * 1.35 * math.sin(away + 0.5 * side))
        one = (px + leaf * 0.4 * math.cos(away + 1.7), py + leaf * 0.4 * math.sin(away + 1.7))
        two = (px + leaf * 0.4 * math.cos(away - 1.7), py + leaf * 0.4 * math.sin(away - 1.7))
        canvas.polygon([(a + 1.4, b + 1.6) for a, b in (one, tip, two)], mix(colour, (0, 0, 0), 0.6))
        canvas.polygon([one, tip, two], mix(colour, (1, 1, 1), 0.06))
        canvas.line([(px, py), tip], mix(colour, (0, 0, 0), 0.4), 0.8, 0.7)


def draw_shades(
    canvas: Canvas, colour: Colour, left: float, right: float, top: float, deep: float, head: str
) -> None:
    """Hang carved shades under a cornice: a swag edge and paired scrolls."""
    middle, half = (left + right) / 2, (right - left) / 2
    edge: list[Point] = [(left, top - 4)]
    for t in np.linspace(-1, 1, 41):
        across = float(t)
        hang = (
            deep * (0.30 + 0.70 * across * across)
            if head == "cornice"
            else deep * (1.25 - 1.15 * math.sqrt(max(0.0, 1 - across * across * 0.98)))
        )
        ripple = 3.0 * math.cos(across * 16)
        edge.append((middle + half * across, top + hang + ripple))
    edge.append((right, top - 4))
    canvas.polygon([(x + 2, y + 5) for x, y in edge], (0, 0, 0), 0.45)
    canvas.polygon(edge, mix(colour, (0, 0, 0), 0.34))
    canvas.line(edge[1:-1], mix(colour, (1, 1, 1), 0.25), 2.2)
    radius = min(deep * 0.34, half * 0.30)
    for mirrored, side in ((False, 1), (True, -1)):
        draw_scroll(
            canvas,
            colour,
            middle + side * half * 0.70,
            top + deep * 0.34,
            radius,
            mirrored,
            max(2.0, radius * 0.17),
        )
        if half > 70:
            draw_scroll(
                canvas,
                colour,
                middle + side * half * 0.30,
                top + deep * 0.18,
                radius * 0.62,
                not mirrored,
                max(1.6, radius * 0.13),
            )


def draw_gable(
    canvas: Canvas, rng: np.random.Generator, wood: Colour, left: float, right: float, top: float, tall: bool
) -> None:
    """Close a field with a pointed arch, cut through a board with leaves of three lobes."""
    middle, half = (left + right) / 2, (right - left) / 2
    deep = min(half * 0.95, 96.0)
    board: list[Point] = [(left, top - 4), (left, top + deep)]
    for t in np.linspace(0, 1, 24):
        board.append(
            (left + half * float(t), top + deep - deep * 0.86 * math.sin(float(t) * math.pi / 2) ** 1.0)
        )
    for t in np.linspace(1, 0, 24):
        board.append((right - half * float(t), top + deep - deep * 0.86 * math.sin(float(t) * math.pi / 2)))
    board += [(right, top + deep), (right, top - 4)]
    canvas.polygon([(x + 2, y + 5) for x, y in board], (0, 0, 0), 0.5)
    canvas.polygon(board, mix(wood, (1, 1, 1), 0.04))
    inner = board[1:-1]
    canvas.line(inner, mix(wood, (0, 0, 0), 0.55), 5)
    canvas.line([(x, y - 2) for x, y in inner], mix(wood, (1, 1, 1), 0.35), 2)
    for side in (-1, 1):
        x, y, radius = middle + side * half * 0.72, top + deep * 0.26, deep * 0.13
        for turn in (math.pi / 2, math.pi * 7 / 6, math.pi * 11 / 6):
            canvas.ellipse(
                x + radius * 0.8 * math.cos(turn),
                y - radius * 0.8 * math.sin(turn),
                radius * 0.72,
                radius * 0.72,
                (0.09, 0.06, 0.045),
            )
    if tall:
        peak: list[Point] = [
            (left - 20, top - 34),
            (middle, top - 34 - half * 0.62 - 18),
            (right + 20, top - 34),
        ]
        canvas.polygon([(x + 5, y + 5) for x, y in peak], (0, 0, 0), 0.35)
        canvas.polygon(peak, mix(wood, (0, 0, 0), 0.06))
        canvas.line([peak[0], peak[1], peak[2]], mix(wood, (1, 1, 1), 0.28), 5)
        canvas.line([(x, y + 4) for x, y in peak], mix(wood, (0, 0, 0), 0.5), 2)
        centre = (middle, top - 34 - (half * 0.62 + 18) * 0.36)
        canvas.ellipse(*centre, half * 0.17, half * 0.17, mix(wood, (0, 0, 0), 0.6))
        for n in range(4):
            turn = n * math.pi / 2 + math.pi / 4
            canvas.ellipse(
                centre[0] + half * 0.075 * math.cos(turn),
                centre[1] + half * 0.075 * math.sin(turn),
                half * 0.062,
                half * 0.062,
                mix(wood, (1, 1, 1), 0.15),
            )


def draw_finial(canvas: Canvas, kind: str, colour: Colour, x: float, y: float, size: float) -> None:
    """Set an urn, a ball or a pinnacle on a tower, its foot at (x, y)."""
    shade = mix(colour, (0, 0, 0), 0.1)
    if kind == "urn":
        canvas.round_surface(x, y - 8 * size, y, 20 * size, shade)
        canvas.round_surface(x, y - 18 * size, y - 8 * size, lambda t: 7 * size + 8 * size * t**3, shade)
        canvas.round_surface(
            x,
            y - 54 * size,
            y - 18 * size,
            lambda t: 7 * size + 19 * size * np.sin(np.pi * (0.25 + 0.72 * t)),
            shade,
        )
        canvas.round_surface(x, y - 60 * size, y - 54 * size, 16 * size, mix(colour, (1, 1, 1), 0.1))
        canvas.round_surface(
            x, y - 88 * size, y - 60 * size, lambda t: 1.5 + 10 * size * t**0.6 * (1 - 0.4 * t), shade
        )
    elif kind == "pinnacle":
        canvas.round_surface(x, y - 26 * size, y, 12 * size, shade, dull=0.9)
        canvas.round_surface(x, y - 124 * size, y - 26 * size, lambda t: 1.2 + 14 * size * t, shade, dull=0.9)
        for n in range(5):
            reach = (1.2 + 14 * size * (n + 0.6) / 5) + 3 * size
            for side in (-1, 1):
                canvas.ball(x + side * reach, y - (124 - 20 * (n + 0.6)) * size, 4.2 * size, colour, 0.1)
        canvas.ball(x, y - 126 * size, 6 * size, colour, 0.2)
    else:
        canvas.round_surface(x, y - 10 * size, y, 18 * size, shade, dull=0.6)
        canvas.ball(x, y - 28 * size, 20 * size, colour, 0.3)
