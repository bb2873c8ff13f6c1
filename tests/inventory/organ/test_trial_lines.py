"""Trials as people write them: by hand, ugly, and there and back."""

import random

import pytest

from inventory.organ.flows import Flows
from inventory.organ.listening import listen
from inventory.organ.nets import Failure
from inventory.organ.schemes import Chest, Scheme, Segment, Stop
from inventory.organ.trial_lines import read_trial_lines
from inventory.organ.trial_writing import write_trial_lines
from inventory.organ.trials import Extra, Heard, Trial
from inventory.organ.valves_needed import net_of
from tests.demo_schemes import demo_schemes
from tests.inventory.organ.inquiry_cases import make_case
from tests.inventory.organ.scheme_cases import full_keyboard, full_rank


@pytest.fixture
def two():
    return Scheme(
        (full_keyboard("I", 49), full_keyboard("II", 49)),
        (full_rank("R", 61), full_rank("Q", 49)),
        (Stop("f8", "I", "Flute 8", "8"), Stop("f4", "I", "Flute 4", "4"), Stop("e8", "II", "Flute 8", "8"),
         Stop("v", "II", "Viol 8", "8")),
        (Segment("f8", (1, 49), "R", interval=0), Segment("f4", (1, 49), "R", interval=12),
         Segment("e8", (1, 49), "R", interval=0), Segment("v", (1, 49), "Q", interval=0)),
        chests=(Chest("c", "slider", ("f8", "f4"), None, "chromatic"),),
    )  # fmt: skip


def test_a_stop_alone_is_a_trial_for_every_key_named_and_no_other(two):
    read = read_trial_lines("Viol 8: C–B ok; c weak; c♯ dumb", two)
    assert read.questions == () and len(read.trials) == 14
    assert read.trials[0] == Trial(frozenset({"v"}), frozenset({("II", 1)}), (Heard("v", 1, "speaks"),), None)
    assert read.trials[-1].heard == (Heard("v", 14, "silent"),)


def test_nothing_else_says_that_somebody_listened(two):
    read = read_trial_lines("Viol 8: C ok; nothing else", two)
    assert read.trials[0].extra == ()


def test_two_stops_drawn_and_a_murmur_heard(two):
    read = read_trial_lines("Flute 4 + f8 | c: Flute 4 speaks; f8 c1 murmurs", two)
    trial = read.trials[0]
    assert (trial.drawn, trial.keys) == ({"f4", "f8"}, {("I", 13)})
    assert trial.heard == (Heard("f4", 13, "speaks"),) and trial.extra == (Extra("R", 25, "faint"),)


def test_nothing_drawn_and_nothing_held_is_a_trial_too(two):
    assert read_trial_lines("no stop | nothing held: nothing sounds", two).trials == (
        Trial(frozenset(), frozenset(), (), ()),
    )


def test_both_branches_of_a_shared_pipe_are_held_on_two_keyboards(two):
    read = read_trial_lines("f8 + e8 | I c, II c: f8 speaks; e8 silent", two)
    assert read.trials[0].keys == {("I", 13), ("II", 13)}
    assert read.trials[0].heard == (Heard("f8", 13, "speaks"), Heard("e8", 13, "silent"))


@pytest.mark.parametrize(
    ("line", "word"),
    [
        ("Flute 8: c ok", "several stops"),
        ("Trumpet: c ok", "no stop has this name"),
        ("Viol 8 c ok", "no colon"),
        ("Viol 8 | c", "no colon after the keys"),
        ("Viol 8 | c: Viol 8 splutters", "which of them"),
        ("Viol 8 + f8 | c: silent", "which stop"),
        ("Viol 8 | nothing held: Viol 8 speaks", "no key of this stop"),
        ("Viol 8 | g9: Viol 8 speaks", ""),
        ("v: z ok", ""),
    ],
)
def test_what_is_unclear_is_asked_and_is_no_trial(two, line, word):
    read = read_trial_lines(line, two)
    assert read.trials == () and any(word in question.why for question in read.questions)


@pytest.mark.parametrize("apostrophe", ["'", "’", "ʼ"])
def test_french_is_understood_with_the_apostrophe_that_was_typed(two, apostrophe):
    read = read_trial_lines(f"Viol 8: c bon; rien d{apostrophe}autre", two)
    assert read.questions == () and read.trials[0].extra == ()


def test_other_languages_and_remarks(two):
    text = "# après-midi\nViol 8 | rien tenu: rien ne sonne\n\nViol 8: 1-3 stumm; sonst nichts"
    read = read_trial_lines(text, two)
    assert [one.line for one in read.typed] == [2, 4, 4, 4] and read.questions == ()


@pytest.mark.parametrize(
    "text", ["|", ":", "?|:", " + | , : ;", "f8 | : murmurs", "a" * 5000, "\x00|\x00:\x00"]
)
def test_nonsense_never_raises(two, text):
    assert read_trial_lines(text, two).trials == ()


def test_trials_of_the_demo_read_back_as_they_were_written():
    for seed in range(8):
        rng = random.Random(seed)
        schemes = [s for s in demo_schemes().values() if 2 <= len(s.stops) <= 9]
        case = make_case(rng.choice(schemes), rng, 2)
        trials = [*case.given]
        for stop in rng.sample(list(case.scheme.stops), 2):
            for key in range(1, 8):
                trials.append(listen(case.scheme, case.flows, case.broken, [stop.id], [(stop.keyboard, key)]))
        trials = [trial for trial in trials if all(_is_single(case.flows.net, x) for x in trial.extra or ())]
        back = read_trial_lines(write_trial_lines(case.scheme, trials), case.scheme)
        assert back.questions == ()
        assert sorted(map(_plain, back.trials)) == sorted(map(_plain, trials))


def _is_single(net, extra) -> bool:
    """A pipe that some note asks alone: of a mixture only the whole note can be named."""
    return any(pipes == (f"pipe:{extra.rank}:{extra.pipe}",) for pipes in net.calls.values())


def _plain(trial):
    return (
        sorted(trial.drawn),
        sorted(trial.keys),
        sorted(trial.heard),
        sorted(trial.extra or ()),
        trial.extra is None,
    )


def test_a_short_octave_is_written_by_number(two):
    scheme = demo_schemes()["ORG-0004"]
    flows = Flows(net_of(scheme))
    stop = scheme.stops[0]
    trials = [
        listen(scheme, flows, [Failure("pallet:I:3", "shut")], [stop.id], [(stop.keyboard, k)])
        for k in (1, 2, 3)
    ]
    text = write_trial_lines(scheme, trials)
    assert "1-2 speaks" in text and "3 silent" in text
    assert [t.heard for t in read_trial_lines(text, scheme).trials] == [t.heard for t in trials]
