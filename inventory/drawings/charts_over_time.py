"""Charts over decades: how many instruments, and how many of them share pipes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.svg import INK, PAPER, RULE, SHARED, SHARED_LINE, SOFT, Drawing, Sheet
from inventory.punctuation import in_figures, semicolons

_LEFT, _RIGHT, _TOP = 40.0, 14.0, 26.0


@dataclass(frozen=True)
class Decade:
    """One decade: instruments expected in it, and those of them that share."""

    year: int
    sharing: float
    of: float


def decade_bars(
    decades: Sequence[Decade], title: str, *, prefix: str = "decades", narrow: bool = False
) -> Drawing:
    """Draw a bar for each decade from the first to the last, the sharing part filled and hatched apart."""
    width = 360.0 if narrow else 720.0
    plot, foot = 150.0, 34.0
    sheet = Sheet(width, _TOP + plot + foot, prefix)
    hatch = sheet.hatch("sharing", SHARED_LINE, SHARED, step=5)
    known = {decade.year: decade for decade in decades}
    years = list(range(min(known), max(known) + 10, 10)) if known else []
    most = max((decade.of for decade in decades), default=0.0) or 1.0
    step = next(s for s in (1, 2, 5, 10, 20, 50, 100, 200, 500, 10**9) if most / s <= 5)
    base = _TOP + plot
    for tick in range(0, int(most) + 1, step):
        y = base - tick / most * plot
        sheet.line(_LEFT, y, width - _RIGHT, y, stroke=RULE, stroke_width=0.8)
        sheet.text(_LEFT - 6, y + 4, f"{tick}", 11.5, "end", fill=SOFT)
    slot = (width - _LEFT - _RIGHT) / max(1, len(years))
    every = max(1, -(-int(42 if narrow else 36) // max(1, int(slot))))
    for place, year in enumerate(years):
        x, bar = _LEFT + place * slot, min(slot * 0.7, 40.0)
        middle = x + slot / 2
        decade = known.get(year)
        if decade is not None and decade.of > 0:
            high, shared = decade.of / most * plot, decade.sharing / most * plot
            look: dict[str, str | float | None] = {"stroke": INK, "stroke_width": 0.9}
            sheet.rect(middle - bar / 2, base - high, bar, high, fill=PAPER, **look)
            if shared > 0:
                sheet.rect(middle - bar / 2, base - shared, bar, shared, fill=hatch, **look)
        if place % every == 0:
            sheet.text(middle, base + 16, f"{year}", 11.5, "middle")
    sheet.line(_LEFT, base, width - _RIGHT, base)
    told = semicolons(
        _("%(year)ss: %(sharing)s of %(of)s")
        % {"year": d.year, "sharing": in_figures(f"{d.sharing:.2f}"), "of": in_figures(f"{d.of:.2f}")}
        for d in decades
    )
    caption = _(
        "Height: instruments expected in the decade, uncertain dates spread over their years. Hatched: those that "
        "share pipes. The table beside has the numbers."
    )
    return sheet.finish(title, told + ".", caption)
