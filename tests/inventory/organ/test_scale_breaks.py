"""Break points: planted ones are found, smooth curves raise few false alarms."""

import numpy as np
import pytest

from inventory.organ.errors import ScaleError
from inventory.organ.scale_breaks import find_breaks
from inventory.organ.scale_curves import PipeSize, ScaleCurve, scale_curve
from inventory.organ.scales import normalmensur_diameter_mm

LENGTHS = (42, 49, 54, 56, 61)


def smooth_curve(chance, notes):
    """A rank drawn in one piece: straight, bent, waved, or levelling off, up to 4 half-tones and more."""
    place = (notes - notes[0]) / (notes[-1] - notes[0])
    size = chance.uniform(0, 4)
    kinds = (
        lambda: chance.uniform(-4, 4) * place,
        lambda: chance.uniform(-6, 6) * place + chance.uniform(-8, 8) * place**2,
        lambda: size * np.sin(2 * np.pi * (chance.uniform(0.2, 1) * place + chance.uniform())),
        lambda: size * np.tanh((place - chance.uniform(0.2, 0.8)) / chance.uniform(0.2, 0.6)),
        lambda: size * np.exp(-place / chance.uniform(0.15, 0.6)),
    )
    return kinds[chance.integers(len(kinds))]()


def spread(chance, count):
    """What hand and calliper add: 0.15 to 1 half-tone, round, heavy-tailed or flat."""
    size = chance.uniform(0.15, 1)
    kinds = (
        lambda: chance.standard_normal(count),
        lambda: chance.standard_t(4, count) / np.sqrt(2),
        lambda: chance.uniform(-np.sqrt(3), np.sqrt(3), count),
    )
    return size * kinds[chance.integers(len(kinds))]()


def curve_of(notes, deviations):
    return ScaleCurve(tuple(int(n) for n in notes), tuple(float(d) for d in deviations), "open, round")


def count_false_alarms(curves, permutations, seed=20240501):
    chance = np.random.default_rng(seed)
    alarms = 0
    for number in range(curves):
        notes = np.arange(36, 36 + chance.choice(LENGTHS))
        deviations = smooth_curve(chance, notes) + spread(chance, len(notes))
        alarms += bool(
            find_breaks(curve_of(notes, deviations), seed=number, permutations=permutations).breaks
        )
    return alarms


def test_false_alarms_on_smooth_curves_are_at_most_five_in_a_hundred():
    assert 0 < count_false_alarms(300, 199) <= 15  # none at all would mean that nothing is ever found


@pytest.mark.thorough
def test_false_alarms_on_a_thousand_smooth_curves_are_at_most_fifty():
    assert 0 < count_false_alarms(1000, 499) <= 50


def test_a_rank_that_waves_twice_is_seldom_taken_for_one_with_breaks():
    chance = np.random.default_rng(3)
    alarms = 0
    for number in range(100):
        notes = np.arange(36, 36 + chance.choice(LENGTHS))
        place = (notes - notes[0]) / (notes[-1] - notes[0])
        deviations = 3 * np.sin(2 * np.pi * (2 * place + chance.uniform())) + 0.3 * chance.standard_normal(
            len(notes)
        )
        alarms += bool(find_breaks(curve_of(notes, deviations), seed=number, permutations=199).breaks)
    assert alarms <= 10


def test_a_sparsely_measured_smooth_rank_is_seldom_taken_for_one_with_breaks():
    chance = np.random.default_rng(5)
    alarms = 0
    for number in range(300):
        notes = np.sort(chance.choice(np.arange(36, 97), chance.integers(9, 25), replace=False))
        deviations = smooth_curve(chance, notes) + spread(chance, len(notes))
        alarms += bool(find_breaks(curve_of(notes, deviations), seed=number, permutations=199).breaks)
    assert alarms <= 15


def test_p_is_spread_evenly_where_nothing_is_to_be_found():
    chance = np.random.default_rng(7)
    notes = np.arange(36, 90)
    p = [
        find_breaks(curve_of(notes, chance.standard_normal(54)), seed=n, permutations=99).p
        for n in range(300)
    ]
    for share in (0.1, 0.25, 0.5, 0.75):
        assert np.mean(np.array(p) <= share) == pytest.approx(share, abs=0.09)


