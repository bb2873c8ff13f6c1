"""Temperaments against published tables; each source stands beside its check."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.errors import PitchError
from inventory.organ.footages import tempered_minus_pure_cents
from inventory.organ.pitch import cents_between
from inventory.organ.temperaments import (
    NOTE_NAMES,
    PURE_FIFTH_CENTS,
    PYTHAGOREAN_COMMA_CENTS,
    SYNTONIC_COMMA_CENTS,
    TEMPERAMENTS,
    derived_mutation_error,
    derived_mutation_table,
    find_temperament,
)

QUINT, TIERCE, SEVENTH, NINTH = Fraction(8, 3), Fraction(8, 5), Fraction(8, 7), Fraction(8, 9)

# B. Lehman, temper.html (umich.edu/~bpl), read as copied in a public source file; C to B in cents.
TABLES = {
    "Werckmeister III": "0 90.225 192.180 294.135 390.225 498.045 588.270 696.090 792.180 888.270 996.090 1092.180",
    "Kirnberger III, schisma B-F♯": (
        "0 90.225 193.157 294.135 386.314 498.045 588.270 696.578 792.180 889.735 996.090 1088.269"
    ),
    "Kirnberger III, schisma F♯-C♯": (
        "0 90.225 193.157 294.135 386.314 498.045 590.224 696.578 792.180 889.735 996.090 1088.269"
    ),
    "Vallotti": "0 94.135 196.090 298.045 392.180 501.955 592.180 698.045 796.090 894.135 1000.000 1090.225",
    "Young II": "0 90.225 196.090 294.135 392.180 498.045 588.270 698.045 792.180 894.135 996.090 1090.225",
    "quarter-comma meantone": (
        "0 76.049 193.157 310.265 386.314 503.422 579.471 696.578 772.627 889.735 1006.843 1082.892"
    ),
    "Pythagorean": "0 90.22 203.91 294.13 407.82 498.04 588.27 701.96 792.18 905.87 996.09 1109.78",
}


@pytest.mark.parametrize("name", TABLES)
def test_offsets_computed_from_the_chain_equal_the_published_table(name):
    published = [float(figure) for figure in TABLES[name].split()]
    tolerance = 0.006 if name == "Pythagorean" else 0.001  # that table has two decimals
    assert find_temperament(name).offsets_cents == pytest.approx(published, abs=tolerance)


def test_equal_temperament_is_a_hundred_cents_a_step():
    assert find_temperament("equal").offsets_cents == pytest.approx([100 * n for n in range(12)], abs=1e-9)


def test_the_commas():
    # studylib doc 8194793, "Tunings (various)": 23.46001 and 21.50629 cents; 720 TU and 660 TU,
    # TU 0.03258529 cents.
    assert PYTHAGOREAN_COMMA_CENTS == pytest.approx(23.46001, abs=1e-5)
    assert SYNTONIC_COMMA_CENTS == pytest.approx(21.50629, abs=1e-5)
    # TRAP: that unit is the syntonic comma / 660; the Pythagorean comma / 720 is 0.03258335.
    assert SYNTONIC_COMMA_CENTS / 660 == pytest.approx(0.03258529, abs=1e-8)
    assert PYTHAGOREAN_COMMA_CENTS / 720 == pytest.approx(0.03258335, abs=1e-8)


def test_fifths_of_werckmeister_iii():
    # tonalsoft.com, "werckmeister"; Indiana University piano technology page: 696.090 and pure 701.955.
    tuning = find_temperament("Werckmeister III")
    narrow = [n for n in range(12) if tuning.interval_cents(n, 7) < 700]
    assert [NOTE_NAMES[n] for n in narrow] == ["C", "D", "G", "B"]
    assert tuning.interval_cents(0, 7) == pytest.approx(696.090, abs=0.001)
    assert tuning.interval_cents(4, 7) == pytest.approx(701.955, abs=0.001)


def test_the_meantone_fifth_and_its_wolf():
    # Wikipedia copy, "Quarter-comma meantone": 696.578 = fourth root of 5; twelve of them fall 41.059
    # cents short of seven octaves. The wolf, 737.637, is arithmetic.
    tuning = find_temperament("quarter-comma meantone")
    assert tuning.interval_cents(0, 7) == pytest.approx(696.578, abs=0.001)
    assert tuning.interval_cents(0, 7) == pytest.approx(cents_between(1, 5**0.25), abs=1e-9)
    assert 8400 - 12 * tuning.interval_cents(0, 7) == pytest.approx(41.059, abs=0.001)
    assert tuning.closing_fifth_cents == pytest.approx(737.637, abs=0.001)
    assert tuning.interval_cents(8, 7) == pytest.approx(tuning.closing_fifth_cents)


def test_the_old_mean_tone_fork():
    # EB1911, "Pitch, Musical": c2 506.8 "mean tone" is a1 423.7; equal temperament would give 426.2.
    meantone = find_temperament("quarter-comma meantone")
    a1_hz = 506.8 * 2 ** (-meantone.interval_cents(69, 3) / 1200)
    assert a1_hz == pytest.approx(423.65, abs=0.005)
    assert meantone.frequency_hz(72, a1_hz) == pytest.approx(506.8)
    assert 506.8 * 2 ** (-300 / 1200) == pytest.approx(426.2, abs=0.05)


def test_both_forms_of_kirnberger_iii_differ_in_f_sharp_only_and_neither_is_the_default():
    first, second = (TEMPERAMENTS[f"Kirnberger III, schisma {where}"] for where in ("B-F♯", "F♯-C♯"))
    differ = [n for n in range(12) if abs(first.offsets_cents[n] - second.offsets_cents[n]) > 1e-6]
    assert [NOTE_NAMES[n] for n in differ] == ["F♯"]
    with pytest.raises(PitchError, match="schisma B-F♯; Kirnberger III, schisma F♯-C♯"):
        find_temperament("Kirnberger III")


def test_the_trap_vallotti_is_not_young_ii():
    # "Vallotti-Young" lists are often Young II; one page tempers D to G sharp instead of F to B.
    vallotti, young = find_temperament("Vallotti"), find_temperament("Young II")
    assert max(abs(a - b) for a, b in zip(vallotti.offsets_cents, young.offsets_cents, strict=True)) > 3
    assert [NOTE_NAMES[n] for n in range(12) if vallotti.interval_cents(n, 7) < 700] == list("CDEFGA")


@pytest.mark.parametrize("name", TEMPERAMENTS)
def test_every_circle_of_fifths_closes_on_seven_octaves(name):
    tuning = TEMPERAMENTS[name]
    assert sum(tuning.interval_cents(n, 7) for n in range(12)) == pytest.approx(8400)
    open_fifths = [n for n in range(12) if abs(tuning.interval_cents(n, 7) - PURE_FIFTH_CENTS) < 1e-9]
    assert len(open_fifths) == {"equal": 0, "quarter-comma meantone": 0, "Pythagorean": 11}.get(
        name, 8 if name.startswith("Werck") else 7 if name.startswith("Kirn") else 6
    )


@pytest.mark.parametrize(
    ("footage", "error"), [(QUINT, -1.96), (TIERCE, 13.69), (SEVENTH, 31.17), (NINTH, -3.91)]
)
def test_derived_mutations_in_equal_temperament(footage, error):
    # Arithmetic: tempered less pure; tables "vs 12-TET" print the opposite sign.
    for row in derived_mutation_table(find_temperament("equal"), footage):
        assert row.error_cents == pytest.approx(error, abs=0.006)
        assert row.error_cents == pytest.approx(tempered_minus_pure_cents(footage), abs=1e-9)


def test_beats_at_c1_in_equal_temperament():
    # Arithmetic: tierce 10.4 and quint 0.9 beats a second at c1, a1 440.
    equal = find_temperament("equal")
    assert derived_mutation_error(equal, TIERCE, 60).beats_per_second == pytest.approx(10.4, abs=0.05)
    assert derived_mutation_error(equal, QUINT, 60).beats_per_second == pytest.approx(0.9, abs=0.05)


def test_derived_mutations_in_meantone():
    # Arithmetic: quint -5.4 cents, on the wolf +35.7; the tierce pure in the eight good keys.
    meantone = find_temperament("quarter-comma meantone")
    quints = {NOTE_NAMES[row.note % 12]: row.error_cents for row in derived_mutation_table(meantone, QUINT)}
    assert quints.pop("G♯") == pytest.approx(35.7, abs=0.05)
    assert list(quints.values()) == pytest.approx([-5.4] * 11, abs=0.03)
    tierces = {NOTE_NAMES[row.note % 12]: row for row in derived_mutation_table(meantone, TIERCE)}
    good = {name for name, row in tierces.items() if abs(row.error_cents) < 1e-9}
    assert good == {"C", "D", "E♭", "E", "F", "G", "A", "B♭"}
    assert all(tierces[name].beats_per_second == pytest.approx(0, abs=1e-9) for name in good)
    # The other four are diminished fourths: 427.373 less 386.314.
    assert all(
        row.error_cents == pytest.approx(41.059, abs=0.001)
        for name, row in tierces.items()
        if name not in good
    )


def test_a_quint_below_the_unison_beats_with_its_own_harmonic():
    # 5 1/3' has harmonic 3/2: partial 3 of the 8' against partial 2 of the quint.
    equal = find_temperament("equal")
    error = derived_mutation_error(equal, Fraction(16, 3), 60)
    assert error.beats_per_second == pytest.approx(
        abs(3 * equal.frequency_hz(60) - 2 * equal.frequency_hz(67))
    )


def test_an_octave_is_never_out_of_tune():
    for tuning in TEMPERAMENTS.values():
        for row in derived_mutation_table(tuning, Fraction(4)):
            assert (row.error_cents, row.beats_per_second) == (
                pytest.approx(0, abs=1e-9),
                pytest.approx(0, abs=1e-9),
            )


def test_what_is_not_a_pitch_is_refused():
    with pytest.raises(PitchError):
        derived_mutation_error(find_temperament("equal"), Fraction(0), 60)
    with pytest.raises(PitchError, match="not above 0"):
        find_temperament("equal").frequency_hz(60, 0)
    with pytest.raises(PitchError, match="name one of"):
        find_temperament("well")


@settings(max_examples=80, deadline=None)
@given(st.sampled_from(sorted(TEMPERAMENTS)), st.integers(24, 96), st.floats(390, 470))
def test_a1_keeps_its_frequency_and_octaves_are_pure(name, note, a1_hz):
    tuning = TEMPERAMENTS[name]
    assert tuning.frequency_hz(69, a1_hz) == pytest.approx(a1_hz)
    assert tuning.frequency_hz(note + 12, a1_hz) == pytest.approx(2 * tuning.frequency_hz(note, a1_hz))


@settings(max_examples=80, deadline=None)
@given(
    st.sampled_from(sorted(TEMPERAMENTS)),
    st.integers(36, 84),
    st.sampled_from([QUINT, TIERCE, Fraction(16, 3), SEVENTH]),
)
def test_beats_and_cents_tell_one_story(name, note, footage):
    tuning = TEMPERAMENTS[name]
    error = derived_mutation_error(tuning, footage, note)
    wanted_hz = tuning.frequency_hz(note) * 8 / footage
    partial_hz = wanted_hz * (8 / footage).denominator
    assert error.beats_per_second == pytest.approx(
        partial_hz * abs(2 ** (error.error_cents / 1200) - 1), abs=1e-6
    )
