"""Coincidences over a repertoire: against hand-solved cases and a plain loop over sets."""

import itertools
from collections import defaultdict

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.errors import SchemeError
from inventory.organ.registrations import MOST_STOPS_FOR_ALL, Played, places_of, play, rate_of, rates_of_all
from inventory.organ.repertoire import Repertoire, chorales, gather
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop, answered_calls


def octaves(keys: int = 61, pipes: int = 73) -> Scheme:
    """One row of pipes at 8' and 4'."""
    return Scheme(
        (Keyboard("I", tuple(range(36, 36 + keys))), Keyboard("P", tuple(range(36, 66)), "pedal")),
        (Rank("r", pipes, tuple(range(36, 36 + pipes))),),
        (Stop("a", "I", "Principal", "8"), Stop("b", "I", "Octave", "4"), Stop("p", "P", "Bass", "8")),
        (
            Segment("a", (1, keys), "r", shift=0),
            Segment("b", (1, keys), "r", interval=12),
            Segment("p", (1, 30), "r", 0),
        ),
    )


def by_sets(scheme: Scheme, keyboard: str, music: Repertoire, stops: tuple[str, ...]) -> tuple[float, float]:
    """Weighted calls and coincidences, one set of notes after the other."""
    notes = scheme.keyboard[keyboard].notes
    calls = [c for c in answered_calls(scheme) if c.stop in stops]
    made = coincide = 0.0
    for held, weight in zip(music.note_sets(), music.weights.tolist(), strict=True):
        keys = {notes.index(note) + 1 for note in held if note in notes}
        now = [c for c in calls if c.key in keys]
        made += weight * len(now)
        coincide += weight * (len(now) - len({(c.rank, c.pipe) for c in now}))
    return made, coincide


def assert_places_add_up(played: Played, stops: tuple[str, ...], coincide: float) -> None:
    places = places_of(played, stops)
    assert sum(places.intervals.values()) == pytest.approx(coincide)
    assert sum(places.pipes.values()) == pytest.approx(coincide)
    assert 0 <= places.cannot_sound_together <= coincide + 1e-9


def test_an_octave_played_on_8_and_4_foot_of_one_row_loses_one_call_in_four() -> None:
    played = play(octaves(), "I", gather([((48, 60), 3.0)]))
    found = rate_of(played, ("a", "b"))
    assert (found.calls, found.coincide, found.rate) == (12, 3, 0.25)
    places = places_of(played, ("a", "b"))
    # The upper key's 8' pipe is the lower key's 4' pipe: c1, the 25th of the row.
    assert places.intervals == {12: 3.0} and places.pipes == {("r", 25): 3.0}


def test_a_third_never_coincides_at_8_and_4_foot() -> None:
    assert rate_of(play(octaves(), "I", gather([((48, 52), 1)])), ("a", "b")).rate == 0


def test_five_c_keys_on_8_and_4_foot_need_six_pipes() -> None:
    # Common practice: the lowest C only at 8', the highest only at 4', four at both.
    found = rate_of(play(octaves(), "I", gather([((36, 48, 60, 72, 84), 1)])), ("a", "b"))
    assert (found.calls, found.coincide) == (10, 4)


def test_two_stops_at_one_pitch_on_one_row_lose_half_of_everything() -> None:
    scheme = octaves()
    twin = Scheme(
        scheme.keyboards,
        scheme.ranks,
        (*scheme.stops, Stop("c", "I", "Flute", "8")),
        (*scheme.segments, Segment("c", (1, 61), "r", shift=0)),
    )
    played = play(twin, "I", chorales())
    assert rate_of(played, ("a", "c")).rate == 0.5
    assert list(places_of(played, ("a", "c")).intervals) == [0]


def test_notes_outside_the_compass_are_dropped_and_their_share_said() -> None:
    played = play(octaves(keys=13, pipes=25), "I", gather([((36, 40), 2.0), ((35, 49, 100), 2.0)]))
    assert played.dropped_share == pytest.approx(0.6)  # 6 of 10 note weights
    assert rate_of(played, ("a",)).calls == 4


def test_nothing_called_gives_no_rate() -> None:
    played = play(octaves(), "I", gather([((20,), 1)]))
    assert rate_of(played, ("a", "b")).rate is None and played.dropped_share == 1
    assert rate_of(played, ()).rate is None
    assert play(octaves(), "I", gather([])).dropped_share is None


