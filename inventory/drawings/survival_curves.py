"""Curves of survival: two staircases with the band between them and its outer 95 % bounds; numbers at risk below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.svg import INK, PAPER, RULE, SHARED_LINE, SOFT, WIND, WIND_LINE, Drawing, Sheet
from inventory.punctuation import semicolons

_LEFT, _RIGHT, _TOP, _PLOT = 46.0, 18.0, 20.0, 190.0


@dataclass(frozen=True)
class Stair:
    """One curve: at each time the share from then on, with its bounds where they are defined."""

    times: Sequence[float]
    shares: Sequence[float]
    lows: Sequence[float | None]
    highs: Sequence[float | None]
    at_risk: Sequence[int]
    """At the ticks given to the drawing."""


def survival_drawing(
    early: Stair,
    late: Stair,
    title: str,
    *,
    longest: float,
    ticks: Sequence[float],
    prefix: str = "survival",
    narrow: bool = False,
) -> Drawing:
    """Draw both curves; `early` has every silence as early as it may be, `late` as late. Times in years."""
    if longest <= 0 or any(not 0 <= share <= 1 for share in (*early.shares, *late.shares)):
        raise ValueError(f"longest {longest}: give years above 0 and shares from 0 to 1")
    width = 320.0 if narrow else 720.0
    base = _TOP + _PLOT
    sheet = Sheet(width, base + 92, prefix)
    right = width - _RIGHT

    def x_of(time: float) -> float:
        return _LEFT + min(time, longest) / longest * (right - _LEFT)

    def y_of(share: float) -> float:
        return base - share * _PLOT

    for share in (0, 0.25, 0.5, 0.75, 1):
        sheet.line(_LEFT, y_of(share), right, y_of(share), stroke=RULE, stroke_width=0.8)
        sheet.text(_LEFT - 6, y_of(share) + 4, f"{share * 100:.0f} %", 11, "end", fill=SOFT)
    band = sheet.hatch("band", SOFT, PAPER, step=6)
    outer = [*_stair(early.times, early.lows, early.shares, longest)]
    upper = [*_stair(late.times, late.highs, late.shares, longest)]
    points = [(x_of(t), y_of(s)) for t, s in upper] + [(x_of(t), y_of(s)) for t, s in reversed(outer)]
    if early.times or late.times:
        sheet.polygon(points, fill=band, stroke="none", fill_opacity=0.45)
    for stair, stroke, dash in ((early, SHARED_LINE, "5 3"), (late, WIND_LINE, None)):
        steps: list[str | float] = []
        for place, (time, share) in enumerate(_stair(stair.times, list(stair.shares), stair.shares, longest)):
            steps += ["M" if place == 0 else "L", x_of(time), y_of(share)]
        sheet.path(steps, stroke=stroke, stroke_width=2.2, stroke_dasharray=dash)
    sheet.line(_LEFT, base, right, base, stroke=INK)
    sheet.text(_LEFT, base + 30, _("still watched and going:"), 11, fill=SOFT)
    for place, tick in enumerate(ticks):
        x = x_of(tick)
        sheet.line(x, base, x, base + 4, stroke=INK)
        if not narrow or place % 2 == 0:
            sheet.text(x, base + 16, f"{tick:g}", 11, "middle")
            sheet.text(x, base + 46, f"{early.at_risk[place]}", 11, "middle", fill=SOFT)
            sheet.text(x, base + 62, f"{late.at_risk[place]}", 11, "middle", fill=SOFT)
    for y, stroke, dash in ((base + 42, SHARED_LINE, "5 3"), (base + 58, WIND_LINE, None)):
        sheet.line(4, y, 24, y, stroke=stroke, stroke_width=2.2, stroke_dasharray=dash)
    sheet.text(right, base + 80, _("years since works"), 11, "end", fill=SOFT)
    sheet.circle(_LEFT, y_of(1), 2.4, fill=WIND, stroke=WIND_LINE)
    caption = _(
        "Broken line: every silence as early as it may have come. Whole line: as late. Hatched: from the lower "
        "95 % bound of the first to the upper bound of the second. The table beside has the numbers."
    )
    told = semicolons(
        _("after %(year)g years %(early)s to %(late)s still going")
        % {"year": tick, "early": _percent(early, tick), "late": _percent(late, tick)}
        for tick in ticks
        if tick
    )
    return sheet.finish(title, f"{told or title}.", caption)


def share_at(stair: Stair, time: float) -> float:
    """The share just after a time."""
    share = 1.0
    for at, value in zip(stair.times, stair.shares, strict=True):
        if at <= time:
            share = value
    return share


def _percent(stair: Stair, time: float) -> str:
    return f"{share_at(stair, time) * 100:.0f} %"


def _stair(
    times: Sequence[float], values: Sequence[float | None], shares: Sequence[float], longest: float
) -> list[tuple[float, float]]:
    """Corners of a staircase from (0, 1); where a bound is not defined the share itself stands."""
    corners, level = [(0.0, 1.0)], 1.0
    for time, value, share in zip(times, values, shares, strict=True):
        corners.append((time, level))
        level = share if value is None else value
        corners.append((time, level))
    return [*corners, (longest, level)]
