"""The wind's way: the suspected part is marked and named, wind stops where it should."""

from __future__ import annotations

import random

import pytest

from inventory.drawings.winds_ways import winds_way_drawing
from inventory.organ.flows import Flows
from inventory.organ.nets import Failure
from inventory.organ.valves_needed import net_of
from inventory.organ.winds_way import ways_of_wind
from tests.demo_schemes import demo_schemes
from tests.drawing_checks import check_drawing
from tests.inventory.organ.inquiry_cases import make_case
from tests.inventory.organ.test_next_trial import octaves_together


def test_a_leaking_flap_is_followed_from_the_wind_to_the_pipe_that_murmurs():
    # By hand: B's key 5 fills pipe R17; the leaking flap of A lets wind down to groove and channel 17,
    # and D, drawn, murmurs there (test_next_trial has the same case for the search).
    scheme = octaves_together(24)
    way = ways_of_wind(scheme, Flows(net_of(scheme)), [Failure("valve:A:17", "open")], "ABD", [("I", 5)])
    murmur = next(one for one in way if one.pipe == "pipe:Q:17")
    names = [step.part for step in murmur.steps]
    assert names[0] == "wind" and names[-1] == "pipe:Q:17"
    assert names.index("pipe:R:17") < names.index("valve:A:17") < names.index("channel:I:17")
    assert (murmur.level, murmur.sound_level) == (1, 0)
    assert [step.fails for step in murmur.steps if step.fails] == ["open"]


def test_behind_a_shut_slider_there_is_no_wind():
    scheme = octaves_together(24)
    way = ways_of_wind(scheme, Flows(net_of(scheme)), [Failure("slider:D", "shut")], "D", [("I", 5)])[0]
    levels = {step.part: step.level for step in way.steps}
    assert levels["channel:I:5"] == 2 and levels["slider:D"] == levels["groove:D:5"] == 0


def test_a_trial_that_does_not_show_the_failure_has_no_way():
    scheme = octaves_together(24)
    assert ways_of_wind(scheme, Flows(net_of(scheme)), [Failure("slider:D", "shut")], "A", [("I", 5)]) == ()


@pytest.mark.parametrize("narrow", [False, True])
def test_drawings_of_random_faults_stay_on_the_sheet_and_say_everything(narrow):
    schemes = [s for s in demo_schemes().values() if 2 <= len(s.stops) <= 6]
    for seed in range(4):
        rng = random.Random(seed)
        case = make_case(rng.choice(schemes), rng, 1)
        trial = case.given[0]
        ways = ways_of_wind(case.scheme, case.flows, case.broken, trial.drawn, trial.keys)
        drawing = winds_way_drawing(
            ways[:2], lambda part: f"the part called {part} of this organ", "Way", narrow=narrow
        )
        check_drawing(drawing, "way")
        assert "suspected" in drawing.svg and "suspected" in drawing.description
