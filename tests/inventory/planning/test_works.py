"""Works read from rows: linked quantities, sums that agree, cautions, pipes given once."""

from __future__ import annotations

from decimal import Decimal
from types import SimpleNamespace

import pytest
from django.core.exceptions import ValidationError
from django.urls import reverse

from inventory.actions import ActionError, change_record
from inventory.actions.works import choose_packages, give_pipes, take_back_gift
from inventory.models import (
    CostLine,
    Defect,
    DefectObservation,
    Funding,
    Gift,
    Instrument,
    Package,
    Part,
    Phase,
    PipeReading,
    Rank,
    Rate,
    Specification,
    Survey,
    WorksPlan,
)
from inventory.planning import read_works
from inventory.planning.cautions import cautions_of
from inventory.planning.voices import read_given_pipes
from tests.factory import add_shared_rank, make_instrument, make_term


@pytest.fixture
def organ(people):
    """A shared row of 68 pipes over 56 keys, one defect, one package with two phases and money."""
    root = make_instrument(people.curator)
    specification = add_shared_rank(root, people.curator)
    survey = Survey(instrument=root, code="s1", when="2023-05", level=2, surveyor="x", limits="none")
    part = Part(
        instrument=root, code="chest", name="Chest", kind=make_term("part", "chest"), looked_at="present"
    )
    defect = Defect(instrument=root, code="flaps", kind=make_term("defect", "hard"), where="Flaps", part=part)
    seen = DefectObservation(defect=defect, code="s1", survey=survey, course="new", affected=3, out_of=88)
    package = Package(instrument=root, code="flaps", option="conserve", name="Flaps", chosen=True)
    phases = [
        Phase(package=package, code="p1", order=1, name="Open", when="2026"),
        Phase(package=package, code="p2", order=2, name="Mend", when="2028"),
    ]
    rate = Rate(
        instrument=root, code="flap", name="Renew a flap", unit="flap", hours_low=1, hours_likely=2, hours_high=3,
        hourly=50, material=10, price_year=2025, basis="x",
    )  # fmt: skip
    money = Funding(package=package, code="m", state="secured", amount=100, giver="x", printed_as="a friend")
    change_record(
        root, version=root.version, by=people.curator,
        put=[survey, part, defect, seen, package, *phases, rate, money],
    )  # fmt: skip
    return SimpleNamespace(
        root=root, specification=specification, rank=Rank.objects.get(specification=specification), survey=survey,
        part=part, defect=defect, seen=seen, package=package, phases=phases, rate=rate, money=money, by=people.curator,
    )  # fmt: skip


def put(organ, *rows):
    organ.root.refresh_from_db()
    return change_record(organ.root, version=organ.root.version, by=organ.by, put=rows)


def line(organ, code, **fields):
    given = {"phase": organ.phases[0], "text": code, "unit": "piece", "price_year": 2025, "basis": "x"}
    if "rate" not in fields:
        given |= {"low": Decimal(90), "likely": Decimal(100), "high": Decimal(110)}
    return CostLine(package=organ.package, code=code, **{**given, **fields})


def amounts(organ):
    works = read_works(Instrument.objects.get(pk=organ.root.pk))
    return {one.row.code: float(one.counted.value) for package in works.packages for one in package.lines}


def test_a_line_follows_its_defect_and_changing_one_quantity_changes_all(organ):
    put(organ, line(organ, "flaps", quantity_from="defect", defect=organ.defect, rate=organ.rate))
    works = read_works(organ.root)
    # By hand: 3 flaps at (60 + 4 x 110 + 160) / 6 = 110; condition survey (level 2): 15 % contingency.
    assert (works.budget.works, works.budget.contingency, works.budget.total) == (330, 50, 380)
    assert (works.position.secured, works.position.gap) == (100, 280)
    organ.seen.affected = 6
    put(organ, organ.seen)
    later = read_works(organ.root)
    assert (later.budget.works, later.budget.total, later.position.gap) == (660, 759, 659)
    assert later.chosen[0].total == sum(phase.budget.total for phase in later.chosen[0].phases) == 759
    assert sum(level.sum for level in later.gifts) == 659


def test_boards_and_flaps_are_counted_in_the_scheme(organ):
    # 61 keys would need 98; 56 keys at 8′ and 4′ on one row: 44 shared pipes with two branches, 88 flaps.
    put(organ, line(organ, "boards", quantity_from="boards"), line(organ, "all", quantity_from="flaps"))
    assert amounts(organ) == {"boards": 1, "all": 88}


def test_pipes_are_counted_by_their_last_reading(organ):
    states = [(1, "original"), (2, "missing, hole open"), (3, "missing, hole open")]
    readings = [
        PipeReading(rank=organ.rank, code=f"r{pipe}", pipe=pipe, survey=organ.survey, state=state)
        for pipe, state in states
    ]
    put(organ, *readings, line(organ, "new", quantity_from="pipes", pipe_state="missing, hole open"))
    assert amounts(organ) == {"new": 2}


def test_where_nobody_counted_the_typed_quantity_stands_and_says_so(organ):
    organ.seen.affected = None
    put(organ, organ.seen, line(organ, "flaps", quantity=7, quantity_from="defect", defect=organ.defect))
    (found,) = read_works(organ.root).packages[0].lines
    assert found.counted.value == 7 and not found.counted.linked and "typed" in found.counted.how


def test_a_repeated_line_counts_in_each_phase(organ):
    put(organ, line(organ, "scaffold", phase=None, kind="repeated"))
    works = read_works(organ.root)
    assert [phase.budget.works for phase in works.chosen[0].phases] == [100, 100]
    assert works.budget.repeated_extra == 100