def test_a_transplanted_octave_is_found_to_the_pipe():
    chance = np.random.default_rng(11)
    found = exact = 0
    for number in range(100):
        notes = np.arange(36, 90)
        deviations = smooth_curve(chance, notes) + 0.4 * chance.standard_normal(54)
        start = int(chance.integers(6, 36))
        deviations[start : start + 12] += 2 * chance.choice([-1, 1])
        answer = find_breaks(curve_of(notes, deviations), seed=number, permutations=199)
        found += bool(answer.breaks)
        edges = [b.note for b in answer.breaks]
        planted = (36 + start, 36 + start + 12)
        exact += len(edges) == 2 and all(abs(e - p) <= 1 for e, p in zip(edges, planted, strict=True))
    assert found >= 97
    assert exact >= 90


def test_a_lowest_octave_a_fifth_part_wider_is_found_from_its_millimetres():
    # The lowest octave is replaced by pipes 20 % wider: 16 log2(1.2) = 4.21 half-tones, in millimetres.
    chance = np.random.default_rng(3)
    widths = [
        normalmensur_diameter_mm(n) * (1.2 if n < 48 else 1) * np.exp(0.01 * chance.standard_normal())
        for n in range(36, 90)
    ]
    curve = scale_curve(PipeSize(36 + n, width) for n, width in enumerate(widths))
    answer = find_breaks(curve, seed=1)
    assert [b.note for b in answer.breaks] == [48]
    assert answer.breaks[0].jump_half_tones == pytest.approx(-4.21, abs=0.6)


def test_two_strange_stretches_are_both_found():
    chance = np.random.default_rng(5)
    notes = np.arange(36, 97)
    deviations = 0.3 * chance.standard_normal(61)
    deviations[8:18] += 3
    deviations[40:49] -= 2.5
    assert [b.note for b in find_breaks(curve_of(notes, deviations), seed=2).breaks] == [44, 54, 76, 85]


def test_only_some_pipes_measured_is_enough():
    # C, E and G sharp of every octave.
    chance = np.random.default_rng(9)
    notes = np.arange(36, 97, 4)
    deviations = 0.2 * chance.standard_normal(len(notes)) + np.where(notes >= 72, 3.0, 0.0)
    answer = find_breaks(curve_of(notes, deviations), seed=1)
    assert [b.note for b in answer.breaks] == [72]


def test_a_jump_too_small_to_matter_is_not_named():
    notes = np.arange(36, 90)
    deviations = 0.01 * np.random.default_rng(1).standard_normal(54) + np.where(notes >= 60, 0.3, 0.0)
    assert find_breaks(curve_of(notes, deviations), seed=1).breaks == ()
    assert [b.note for b in find_breaks(curve_of(notes, deviations), seed=1, smallest_jump=0.1).breaks] == [
        60
    ]


@pytest.mark.parametrize("formula", [lambda x: 0 * x, lambda x: 0.1 * x, lambda x: 1e6 + 0 * x])
def test_a_curve_without_any_spread_has_no_break(formula):
    notes = np.arange(36, 90)
    answer = find_breaks(curve_of(notes, formula(notes.astype(float))), seed=1)
    assert (answer.breaks, answer.p) == ((), 1.0)


def test_the_same_seed_gives_the_same_answer():
    chance = np.random.default_rng(2)
    curve = curve_of(np.arange(36, 90), chance.standard_normal(54))
    assert find_breaks(curve, seed=4) == find_breaks(curve, seed=4)


def test_settings_out_of_range_are_refused():
    curve = curve_of(np.arange(36, 90), np.zeros(54))
    with pytest.raises(ScaleError, match="fewer than 9"):
        find_breaks(curve_of(np.arange(8), np.zeros(8)), seed=1)
    with pytest.raises(ScaleError, match="499 is usual"):
        find_breaks(curve, seed=1, permutations=10)
    with pytest.raises(ScaleError, match="0.01 is usual"):
        find_breaks(curve, seed=1, significance=0.2)
    with pytest.raises(ScaleError, match="below 0"):
        find_breaks(curve, seed=1, smallest_jump=-1)
    with pytest.raises(ScaleError, match="must rise"):
        find_breaks(curve_of([36] * 12, np.zeros(12)), seed=1)
    with pytest.raises(ScaleError, match="not a number"):
        find_breaks(curve_of(np.arange(36, 90), np.full(54, np.nan)), seed=1)