def test_calls_to_pipes_that_are_not_there_do_not_count() -> None:
    short = octaves(pipes=61)
    found = rate_of(play(short, "I", gather([((96, 84), 1)])), ("a", "b"))
    assert (found.calls, found.coincide) == (3, 1)


def test_stops_of_another_keyboard_repeated_stops_and_unknown_keyboards_are_refused() -> None:
    played = play(octaves(), "I", chorales())
    with pytest.raises(SchemeError, match="'p' is not on keyboard 'I'; its stops are: a, b"):
        rate_of(played, ("a", "p"))
    with pytest.raises(SchemeError, match="twice"):
        rate_of(played, ("a", "a"))
    with pytest.raises(SchemeError, match="no keyboard 'X'; its keyboards are: I, P"):
        play(octaves(), "X", chorales())
    with pytest.raises(SchemeError, match=f"at most {MOST_STOPS_FOR_ALL}"):
        many = Scheme(octaves().keyboards, (), tuple(Stop(f"s{i}", "I", "x") for i in range(13)), ())
        rates_of_all(play(many, "I", chorales()), [f"s{i}" for i in range(13)])


def test_a_polyphone_pipe_asked_for_two_notes_cannot_sound_them_together() -> None:
    scheme = Scheme(
        (Keyboard("P", (36, 37, 38), "pedal"),),
        (Rank("r", 2, (36, 38), tones={1: (36, 37)}),),
        (Stop("s", "P", "Bass", "16"),),
        (Segment("s", (1, 3), "r", interval=0),),
    )
    places = places_of(play(scheme, "P", gather([((36, 37, 38), 2.0)])), ("s",))
    assert places.intervals == {1: 2.0} and places.cannot_sound_together == 2.0


def test_a_polyphone_pipe_asked_twice_for_one_note_gives_it_once_and_gives_it() -> None:
    scheme = Scheme(
        (Keyboard("P", (36, 37), "pedal"),),
        (Rank("r", 1, (36,), tones={1: (36, 37)}),),
        (Stop("s", "P", "Bass", "8"), Stop("t", "P", "Cello", "8")),
        (Segment("s", (1, 2), "r", interval=0), Segment("t", (1, 2), "r", interval=0)),
    )
    places = places_of(play(scheme, "P", gather([((36,), 2.0), ((36, 37), 1.0)])), ("s", "t"))
    # C alone twice: 2 x 1 coincidence; both keys: 4 calls of one pipe, 3 coincide, one note is lost.
    assert places.pipes == {("r", 1): 5.0} and places.cannot_sound_together == 1.0


def test_ranks_longer_than_128_pipes_take_more_words() -> None:
    scheme = Scheme(
        (Keyboard("I", (36, 37)),),
        (Rank("r", 1000),),
        (Stop("a", "I", "x"), Stop("b", "I", "y")),
        (Segment("a", (1, 2), "r", pipes=(1000, 64)), Segment("b", (1, 2), "r", pipes=(65, 1000))),
    )
    found = rate_of(play(scheme, "I", gather([((36, 37), 1.0)])), ("a", "b"))
    assert (found.calls, found.coincide) == (4, 1)


@pytest.mark.parametrize("pipes", [63, 64, 65, 128])
def test_the_last_pipe_of_a_word_is_not_lost(pipes: int) -> None:
    scheme = Scheme(
        (Keyboard("I", (36,)),),
        (Rank("r", pipes),),
        (Stop("a", "I", "x"), Stop("b", "I", "y")),
        (Segment("a", (1, 1), "r", pipes=(pipes,)), Segment("b", (1, 1), "r", pipes=(pipes,))),
    )
    found = rate_of(play(scheme, "I", gather([((36,), 1.0)])), ("a", "b"))
    assert (found.calls, found.coincide) == (2, 1)


def test_nine_stops_on_one_rank_agree_one_by_one_over_all_chorales() -> None:
    stops = tuple(Stop(f"s{n}", "I", "x") for n in range(9))
    segments = tuple(Segment(f"s{n}", (1, 61), "r", shift=(0, 12, 24, 19, 31)[n % 5]) for n in range(9))
    scheme = Scheme((Keyboard("I", tuple(range(36, 97))),), (Rank("r", 97, low=24),), stops, segments)
    played = play(scheme, "I", chorales())
    every = rates_of_all(played, played.stops)
    for chosen in range(0, 512, 23):
        found = rate_of(played, [s for place, s in enumerate(played.stops) if chosen >> place & 1])
        assert (every.calls[chosen], every.coincide[chosen]) == (found.calls, found.coincide)


