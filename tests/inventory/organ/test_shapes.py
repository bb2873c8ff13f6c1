"""Stops compared run by run, against every pair of calls one by one."""

import random
from collections import defaultdict

from inventory.organ.calls import CalledPipes
from inventory.organ.families import find_families
from inventory.organ.patterns import SchemePatterns
from inventory.organ.schemes import Rank, Scheme, Segment, Stop
from inventory.organ.shapes import Run, common_pipes, shapes_on_ranks
from inventory.organ.sums import find_partners, sum_scheme
from inventory.organ.synthetic import make_scheme
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank, random_scheme


def partners_call_by_call(called):
    """By stop: (partner, interval) -> keys, from the words of DESIGN §4: every pair of calls on one pipe."""
    found = {stop.id: defaultdict(set) for stop in called.scheme.stops}
    for asks in called.answered.values():
        for one in asks:
            for other in asks:
                if one.stop != other.stop and one.tone == other.tone:
                    found[one.stop][other.stop, other.note - one.note].add(one.key)
    return {stop: dict(pairs) for stop, pairs in found.items()}


def keys_of(bits):
    return {key for key in range(bits.bit_length()) if bits >> key & 1}


def test_partners_by_runs_are_the_partners_call_by_call():
    joined = 0
    schemes = [make_scheme(seed, unified=True) for seed in range(40)]
    schemes += [random_scheme(random.Random(seed)) for seed in range(200)]
    for scheme in schemes:
        called = CalledPipes(scheme)
        by_runs = {
            stop: {pair: keys_of(bits) for pair, bits in pairs.items()}
            for stop, pairs in find_partners(called).items()
        }
        assert by_runs == partners_call_by_call(called)
        joined += sum(map(len, by_runs.values()))
    assert joined > 500


def test_runs_of_two_stops_meet_in_the_pipes_both_call():
    low, high = Run(35, 0, None, False, None, 0b1110), Run(23, 12, None, False, None, 0b1100)
    assert [(one.keys_at(pipes), pipes) for one, _other, pipes in common_pipes((low,), (high,))] == [
        (0b1100, 0b1100)
    ]
    assert not list(common_pipes((low,), (Run(35, 0, None, False, None, 0b1),)))


def test_a_stop_alone_on_its_rank_has_no_shape():
    scheme = Scheme(
        (full_keyboard(),),
        (full_rank("R"),),
        (Stop("s", "I", "Flute", "8"),),
        (Segment("s", (1, 61), "R", shift=0),),
    )
    assert not shapes_on_ranks(CalledPipes(scheme))


def stops_on_one_row(number):
    """Many stops of five pitches on two keyboards, all on one row."""
    pitches = [("16", -12), ("8", 0), ("4", 12), ("2 2/3", 19), ("2", 24)]
    keyboards = (full_keyboard("I"), full_keyboard("II"))
    stops, segments = [], []
    for n in range(number):
        footage, interval = pitches[n % 5]
        stops.append(Stop(f"s{n}", keyboards[n % 2].id, f"Stop {n}", footage))
        segments.append(Segment(f"s{n}", (1, 61), "R", interval=interval))
    return Scheme(keyboards, (Rank("R", 97, tuple(range(24, 121))),), tuple(stops), tuple(segments))


def test_many_stops_on_one_row_are_one_family_and_each_pair_is_named_once():
    scheme = stops_on_one_row(120)
    called = CalledPipes(scheme)
    (family,) = find_families(called, SchemePatterns(called))
    assert len(family.stops) == 120 and len(family.patterns) == 120 * 119 // 2
    assert sum(len(stop.partners) for stop in sum_scheme(scheme, called).stops) == 120 * 119