def test_the_plan_sets_tax_rising_prices_and_contingency(organ):
    plan = WorksPlan(
        instrument=organ.root, code="plan", tax_percent=20, inflation_percent=10, contingency_percent=0
    )
    put(organ, plan, line(organ, "late", phase=organ.phases[1]))
    works = read_works(organ.root)
    # Prices of mid-2025 to mid-2028: 1.1 cubed = 1.331; with 20 % tax: 100 x 1.331 x 1.2 = 159.72.
    assert (works.budget.works, works.budget.inflation, works.budget.tax, works.budget.total) == (
        100,
        33,
        27,
        160,
    )


def test_money_is_never_in_two_currencies(organ):
    put(organ, line(organ, "one"))
    with pytest.raises(ValidationError, match="one currency"):
        put(organ, line(organ, "two", currency="XXX"))


@pytest.mark.parametrize(
    "fields, says",
    [
        ({"low": None, "likely": None, "high": None}, "one of the two"),
        ({"high": None}, "all three or none"),
        ({"low": Decimal(200)}, "must rise"),
        ({"quantity_from": "defect"}, "Choose the defect"),
        ({"quantity_from": "pipes"}, "Choose the state"),
    ],
)
def test_a_line_that_cannot_be_summed_is_refused(organ, fields, says):
    with pytest.raises(ValidationError, match=says):
        put(organ, line(organ, "bad", **fields))


def codes(organ):
    return {caution.code for caution in cautions_of(read_works(Instrument.objects.get(pk=organ.root.pk)))}


def test_nothing_is_dismantled_before_the_money_to_put_it_back(organ):
    put(organ, line(organ, "down", step="dismantle"), line(organ, "up", step="erect", phase=organ.phases[1]))
    found = codes(organ)
    assert {"money-to-put-back", "dry-store", "ownership", "solvency", "climate"} <= found
    organ.money.amount = 10_000
    plan = WorksPlan(
        instrument=organ.root,
        code="plan",
        dry_store="yes",
        ownership="yes",
        solvency="yes",
        climate="not needed",
    )
    put(organ, organ.money, plan)
    assert not codes(organ) & {"money-to-put-back", "dry-store", "ownership", "solvency", "climate"}


def test_steps_out_of_order_are_told(organ):
    put(
        organ,
        line(organ, "tune", step="tune"),
        line(organ, "open", step="open", kind="opening up"),
        line(organ, "wind", step="wind", phase=organ.phases[1]),
    )
    assert {"tuning-early", "opening-with-work", "no-documentation", "tax-unknown"} <= codes(organ)


def test_what_nobody_opened_is_a_provisional_sum(organ):
    organ.part.looked_at = "not accessible"
    mending = line(organ, "mend", defect=organ.defect)
    put(organ, organ.part, mending)
    assert "not-opened" in codes(organ)
    mending.kind = "provisional"
    put(organ, mending)
    assert "not-opened" not in codes(organ)


def give(organ, pipes, rank=None, money=None):
    organ.root.refresh_from_db()
    return give_pipes(
        organ.root, version=organ.root.version, by=organ.by, rank=rank or organ.rank, pipes=pipes,
        funding=money or organ.money,
    )  # fmt: skip


def test_a_shared_pipe_is_given_once_with_all_its_voices(organ):
    give(organ, [13])
    (found,) = read_given_pipes(organ.root)
    assert found.voices == ("Flute 4", "Flute 8")
    assert found.note == "c" and found.printed_as == "a friend"
    with pytest.raises(ValidationError, match="given already"):
        give(organ, [13])
    assert Gift.objects.count() == 1


def test_a_pipe_is_not_given_again_under_another_stoplist_of_the_same_pipes(organ):
    organ.rank.part = organ.part
    older = Specification(instrument=organ.root, code="older", name="Older", basis="as built")
    twin = Rank(specification=older, code="flute", name="Flute", pipes=68, part=organ.part)
    put(organ, organ.rank, older, twin)
    give(organ, [20])
    with pytest.raises(ValidationError, match="given already"):
        give(organ, [20], rank=twin)


def test_a_pipe_that_is_not_there_or_money_that_is_not_sure_gives_nothing(organ):
    with pytest.raises(ValidationError, match="no pipe 69"):
        give(organ, [69])
    asked = Funding(package=organ.package, code="asked", state="applied for", amount=5, giver="x")
    put(organ, asked)
    with pytest.raises(ActionError, match="applied for"):
        give(organ, [1], money=asked)


def test_a_gift_taken_back_can_be_given_again(organ):
    give(organ, [5])
    organ.root.refresh_from_db()
    take_back_gift(Gift.objects.get(), version=organ.root.version, by=organ.by, why="a slip")
    give(organ, [5])


def test_packages_of_one_option_are_chosen_with_a_reason(organ):
    other = Package(instrument=organ.root, code="leave", option="leave", name="Leave")
    root = put(organ, other)
    with pytest.raises(ActionError, match="one option"):
        choose_packages(root, version=root.version, by=organ.by, codes=["flaps", "leave"], why="x")
    with pytest.raises(ActionError, match="why"):
        choose_packages(root, version=root.version, by=organ.by, codes=["leave"], why=" ")
    choose_packages(root, version=root.version, by=organ.by, codes=["leave"], why="The vestry asked.")
    assert [one.row.code for one in read_works(root).chosen] == ["leave"]


def test_the_page_shows_the_same_sums(organ, client):
    put(organ, line(organ, "flaps", quantity_from="defect", defect=organ.defect, rate=organ.rate))
    client.force_login(organ.by)
    page = client.get(reverse("works", kwargs={"reference": organ.root.reference})).content.decode()
    shown = page.replace("\u00a0", " ")
    assert "380 XTS" in shown and "280 XTS" in shown and "not worked out yet" in shown
    assert "found by the survey of 2023-05" in shown