@st.composite
def schemes(draw: st.DrawFn) -> Scheme:
    """Small organs with short octaves, foldbacks, mixtures, lists and pipes that are not there."""
    notes = draw(
        st.sampled_from([tuple(range(36, 61)), (36, 41, 38, 43, 40, *range(45, 60)), (48, 48, 50, 52)])
    )
    ranks = tuple(
        Rank(
            f"r{i}",
            draw(st.sampled_from([None, 5, 30, 70])),
            low=draw(st.sampled_from([24, 36])),
            missing=frozenset({2}),
        )
        for i in range(draw(st.integers(1, 3)))
    )
    stops = tuple(
        Stop(f"s{i}", "I", "x", state=draw(st.sampled_from(["present"] * 4 + ["prepared"])))
        for i in range(draw(st.integers(1, 5)))
    )
    segments = []
    for stop in stops:
        for _ in range(draw(st.integers(0, 3))):
            first = draw(st.integers(1, len(notes)))
            last = draw(st.integers(first, len(notes)))
            way = draw(st.sampled_from(["shift", "interval", "pipes"]))
            values = {
                "shift": draw(st.integers(-14, 40)),
                "interval": draw(st.sampled_from([-12, 0, 7, 12, 19, 24])),
                "pipes": tuple(draw(st.lists(st.integers(1, 140), min_size=1, max_size=6))),
            }
            segments.append(
                Segment(stop.id, (first, last), draw(st.sampled_from(ranks)).id, **{way: values[way]})  # type: ignore[arg-type]
            )
    return Scheme((Keyboard("I", notes),), ranks, stops, tuple(segments))


music_sets = st.lists(
    st.tuples(st.frozensets(st.integers(30, 65), max_size=6), st.integers(1, 9).map(float)), max_size=12
)


@settings(max_examples=120, deadline=None)
@given(schemes(), music_sets)
def test_bit_masks_equal_a_loop_over_sets(scheme: Scheme, sets: list[tuple[frozenset[int], float]]) -> None:
    music = gather(sets)
    played = play(scheme, "I", music)
    stops = tuple(stop.id for stop in scheme.stops)
    every = rates_of_all(played, stops)
    for chosen in range(1 << len(stops)):
        drawn = tuple(stop for place, stop in enumerate(stops) if chosen >> place & 1)
        made, coincide = by_sets(scheme, "I", music, drawn)
        found = rate_of(played, drawn)
        assert (found.calls, found.coincide) == (made, coincide)
        assert (every.calls[chosen], every.coincide[chosen]) == (made, coincide)
    assert_places_add_up(played, stops, every.coincide[-1])


def test_all_registrations_of_a_family_agree_with_one_by_one_over_the_chorales() -> None:
    scheme = octaves()
    stops = tuple(
        Stop(f"s{i}", "I", name, footage)
        for i, (name, footage) in enumerate([("A", "16"), ("B", "8"), ("C", "4"), ("D", "2 2/3"), ("E", "2")])
    )
    shifts = dict(zip((s.id for s in stops), (0, 12, 24, 31, 36), strict=True))
    family = Scheme(
        scheme.keyboards,
        (Rank("r", 97, low=24), Rank("q", 61, low=36)),
        (*stops, Stop("own", "I", "Viol", "8")),
        (
            *(Segment(s, (1, 61), "r", shift=n) for s, n in shifts.items()),
            Segment("own", (1, 61), "q", shift=0),
        ),
    )
    played = play(family, "I", chorales())
    names = (*shifts, "own")
    every = rates_of_all(played, names)
    met: dict[int, float] = defaultdict(float)
    for chosen, bits in enumerate(itertools.product((0, 1), repeat=6)):
        drawn = tuple(n for n, bit in zip(names, reversed(bits), strict=True) if bit)
        found = rate_of(played, drawn)
        assert (every.calls[chosen], every.coincide[chosen]) == (found.calls, found.coincide)
        if found.coincide:
            met[len(drawn)] += 1
    assert met[1] == 0 and met[6] == 1
    assert_places_add_up(played, names, every.coincide[-1])
