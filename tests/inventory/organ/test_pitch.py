"""Pitch against published figures; each source stands beside its check."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.errors import PitchError
from inventory.organ.pitch import (
    cents_between,
    cents_per_kelvin,
    frequency_hz,
    nearest_note,
    pitch_at_temperature,
    speed_of_sound_m_s,
)


def test_a1_is_440_hertz():
    # ISO 16:1975 (read in encyclopaedia copies of "A440").
    assert frequency_hz(69) == 440.0


@pytest.mark.parametrize(
    ("note", "hertz"),
    [
        (36, 65.406),
        (24, 32.703),
        (12, 16.352),
        (0, 8.176),
        (48, 130.813),
        (60, 261.626),
        (72, 523.251),
        (84, 1046.502),
    ],
)
def test_the_cs_from_64_foot_to_half_a_foot(note, hertz):
    # 65.406 read in note charts; the rest is arithmetic by 440 x 2^((n - 69) / 12).
    assert frequency_hz(note) == pytest.approx(hertz, abs=6e-4)


@pytest.mark.parametrize(
    ("hertz", "cents"),
    [
        (392, -199.98),
        (415, -101.27),
        (435, -19.79),
        (439, -3.94),
        (452.5, 48.50),
        (454, 54.23),
        (465, 95.67),
        (466, 99.39),
        (422.5, -70.26),
    ],
)
def test_old_pitches_in_cents_from_440(hertz, cents):
    # Pitches: Encyclopaedia Britannica 1911, "Pitch, Musical"; Ellis and Mendel 1968. Cents: arithmetic.
    assert cents_between(440, hertz) == pytest.approx(cents, abs=0.006)


def test_new_philharmonic_pitch_of_1896():
    # Ellis and Mendel 1968, introduction: A 439, B flat 465, C 522 at 68 F.
    assert frequency_hz(70, 439) == pytest.approx(465, abs=0.15)
    assert frequency_hz(72, 439) == pytest.approx(522, abs=0.1)


@pytest.mark.parametrize(
    ("celsius", "speed"),
    [(0, 331.286), (10, 337.296), (15, 340.261), (20, 343.200), (25, 346.114), (30, 349.005)],
)
def test_speed_of_sound_by_the_iso_formula(celsius, speed):
    # ISO 9613-1 equation (A.5), formula from memory; figures are arithmetic from it.
    assert speed_of_sound_m_s(celsius) == pytest.approx(speed, abs=6e-4)


@pytest.mark.parametrize(("kelvin", "speed"), [(293.15, 343.204), (308.15, 351.875), (280, 335.418)])
def test_speed_of_sound_agrees_with_the_ideal_gas(kelvin, speed):
    # hpmuseum.org forum thread 21581: sqrt(gamma R T / M). Another route, so 0.01 m/s apart.
    assert speed_of_sound_m_s(kelvin - 273.15) == pytest.approx(speed, abs=0.01)


@pytest.mark.parametrize("celsius", [0, 5, 10, 15, 20])
def test_speed_of_sound_agrees_with_the_straight_line(celsius):
    # 331.3 + 0.606 t, a first-order formula near 0 degrees (encyclopaedia copies).
    assert speed_of_sound_m_s(celsius) == pytest.approx(331.3 + 0.606 * celsius, abs=0.25)


@pytest.mark.parametrize(("celsius", "cents"), [(20, 2.953), (15, 3.004), (10, 3.057)])
def test_flue_pipes_rise_by_about_three_cents_a_degree(celsius, cents):
    # Arithmetic: 1200 / (2 ln 2 T).
    assert cents_per_kelvin(celsius) == pytest.approx(cents, abs=6e-4)


@pytest.mark.parametrize(("cold", "warm", "cents"), [(20, 25, 14.64), (20, 10, -30.04), (15, 20, 14.89)])
def test_a_change_of_temperature_in_cents(cold, warm, cents):
    # Arithmetic: 600 log2 of the ratio of kelvin.
    assert cents_between(440, pitch_at_temperature(440, cold, warm, "flue")) == pytest.approx(
        cents, abs=0.006
    )


def test_a_435_at_15_degrees_is_nearly_439_at_20():
    # Ellis and Mendel 1968, introduction: A 435 at 59 F against A 439 at 68 F.
    theory = pitch_at_temperature(435, 15, 20, "flue")
    assert theory == pytest.approx(438.76, abs=0.006)
    assert theory == pytest.approx(439, abs=0.3)


def test_the_trap_two_cents_a_fahrenheit_degree_is_more_than_physics():
    # A tuner's page says 2 cents for 1 F, which is 3.6 for 1 C.
    assert cents_per_kelvin(20) < 3.6


def test_a_reed_is_refused_and_so_is_a_pipe_of_no_stated_kind():
    with pytest.raises(PitchError, match="reed's pitch does not follow"):
        pitch_at_temperature(440, 15, 20, "reed")
    with pytest.raises(PitchError, match="neither 'flue' nor 'reed'"):
        pitch_at_temperature(440, 15, 20, "")


@pytest.mark.parametrize("hertz", [0, -440, math.nan, math.inf])
def test_a_frequency_that_is_none_is_refused(hertz):
    for call in (
        lambda: frequency_hz(69, hertz),
        lambda: cents_between(440, hertz),
        lambda: cents_between(hertz, 440),
        lambda: nearest_note(hertz),
        lambda: pitch_at_temperature(hertz, 15, 20, "flue"),
    ):
        with pytest.raises(PitchError, match="not above 0"):
            call()


@pytest.mark.parametrize("celsius", [-41, 293.15, 68, math.nan])
def test_a_temperature_in_kelvin_or_fahrenheit_is_noticed(celsius):
    with pytest.raises(PitchError, match="degrees Celsius"):
        speed_of_sound_m_s(celsius)


def test_the_nearest_note_of_low_pitch():
    note, cents = nearest_note(415)
    assert (note, round(cents, 2)) == (68, -1.27)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 127), st.floats(-49, 49), st.floats(380, 500))
def test_reading_a_frequency_gives_back_the_note(note, cents, a1_hz):
    found, off = nearest_note(frequency_hz(note + cents / 100, a1_hz), a1_hz)
    assert found == note
    assert off == pytest.approx(cents, abs=1e-6)


@settings(max_examples=60, deadline=None)
@given(st.floats(20, 5000), st.floats(-40, 60), st.floats(-40, 60))
def test_going_to_another_temperature_and_back_changes_nothing(hertz, first, second):
    there = pitch_at_temperature(hertz, first, second, "flue")
    assert pitch_at_temperature(there, second, first, "flue") == pytest.approx(hertz)
