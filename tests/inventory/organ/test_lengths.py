"""Speaking lengths against published rules; each source stands beside its check."""

import pytest

from inventory.organ.errors import PitchError
from inventory.organ.lengths import (
    cavaille_coll_length_mm,
    cavaille_coll_pitch_hz,
    end_correction_mm,
    open_length_mm,
    rectangular_length_mm,
    stopped_length_mm,
)
from inventory.organ.pitch import frequency_hz

INCH = 25.4


def test_unflanged_end_correction_is_0_6133_of_the_radius():
    # Levine and Schwinger 1948 (value read at second hand).
    assert end_correction_mm(200) == pytest.approx(61.33)


def test_flanged_end_correction_is_about_0_82_of_the_radius():
    # 0.82 read at probsee.com, "End correction"; 0.8217 from memory.
    assert end_correction_mm(200, flanged=True) == pytest.approx(82, abs=0.2)


def test_the_rounded_rule_0_6_r_is_near():
    # "about e = 0.6 r": Wikipedia, "Organ flue pipe scaling".
    assert end_correction_mm(100) / 50 == pytest.approx(0.6, abs=0.02)


def test_the_8_foot_c_by_cavaille_coll():
    # Rule: Académie des sciences 1860; Couwenbergh 1887 p. 295. The length is arithmetic.
    assert cavaille_coll_length_mm(frequency_hz(36), 155.5) == pytest.approx(2339.97, abs=0.01)
    assert cavaille_coll_length_mm(frequency_hz(36), 155.5, speed_m_s=343.2) == pytest.approx(
        2364.43, abs=0.01
    )


def test_a1_by_cavaille_coll():
    # Arithmetic from the same rule.
    assert cavaille_coll_length_mm(440, 30) == pytest.approx(336.36, abs=0.01)


@pytest.mark.parametrize(("length", "diameter", "hertz"), [(2339.97, 155.5, 65.4064), (336.3636, 30, 440)])
def test_ellis_form_returns_the_pitch(length, diameter, hertz):
    # 510000 / (3L + 5d): A. J. Ellis, from memory.
    assert cavaille_coll_pitch_hz(length, diameter) == pytest.approx(510_000 / (3 * length + 5 * diameter))
    assert cavaille_coll_pitch_hz(length, diameter) == pytest.approx(hertz, abs=2e-4)


def test_the_trap_simple_vibrations_are_two_to_a_hertz():
    # Cavaillé-Coll's N of a1 is 880; the length must be half of V / 440, not V / 440.
    assert cavaille_coll_length_mm(440, 1e-9) == pytest.approx(340_000 / 880)


def test_stopped_pipes_are_half_the_length_of_open_ones():
    # Dickson, Practical Organ-Building (1882): CC 4 ft, tenor C 2 ft, middle C 1 ft, treble C 6 in,
    # alto 3 in. Nominal lengths: the sum gives 4 ft 3 1/2 in at CC before any correction.
    for octave, feet in enumerate((4, 2, 1, 0.5, 0.25)):
        hertz = frequency_hz(36 + 12 * octave)
        assert stopped_length_mm(hertz) == pytest.approx(open_length_mm(hertz) / 2)
        assert stopped_length_mm(hertz) == pytest.approx(feet * 304.8, rel=0.08)


def test_wooden_pipes_lose_two_widths_open_and_one_stopped():
    # rwgiangiulio.com/math/pipelength.htm: 6772/f - 2 IW and 3386/f - IW, inches, c = 13543 in/s.
    speed = 13543 * INCH / 1000
    hertz, width = 130.8128, 3.0
    assert rectangular_length_mm(hertz, width * INCH, speed_m_s=speed) / INCH == pytest.approx(
        6772 / hertz - 2 * width, abs=0.005
    )
    assert stopped_length_mm(hertz, correction_mm=width * INCH, speed_m_s=speed) / INCH == pytest.approx(
        3386 / hertz - width, abs=0.005
    )


@pytest.mark.parametrize("correction", [-1, 5000])
def test_a_correction_longer_than_the_pipe_is_refused(correction):
    with pytest.raises(PitchError, match="uncorrected length"):
        open_length_mm(65.4, correction_mm=correction)


def test_sizes_and_pitches_must_be_above_nothing():
    for call in (
        lambda: end_correction_mm(0),
        lambda: open_length_mm(0),
        lambda: stopped_length_mm(-1),
        lambda: cavaille_coll_length_mm(65, -3),
        lambda: cavaille_coll_pitch_hz(0, 30),
        lambda: rectangular_length_mm(65, 0),
        lambda: open_length_mm(65, speed_m_s=0),
    ):
        with pytest.raises(PitchError, match="not above 0"):
            call()
