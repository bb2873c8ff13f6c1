"""How many registrations a second go over the chorales, against a plain loop over sets in the same run."""

import time
from collections import defaultdict

import pytest

from inventory.organ.registrations import Played, play, rate_of, rates_of_all
from inventory.organ.repertoire import Repertoire, chorales, gather
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop, answered_calls


def family() -> Scheme:
    """Eight stops of one keyboard on two ranks, the shape of a small unit organ."""
    asks = [(0, 0), (0, 12), (0, 24), (0, 31), (0, 36), (1, 0), (1, 12), (1, 24)]
    stops = tuple(Stop(f"s{n}", "I", f"Stop {n}") for n in range(8))
    segments = tuple(
        Segment(f"s{n}", (1, 61), f"r{rank}", shift=shift) for n, (rank, shift) in enumerate(asks)
    )
    ranks = (Rank("r0", 97, low=24), Rank("r1", 85, low=36))
    return Scheme((Keyboard("I", tuple(range(36, 97))),), ranks, stops, segments)


def one_row(stops: int) -> Scheme:
    """That many stops on one rank: the dearest family to work out all registrations of."""
    names = tuple(Stop(f"s{n}", "I", f"Stop {n}") for n in range(stops))
    segments = tuple(
        Segment(f"s{n}", (1, 61), "r", shift=(0, 12, 24, 19, 31, 36)[n % 6]) for n in range(stops)
    )
    return Scheme((Keyboard("I", tuple(range(36, 97))),), (Rank("r", 97, low=24),), names, segments)


def drawn_in(chosen: int, stops: tuple[str, ...]) -> tuple[str, ...]:
    """The stops of registration number `chosen`."""
    return tuple(stop for place, stop in enumerate(stops) if chosen >> place & 1)


def least_seconds(played: Played) -> float:
    """Least of five times for all registrations of a keyboard."""
    found = []
    for _ in range(5):
        begin = time.perf_counter()
        rates_of_all(played, played.stops)
        found.append(time.perf_counter() - begin)
    return min(found)


def loop_over_sets(scheme: Scheme, music: Repertoire, stops: tuple[str, ...]) -> tuple[float, float]:
    """Weighted calls and coincidences by plain dicts and sets, one simultaneity after the other."""
    asked: dict[int, list[tuple[str, int]]] = defaultdict(list)
    for call in answered_calls(scheme):
        if call.stop in stops:
            asked[scheme.keyboards[0].notes[call.key - 1]].append((call.rank, call.pipe))
    calls = coincide = 0.0
    for notes, weight in zip(music.note_sets(), music.weights.tolist(), strict=True):
        pipes = [pipe for note in notes for pipe in asked.get(note, ())]
        calls += weight * len(pipes)
        coincide += weight * (len(pipes) - len(set(pipes)))
    return calls, coincide


def assert_equal(scheme: Scheme, music: Repertoire, played: Played, every_nth: int) -> None:
    """One by one, all at once and the set loop agree exactly on every n-th registration."""
    table = rates_of_all(played, played.stops)
    for chosen in range(1, 1 << len(played.stops), every_nth):
        found = rate_of(played, drawn_in(chosen, played.stops))
        assert (found.calls, found.coincide) == loop_over_sets(scheme, music, drawn_in(chosen, played.stops))
        assert (table.calls[chosen], table.coincide[chosen]) == (found.calls, found.coincide)


def test_registrations_over_some_chords_equal_the_set_loop() -> None:
    music = gather(zip(chorales().note_sets()[::40], range(1, 1000), strict=False))
    assert_equal(family(), music, play(family(), "I", music), every_nth=9)
    assert_equal(one_row(6), music, play(one_row(6), "I", music), every_nth=5)


@pytest.mark.slow
def test_5000_registrations_a_second_and_all_of_eight_stops_under_50_milliseconds() -> None:
    scheme, music = family(), chorales()
    begin = time.perf_counter()
    played = play(scheme, "I", music)
    prepared = time.perf_counter() - begin
    registrations = [drawn_in(chosen, played.stops) for chosen in range(256)]
    begin = time.perf_counter()
    for _ in range(8):
        for drawn in registrations:
            rate_of(played, drawn)
    one_by_one = 8 * 256 / (time.perf_counter() - begin)
    all_at_once = least_seconds(played)
    begin = time.perf_counter()
    for drawn in registrations[:: 256 // 8]:
        loop_over_sets(scheme, music, drawn)
    by_sets = 8 / (time.perf_counter() - begin)
    assert_equal(scheme, music, played, every_nth=37)
    print(
        f"{music.simultaneities} simultaneities; prepared in {prepared * 1000:.1f} ms; "
        f"{one_by_one:.0f} registrations/s one by one ({one_by_one / by_sets:.0f} x sets at {by_sets:.0f}/s); "
        f"all 256 in {all_at_once * 1000:.1f} ms ({256 / all_at_once:.0f}/s)"
    )
    assert one_by_one >= 5_000
    assert all_at_once < 0.05
    for stops in (4, 8, 12):
        seconds = least_seconds(play(one_row(stops), "I", music))
        print(f"all 2^{stops} of {stops} stops on one rank: {seconds * 1000:.1f} ms")
        assert stops != 8 or seconds < 0.05
