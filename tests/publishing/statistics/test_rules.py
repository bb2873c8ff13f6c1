"""Which specification counts, for whom and for when: the rules, on small cases solved by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from publishing.disclosure.values import EventValue, LayerValue, Link, When
from publishing.statistics.choosing import (
    AS_BUILT,
    AT_YEAR,
    UNALTERED,
    View,
    choose_specification,
    spread_years,
)
from publishing.statistics.examples import example_instrument
from publishing.statistics.frames import FrameBuilder, decades_of, frames_of, maker_periods
from publishing.statistics.groups import groups_of
from publishing.statistics.layers import decade_weights
from publishing.statistics.measures import MEASURES, figures_of_measure
from publishing.statistics.rows import rows_of

SECOND = Link("makers", "MKR-2", "Another maker")


def year(text: str) -> When:
    return When(text, text, int(text), int(text), int(text))


def event(kind: str, when: str) -> EventValue:
    return EventValue("e", {"en": kind}, year(when), None, None, "", None, None, "", "", kind)


def with_layers(*codes: str):
    """The example with a second layer by another maker of 1900, its segments given to these layers."""
    organ = example_instrument()
    later = LayerValue("later", "Later", year("1900"), SECOND, "signed", "certain", "")
    segments = tuple(
        replace(segment, layer=code) for segment, code in zip(organ.current.segments, codes, strict=True)
    )
    return replace(
        organ, layers=(*organ.layers, later), specifications=(replace(organ.current, segments=segments),)
    )


def test_what_is_found_stands_for_what_was_built_only_where_nothing_speaks_against_it():
    organ = example_instrument()
    assert choose_specification(organ, View(AS_BUILT)).how == UNALTERED
    assert choose_specification(replace(organ, events=(event("rebuilt", "1900"),)), View(AS_BUILT)) is None
    assert choose_specification(with_layers("built", "later"), View(AS_BUILT)) is None


def test_a_specification_recorded_as_built_wins():
    organ = example_instrument()
    old = replace(organ.current, code="old", basis="as built", is_current=False)
    both = replace(organ, specifications=(old, organ.current), events=(event("rebuilt", "1900"),))
    assert choose_specification(both, View(AS_BUILT)).specification.code == "old"
    assert choose_specification(both, View()).specification.code == "found"


def test_a_projected_specification_never_counts():
    organ = example_instrument()
    only = replace(organ, specifications=(replace(organ.current, basis="projected"),))
    assert all(
        choose_specification(only, view) is None for view in (View(), View(AS_BUILT), View(AT_YEAR, 1950))
    )


@pytest.mark.parametrize("at, counts", [(1848, False), (1850, False), (1851, True), (2000, True)])
def test_at_a_year_the_newest_layer_decides_and_not_the_survey(at, counts):
    assert (choose_specification(example_instrument(), View(AT_YEAR, at)) is not None) == counts


def test_a_lost_instrument_counts_until_it_is_lost():
    organ = replace(example_instrument(), events=(event("lost", "1920"),))
    assert choose_specification(organ, View(AT_YEAR, 1919)) is not None
    assert choose_specification(organ, View(AT_YEAR, 1920)) is None


def test_sharing_counts_for_the_maker_of_most_shared_calls_and_once():
    frames = frames_of([with_layers("later", "later")])
    assert frames.instruments["maker"].tolist() == ["MKR-2"] and len(frames.instruments) == 1
    # A tie goes to the layer that stands first: the older one.
    assert frames_of([with_layers("later", "built")]).instruments["maker"].tolist() == ["MKR-1"]


@pytest.mark.parametrize(
    "edtf, years",
    [("1850", (1850, 1850)), ("1850~", (1845, 1855)), ("[1849..1851]", (1849, 1851)), ("185X", (1850, 1859)),
     ("1849/1851", (1849, 1851)), ("[..1790]", None), ("", None)],
)  # fmt: skip
def test_uncertain_dates(edtf, years):
    assert spread_years(When(edtf, "", None, None, None)) == years


@settings(max_examples=50, deadline=None)
@given(st.integers(1500, 2000), st.integers(0, 60))
def test_the_parts_of_an_instrument_add_up_to_one(first, more):
    weights = decade_weights(first, first + more)
    assert sum(weights.values()) == pytest.approx(1) and all(decade % 10 == 0 for decade in weights)


def test_a_career_adds_up_to_the_dated_instruments():
    organs = [example_instrument(f"ORG-{n}", shares=n % 2 == 0) for n in range(6)]
    periods = maker_periods(frames_of(organs))
    assert periods["instruments_expected"].sum() == pytest.approx(6)
    assert periods["sharing_expected"].sum() == pytest.approx(3)
    assert periods["instruments_possible"].tolist() == [6, 6]


def test_all_dates_unknown_leaves_no_decade_and_no_broken_number():
    organ = example_instrument()
    undated = replace(organ, layers=tuple(replace(layer, when=None) for layer in organ.layers))
    frames = frames_of([undated])
    assert decades_of(frames.instruments).empty and frames.maker_periods.empty


def test_an_edit_touches_one_instrument_s_rows():
    builder = FrameBuilder()
    for number in range(5):
        builder.add(example_instrument(f"ORG-{number}"))
    before = dict(builder.rows)
    builder.add(example_instrument("ORG-3", shares=False))
    assert [r for r in before if builder.rows[r] is not before[r]] == ["ORG-3"]
    assert builder.rows["ORG-3"] == rows_of(example_instrument("ORG-3", shares=False), View())
    builder.remove("ORG-3")
    assert "ORG-3" not in builder.finish().instruments["reference"].tolist()


def moved_and_composite():
    """Built, moved, and put together with rows of another organ: two layers, two specifications, one record."""
    organ = with_layers("later", "built")
    old = replace(
        organ.current, code="built", basis="as built", is_current=False,
        segments=tuple(replace(one, layer="built") for one in organ.current.segments),
    )  # fmt: skip
    moves = (
        event("built", "1850"),
        event("moved", "1890"),
        event("enlarged", "1900"),
        event("moved", "1930"),
    )
    return replace(organ, events=moves, specifications=(old, *organ.specifications))


@pytest.mark.parametrize(
    "view, maker", [(View(), "MKR-1"), (View(AS_BUILT), "MKR-1"), (View(AT_YEAR, 1880), "MKR-1")]
)
def test_a_moved_and_composite_instrument_counts_once_in_every_view(view, maker):
    frames = frames_of([moved_and_composite(), example_instrument("ORG-2", shares=False)], view)
    assert frames.counted["reference"].tolist() == ["ORG-1", "ORG-2"]
    assert frames.counted.set_index("reference").at["ORG-1", "maker"] == maker
    for measure in MEASURES:
        for figure in figures_of_measure(measure.code, frames):
            references = [record.reference for record in figure.records]
            assert len(references) == len(set(references)) <= 2, (measure.code, figure.key)
    (sharing,) = (f for f in figures_of_measure("instruments", frames) if f.key == "sharing")
    assert (sharing.count, sharing.of, sharing.n) == (1, 2, 2)
    for dimension in ("maker", "decade"):
        weights = [group.weights.get("ORG-1", 0) for group in groups_of(frames, dimension)]
        assert sum(weights) == pytest.approx(1)
