"""Spells from works to silence: by hand, both ends, and the curves against SciPy and published figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import CensoredData, ecdf

from publishing.disclosure.values import EventValue, SurveyValue, When
from publishing.statistics.examples import example_instrument
from publishing.statistics.survival import (
    SPELLS,
    Spell,
    both_ends,
    causes_of,
    frame_of_spells,
    spells_of,
)


def when(first: int, last: int | None = None) -> When:
    return When(str(first), str(first), first, first, last or first)


def event(kind: str, first: int, last: int | None = None, cause: str = "") -> EventValue:
    return EventValue(
        f"{kind}-{first}", {"en": kind}, when(first, last), None, None, "", None, None, "", "certain", kind,
        {"en": cause} if cause else None,
    )  # fmt: skip


def visit(year: int, playability: str = "") -> SurveyValue:
    return SurveyValue(str(year), when(year), 2, "", "", None, playability=playability)


def organ(*events: EventValue, surveys=(), status: str = "in use", since: When | None = None):
    return replace(
        example_instrument(), events=events, surveys=tuple(surveys), status=status, status_since=since
    )


def lengths(one) -> list[tuple[int, int, bool]]:
    return [(s.shortest_years, s.longest_years, s.fell_silent) for s in spells_of(one)]


def test_works_then_silence_is_one_spell_with_its_cause():
    (spell,) = spells_of(organ(event("built", 1850), event("silenced", 1920, cause="wind supply failed")))
    assert (spell.shortest_years, spell.longest_years, spell.fell_silent) == (70, 70, True)
    assert (spell.cause, spell.ended_with, spell.sharing) == ("wind supply failed", "silence", True)


def test_next_works_end_a_spell_without_silence():
    one = organ(event("built", 1850), event("rebuilt", 1900), surveys=[visit(1980)])
    assert lengths(one) == [(50, 50, False), (80, 80, False)]


def test_uncertain_dates_give_a_shortest_and_a_longest_length():
    # By hand: built 1848 to 1852, silent 1918 to 1922: at least 66, at most 74 years.
    assert lengths(organ(event("built", 1848, 1852), event("silenced", 1918, 1922))) == [(66, 74, True)]


def test_visits_narrow_when_it_fell_silent():
    one = organ(event("built", 1850), event("silenced", 1900, 1960),
                surveys=[visit(1930, "some out"), visit(1950, "silent")])  # fmt: skip
    assert lengths(one) == [(80, 100, True)]


def test_what_is_silent_by_its_status_alone_counts_with_cause_not_recorded():
    (spell,) = spells_of(organ(event("built", 1850), status="silent", since=when(1890)))
    assert (spell.longest_years, spell.fell_silent, spell.cause) == (40, True, "")


def test_silent_since_nobody_knows_when_is_no_spell():
    assert spells_of(organ(event("built", 1850), status="silent")) == []


def test_after_works_the_same_instrument_may_go_again():
    one = organ(event("built", 1850), event("silenced", 1900), event("restored", 1950), surveys=[visit(2000)])
    assert lengths(one) == [(50, 50, True), (50, 50, False)]


def test_several_works_of_one_year_begin_one_spell():
    one = organ(event("built", 1850), event("repaired", 1850), surveys=[visit(1900)])
    assert lengths(one) == [(50, 50, False)]


def test_nobody_came_after_the_works_and_nothing_is_known():
    assert spells_of(organ(event("built", 1850))) == []
    assert spells_of(organ(event("built", 1990), surveys=[visit(1980)])) == []


def test_a_date_open_at_one_side_has_no_length():
    open_ended = replace(event("built", 1850), when=When("1850/..", "", 1, 1850, None))
    assert spells_of(organ(open_ended, event("silenced", 1900))) == []


def test_the_table_has_every_column_also_where_there_is_no_spell():
    assert frame_of_spells([]).columns.tolist() == [column.name for column in SPELLS]
    assert both_ends(frame_of_spells([])).early.steps == ()


# 6-MP arm of Freireich et al., Blood 21 (1963), as in values.md §8 (times with + are still going).
REMISSIONS = "6 6 6 6+ 7 9+ 10 10+ 11+ 13 16 17+ 19+ 20+ 22 23 25+ 32+ 32+ 34+ 35+".split()


def test_published_remissions_come_out_through_the_table_as_printed():
    spells = []
    for place, text in enumerate(REMISSIONS):
        time, ended = int(text.rstrip("+")), not text.endswith("+")
        spells.append(Spell(f"ORG-{place:02}", "built", 1900, 1900, time, time, ended, "", "", False))
    curves = both_ends(frame_of_spells(spells))
    # Source: values.md §8: S(t) .8571 .8067 .7529 .6902 .6275 .5378 .4482; at risk 21 17 15 12 11 7 6.
    found = [(int(s.time), round(s.survival, 4), s.at_risk) for s in curves.early.steps]
    assert found == [
        (6, 0.8571, 21), (7, 0.8067, 17), (10, 0.7529, 15), (13, 0.6902, 12), (16, 0.6275, 11),
        (22, 0.5378, 7), (23, 0.4482, 6),
    ]  # fmt: skip
    assert curves.early.median == curves.late.median == 23


def test_both_curves_agree_with_scipy():
    rng = np.random.default_rng(8)
    spells = []
    for place in range(60):
        short = int(rng.integers(1, 90))
        spells.append(
            Spell(f"ORG-{place:02}", "built", 1850, 1850, short, short + int(rng.integers(0, 20)),
                  bool(rng.random() < 0.6), "", "", False)
        )  # fmt: skip
    table = frame_of_spells(spells)
    curves = both_ends(table)
    for curve, column in ((curves.early, "shortest_years"), (curves.late, "longest_years")):
        silent = table["fell_silent"]
        data = CensoredData(
            table[column][silent].astype(float).to_numpy(),
            right=table[column][~silent].astype(float).to_numpy(),
        )
        outside = ecdf(data).sf  # SciPy's own product limit and log-log bounds
        bounds = outside.confidence_interval(method="log-log")
        for step in curve.steps:
            assert step.survival == pytest.approx(float(outside.evaluate(step.time)), abs=1e-12)
            if step.low is not None:
                assert step.low == pytest.approx(float(bounds.low.evaluate(step.time)), abs=1e-6)
                assert step.high == pytest.approx(float(bounds.high.evaluate(step.time)), abs=1e-6)


def test_the_late_curve_never_lies_below_the_early_one():
    rng = np.random.default_rng(3)
    spells = [
        Spell(f"ORG-{n:02}", "built", 1850, 1850, n, n + int(rng.integers(0, 30)), bool(n % 2), "", "", False)
        for n in range(1, 40)
    ]
    curves = both_ends(frame_of_spells(spells))
    for year in range(0, 39):
        early, late = curves.early.share_at(year), curves.late.share_at(year)
        assert early is None or late is None or late >= early - 0.08  # censoring may cross them a little


def test_causes_are_counted_with_their_instruments_and_no_maker_is_named():
    spells = [
        Spell("ORG-1", "built", 1850, 1850, 1, 1, True, "silence", "wind", False),
        Spell("ORG-2", "built", 1850, 1850, 1, 1, True, "silence", "", False),
        Spell("ORG-3", "built", 1850, 1850, 1, 1, True, "silence", "wind", False),
        Spell("ORG-4", "built", 1850, 1850, 1, 1, False, "next works", "", False),
    ]
    assert causes_of(frame_of_spells(spells)) == [("wind", ["ORG-1", "ORG-3"]), ("", ["ORG-2"])]
    assert not any("maker" in column.name for column in SPELLS)
