"""Prior odds: as stated, and one's own."""

import json

import pytest

from inventory.organ.errors import SchemeError
from inventory.organ.explanations import explain
from inventory.organ.nets import Failure, possible_failures
from inventory.organ.odds import read_odds, stated_odds
from inventory.organ.trials import Heard, Trial
from inventory.organ.valves_needed import net_of
from tests.inventory.organ.test_nets import organ


@pytest.mark.parametrize("kind", ["slider", "spring", "stop channel", "unit"])
def test_every_failure_of_every_chest_kind_has_stated_odds(kind):
    for failure in possible_failures(net_of(organ(kind))):
        assert 0 < stated_odds().of(failure) < 1


def test_own_odds_change_the_order_and_leave_the_rest_as_stated():
    own = read_odds(json.dumps({"odds": {"pipe": {"dead": 0.9}}}))
    assert own.of(Failure("slider:A", "shut")) == stated_odds().of(Failure("slider:A", "shut"))
    trials = [Trial(frozenset({"D"}), frozenset({("I", 1)}), (Heard("D", 1, "silent"),))]
    first = explain(organ(), trials, own).groups[0].explanations[0].entries[0]
    assert first.failure == Failure("pipe:Q:1", "dead")
    pallet = read_odds('{"odds": {"pallet": {"shut": 0.9}}}')
    first = explain(organ(), trials, pallet).groups[0].explanations[0].entries[0]
    assert first.failure == Failure("pallet:I:1", "shut")


@pytest.mark.parametrize(
    "text",
    [
        "{}",
        "[]",
        '{"odds": []}',
        '{"odds": {"reed": {"dead": 0.1}}}',
        '{"odds": {"pipe": {"shut": 0.1}}}',
        '{"odds": {"pipe": {"dead": 0}}}',
        '{"odds": {"pipe": {"dead": 1.5}}}',
        '{"odds": {"pipe": {"dead": true}}}',
        '{"odds": {"pipe": {"dead": "much"}}}',
        '{"odds": {"pipe": 0.1}}',
    ],
)
def test_odds_that_make_no_sense_are_refused(text):
    with pytest.raises(SchemeError):
        read_odds(text)
