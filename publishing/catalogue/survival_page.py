"""How long organs go on after works, as far as the published records tell: curves, numbers at risk, causes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from inventory.drawings.survival_curves import Stair, survival_drawing
from inventory.estimates.kaplan_meier import Survival
from inventory.punctuation import in_figures
from publishing.disclosure.values import Link, Names, PublicInstrument
from publishing.statistics.figures import SMALL
from publishing.statistics.survival import (
    SPELLS,
    BothEnds,
    Spell,
    both_ends,
    causes_of,
    frame_of_spells,
    spells_of,
)
from publishing.statistics.tables import as_csv

from .plates import Plate
from .rendering import word

PATH = "survival.html"
TABLE = "statistics/spells.csv"
STEP = 25
LONGEST = 200
"""Years drawn at most."""
Wanted = tuple[str, str, dict[str, Any]]
Told = tuple[Link, list[Spell], dict[str, Names]]


class SurvivalPage:
    """Gathers spells while instruments pass by."""

    def __init__(self) -> None:
        self.spells: list[Spell] = []
        self.links: dict[str, Link] = {}
        self.words: dict[str, Names] = {}
        self.instruments = 0

    @staticmethod
    def told_by(organ: PublicInstrument) -> Told:
        """What one instrument tells: its link, its spells, and the words of their causes."""
        words = {
            names["en"]: names for event in organ.events if (names := event.silenced_by) and "en" in names
        }
        return organ.link, spells_of(organ), words

    def add(self, told: Told) -> None:
        """Take what one instrument tells."""
        link, spells, words = told
        self.instruments += 1
        self.spells += spells
        self.words |= words
        if spells:
            self.links[link.reference] = link

    def file(self) -> tuple[str, bytes]:
        """The table behind the page."""
        return TABLE, as_csv(frame_of_spells(self.spells))

    def pages(self) -> Iterator[Wanted]:
        """The one page."""
        table = frame_of_spells(self.spells)
        groups = [(_("all instruments"), "all", table)]
        for name, code, share in ((_("instruments that share pipes"), "sharing", True),
                                  (_("instruments that do not"), "others", False)):  # fmt: skip
            part = table[table["sharing"] == share]
            if len(part):
                groups.append((name, code, part))
        yield (
            "survival.html",
            PATH,
            {
                "title": _("From works to silence"),
                "description": _(
                    "How long instruments went on after they were built or worked on, and what silenced them."
                ),
                "section": "statistics.html",
                "table": TABLE,
                "n": len(table),
                "instruments": self.instruments,
                "in_table": table["reference"].nunique(),
                "silent": int(table["fell_silent"].sum()),
                "groups": [self._group(name, code, part) for name, code, part in groups],
                "causes": [
                    (word(self.words.get(cause)) or cause, [self.links[r] for r in references])
                    for cause, references in causes_of(table)
                ],
                "columns": SPELLS,
                "small": SMALL,
            },
        )

    def _group(self, name: str, code: str, table: pd.DataFrame) -> dict[str, Any]:
        curves = both_ends(table)
        longest = min(LONGEST, max((*curves.early.times, *curves.late.times), default=0))
        ticks = [float(t) for t in range(0, int(longest) + 1, STEP)] or [0.0]
        silent = int(table["fell_silent"].sum())
        told = ngettext(
            "%(n)d spell, %(silent)d ended in silence",
            "%(n)d spells, %(silent)d ended in silence",
            len(table),
        )
        return {
            "name": name,
            "code": code,
            "few": silent < SMALL,
            "told": told % {"n": len(table), "silent": silent},
            "plate": _plate(curves, name, code, max(1.0, float(longest)), ticks) if silent else None,
            "medians": [_median(curves.early), _median(curves.late)],
            "rows": [_row(curves, tick) for tick in ticks],
        }


def _plate(curves: BothEnds, name: str, code: str, longest: float, ticks: list[float]) -> Plate:
    title = _("Still going after works: %(group)s") % {"group": name}
    early, late = _stair(curves.early, ticks), _stair(curves.late, ticks)
    wide = survival_drawing(early, late, title, longest=longest, ticks=ticks, prefix=f"survival-{code}")
    narrow = survival_drawing(
        early, late, title, longest=longest, ticks=ticks, prefix=f"survival-{code}-narrow", narrow=True
    )
    return Plate(wide, narrow, f"survival-{code}")


def _stair(curve: Survival, ticks: list[float]) -> Stair:
    steps = curve.steps
    return Stair(
        [step.time for step in steps],
        [max(0.0, step.survival) for step in steps],
        [step.low for step in steps],
        [step.high for step in steps],
        curve.at_risk_at(ticks),
    )


def _row(curves: BothEnds, tick: float) -> dict[str, Any]:
    return {
        "years": in_figures(f"{tick:g}"),
        "cells": [_cell(curve, tick) for curve in (curves.early, curves.late)],
    }


def _cell(curve: Survival, tick: float) -> dict[str, str]:
    """Share, band and number at risk at a time; no figure beyond the last spell watched."""
    share = curve.share_at(tick)
    at_risk = curve.at_risk_at([tick])[0]
    if share is None:
        return {"share": "–", "band": "–", "at_risk": str(at_risk)}
    step = next((one for one in reversed(curve.steps) if one.time <= tick), None)
    band = "–"
    if step is not None and step.low is not None and step.high is not None:
        band = in_figures(f"{step.low * 100:.1f}–{step.high * 100:.1f} %")
    return {"share": in_figures(f"{share * 100:.1f} %"), "band": band, "at_risk": str(at_risk)}


def _median(curve: Survival) -> str:
    return (
        _("not reached")
        if curve.median is None
        else _("%(n)s years") % {"n": in_figures(f"{curve.median:g}")}
    )
