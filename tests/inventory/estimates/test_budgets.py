"""Budgets solved by hand, and what holds for every budget."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.estimates.budgets import (
    CONTINGENCY_PERCENT,
    Budget,
    Line,
    Phase,
    Terms,
    make_budget,
    price_growth,
)
from inventory.estimates.errors import EstimateError
from inventory.estimates.pert import ThreePoint


def line(code, phase="p1", quantity=1.0, low=90.0, likely=100.0, high=110.0, year=2025, **more):
    return Line(code, phase, quantity, ThreePoint(low, likely, high), year, **more)


def test_a_budget_solved_by_hand():
    # Flaps: 10 at 30/45/90 = 10 x 50 = 500. Boards: 2 at 100 = 200. Contingency 15 %: 105.
    # 2025 prices to the middle of 2027, two years at 10 %: x 1.21, so 805 x 0.21 = 169.05.
    # Tax 20 % of 974.05 = 194.81. Total 1168.86.
    lines = [line("flaps", quantity=10, low=30, likely=45, high=90), line("boards", quantity=2)]
    budget = make_budget(lines, [Phase("p1", 2027.5)], Terms(15, 10, 20))
    (phase,) = budget.phases
    assert [(one.low, one.expected, one.high) for one in phase.lines] == [(300, 500, 900), (180, 200, 220)]
    assert (phase.contingency, phase.inflation, phase.tax, phase.total) == (105, 169, 195, 1169)
    assert (budget.works, budget.low, budget.high, budget.total) == (700, 480, 1120, 1169)


def test_ranges_by_hand_independent_and_together():
    # Two lines of 4/6/12 (calhub.xyz: mean 6.67, SD 1.33), each 300 times: means 2000 + 2000, SDs 400 and 400.
    lines = [line(code, quantity=300, low=4, likely=6, high=12) for code in "ab"]
    budget = make_budget(lines, [Phase("p1")], Terms())
    assert budget.total == 4000
    apart = 1.959964 * 400 * math.sqrt(2)
    assert budget.independent == (round(4000 - apart), round(4000 + apart))
    # Together: 4000 ± 1.96 x 800 would reach 2432, above the 2400 of all low prices.
    assert budget.correlated == (round(4000 - 1.959964 * 800), round(4000 + 1.959964 * 800))


def test_a_range_never_leaves_what_all_low_and_all_high_prices_give():
    budget = make_budget([line("a", low=0, likely=0, high=600)], [Phase("p1")], Terms())
    assert budget.total == 100 and budget.correlated == (0, 296)


def test_the_sum_of_variances_of_a_published_table_gives_its_range():
    # gristprojectmanagement.us: variances sum to 14.98 (SD 3.87), total 103: 95.44 % of 95.26-110.74.
    deviation = math.sqrt(14.98)
    budget = make_budget(
        [line("all", quantity=1000, low=103 - 3 * deviation, likely=103, high=103 + 3 * deviation)],
        [Phase("p1")],
        Terms(),
    )
    low, high = (bound / 1000 for bound in budget.independent)
    assert low == pytest.approx(103 - 1.959964 * deviation, abs=0.001)
    assert (103 - low) / 1.959964 * 2 == pytest.approx(103 - 95.26, abs=0.01)
    assert (high - 103) / 1.959964 * 2 == pytest.approx(110.74 - 103, abs=0.01)


def test_contingency_passes_by_provisional_sums():
    lines = [line("seen"), line("chest", provisional=True, low=0, likely=100, high=200)]
    assert make_budget(lines, [Phase("p1")], Terms(contingency_percent=15)).contingency == 15


def test_a_repeated_line_counts_in_each_phase_and_says_what_phasing_adds():
    lines = [line("scaffold", phase="", repeated=True), line("work")]
    phases = [Phase("p1"), Phase("p2"), Phase("p3")]
    budget = make_budget(lines, phases, Terms())
    assert [phase.total for phase in budget.phases] == [200, 100, 100]
    assert budget.repeated_extra == 200
    assert make_budget(lines, phases[:1], Terms()).repeated_extra == 0


def test_steps_repeated_by_hand_are_counted_as_repeated_too():
    lines = [line("scaffold-1", repeated=True), line("scaffold-2", phase="p2", repeated=True)]
    assert make_budget(lines, [Phase("p1"), Phase("p2")], Terms()).repeated_extra == 100


def test_packages_keep_their_own_phases_and_repeated_steps():
    lines = [line("scaffold", phase="", repeated=True, package="a"), line("work", package="b")]
    phases = [Phase("p1", package="a"), Phase("p2", package="a"), Phase("p1", package="b")]
    budget = make_budget(lines, phases, Terms())
    assert [(one.package, one.code, one.total) for one in budget.phases] == [
        ("a", "p1", 100),
        ("a", "p2", 100),
        ("b", "p1", 100),
    ]
    assert budget.repeated_extra == 100


def test_lines_without_a_phase_stand_in_a_last_one_without_a_name():
    budget = make_budget([line("a", phase=""), line("b")], [Phase("p1")], Terms())
    assert [(phase.code, phase.total) for phase in budget.phases] == [("p1", 100), ("", 100)]


def test_an_empty_budget_is_nothing():
    assert make_budget([], [], Terms(10, 10, 10)) == Budget((), 0, (0, 0), (0, 0), 0)
    assert make_budget([], [Phase("p1")], Terms()).phases[0].total == 0


def test_prices_rise_to_the_middle_of_a_phase_and_never_fall():
    assert price_growth(2025, 2026.5, 4) == pytest.approx(1.04)
    assert price_growth(2025, 2026.0, 4) == pytest.approx(1.04**0.5)
    assert price_growth(2025, 2025.1, 4) == 1.0


def test_the_less_was_recorded_the_more_is_kept_in_reserve():
    percents = [CONTINGENCY_PERCENT[level] for level in range(6)]
    assert percents == sorted(percents, reverse=True)


@pytest.mark.parametrize(
    "lines, phases, terms, says",
    [
        ([line("a", phase="nowhere")], [Phase("p1")], (), "no phase 'nowhere'"),
        ([line("a"), line("a")], [Phase("p1")], (), "stands there twice"),
        ([line("a")], [Phase("p1"), Phase("p1")], (), "stands there twice"),
        ([line("a", quantity=-1)], [Phase("p1")], (), "below 0"),
        ([], [], (-1,), "outside 0 to 200"),
        ([], [], (0, 0, math.nan), "outside 0 to 200"),
    ],
)
def test_nonsense_is_refused_in_words(lines, phases, terms, says):
    with pytest.raises(EstimateError, match=says):
        make_budget(lines, phases, Terms(*terms))


AMOUNT = st.floats(min_value=0, max_value=50_000, allow_nan=False)
LINES = st.lists(
    st.builds(
        lambda phase, quantity, prices, provisional, repeated: (
            phase,
            quantity,
            sorted(prices),
            provisional,
            repeated,
        ),
        st.sampled_from(["p1", "p2", ""]),
        st.floats(min_value=0, max_value=200),
        st.tuples(AMOUNT, AMOUNT, AMOUNT),
        st.booleans(),
        st.booleans(),
    ),
    max_size=8,
)


@given(LINES, st.floats(0, 30), st.floats(0, 12), st.floats(0, 25))
@settings(max_examples=80, deadline=None)
def test_everything_adds_up_to_the_unit_of_currency(given_lines, contingency, inflation, tax):
    lines = [
        Line(f"l{n}", phase, quantity, ThreePoint(*prices), 2025, provisional, repeated)
        for n, (phase, quantity, prices, provisional, repeated) in enumerate(given_lines)
    ]
    budget = make_budget(
        lines, [Phase("p1", 2026.2), Phase("p2", 2029.0)], Terms(contingency, inflation, tax)
    )
    assert sum(phase.total for phase in budget.phases) == budget.total
    for phase in budget.phases:
        assert phase.works + phase.contingency + phase.inflation + phase.tax == phase.total
    assert budget.works + budget.contingency + budget.inflation + budget.tax == budget.total
    assert budget.correlated[0] <= budget.independent[0] + 1
    assert budget.independent[0] - 1 <= budget.total <= budget.independent[1] + 1


@given(LINES)
@settings(max_examples=30, deadline=None)
def test_the_order_of_the_lines_changes_no_sum(given_lines):
    lines = [
        Line(f"l{n}", phase, quantity, ThreePoint(*prices), 2025)
        for n, (phase, quantity, prices, _p, _r) in enumerate(given_lines)
    ]
    phases = [Phase("p1"), Phase("p2")]
    one, other = (make_budget(order, phases, Terms(10)) for order in (lines, lines[::-1]))
    assert one.total == other.total and one.correlated == other.correlated
