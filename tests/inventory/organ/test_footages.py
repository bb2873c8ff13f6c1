"""Footage text, harmonics, cents: against the table of values.md §3."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from inventory.organ.errors import PitchError
from inventory.organ.footages import (
    cents_of,
    harmonic_of,
    interval_of,
    read_footage,
    tempered_minus_pure_cents,
    write_footage,
)

# values.md §3, "Footage table (DERIVED)": footage, harmonic, semitones, cents, pure minus tempered.
TABLE = [
    ("10 2/3", "3/4", -5, -498.045, 1.955),
    ("6 2/5", "5/4", 4, 386.314, -13.686),
    ("5 1/3", "3/2", 7, 701.955, 1.955),
    ("3 1/5", "5/2", 16, 1586.314, -13.686),
    ("2 2/3", "3", 19, 1901.955, 1.955),
    ("2 2/7", "7/2", 22, 2168.826, -31.174),
    ("2", "4", 24, 2400, 0),
    ("1 3/5", "5", 28, 2786.314, -13.686),
    ("1 1/3", "6", 31, 3101.955, 1.955),
    ("1 1/7", "7", 34, 3368.826, -31.174),
    ("1", "8", 36, 3600, 0),
    ("8/9", "9", 38, 3803.910, 3.910),
    ("4/5", "10", 40, 3986.314, -13.686),
    ("2/3", "12", 43, 4301.955, 1.955),
    ("8/11", "11", 42, 4151.318, -48.682),
    ("8/13", "13", 44, 4440.528, 40.528),
    ("8/15", "15", 47, 4688.269, -11.731),
]


@pytest.mark.parametrize(("text", "harmonic", "semitones", "cents", "pure_minus_tempered"), TABLE)
def test_the_footage_table_is_reproduced(text, harmonic, semitones, cents, pure_minus_tempered):
    feet = read_footage(text)
    assert harmonic_of(feet) == Fraction(harmonic)
    assert interval_of(feet) == semitones
    assert cents_of(feet) == pytest.approx(cents, abs=5e-4)
    # values.md, "Signs and limits": our error has the opposite sign of the table's last column.
    assert tempered_minus_pure_cents(feet) == pytest.approx(-pure_minus_tempered, abs=6e-4)


# values.md §1, rule: "offsets in semitones from 8'".
@pytest.mark.parametrize(
    ("text", "offset"),
    [("32", -24), ("16", -12), ("10 2/3", -5), ("8", 0), ("5 1/3", 7), ("4", 12), ("3 1/5", 16),
     ("2 2/3", 19), ("2", 24), ("1 3/5", 28), ("1 1/3", 31), ("1 1/7", 34), ("1", 36), ("8/9", 38)],
)  # fmt: skip
def test_offsets_of_the_extension_rule(text, offset):
    assert interval_of(read_footage(text)) == offset


def test_a_derived_tierce_is_sharp_and_a_derived_quint_flat():
    # DESIGN §4, "Pitch": tierce +13.69, quint −1.96.
    assert round(tempered_minus_pure_cents(Fraction(8, 5)), 2) == 13.69
    assert round(tempered_minus_pure_cents(Fraction(8, 3)), 2) == -1.96


def test_a_fifth_and_a_third_of_the_foundations():
    # Grove, Dictionary of Music and Musicians, 1st ed., "Mutation stops" (values.md §3, SEEN).
    assert [Fraction(n, 3) for n in (32, 16, 8)] == [read_footage(t) for t in ("10 2/3", "5 1/3", "2 2/3")]
    assert [Fraction(n, 5) for n in (32, 16, 8)] == [read_footage(t) for t in ("6 2/5", "3 1/5", "1 3/5")]


@pytest.mark.parametrize(
    ("text", "feet"),
    [("8", 8), (" 8 ", 8), ("8'", 8), ("8′", 8), ("8’", 8), ("16 ft", 16), ("16ft.", 16), ("4 feet", 4),
     ("2 2/3", Fraction(8, 3)), ("2⅔", Fraction(8, 3)), ("2 ⅔′", Fraction(8, 3)),
     ("2  2 / 3'", Fraction(8, 3)),
     ("2-2/3", Fraction(8, 3)), ("2 2⁄3", Fraction(8, 3)), ("1 3/5′", Fraction(8, 5)),
     ("5 1/3", Fraction(16, 3)),
     ("½", Fraction(1, 2)), ("64", 64), ("8 Fuß", 8), ("8 pieds", 8)],
)  # fmt: skip
def test_labels_as_people_write_them(text, feet):
    assert read_footage(text) == feet


@pytest.mark.parametrize(
    "text",
    ["", " ", "'", "banana", "2.667", "2,667", "22/3", "8/3", "3/3", "0", "-8", "8 0/3", "8 1/0", "1/0",
     "129",
     "1/9", "8+4", "8 4", "IV", "1e400", "inf", "nan", "٨", "８", "9" * 10_000, "8\n4", "2 2/3 1/3", "''"],
)  # fmt: skip
def test_what_is_unclear_is_refused_with_a_remedy_on_one_line(text):
    with pytest.raises(PitchError) as refused:
        read_footage(text)
    assert '"2 2/3"' in str(refused.value)
    assert "\n" not in str(refused.value) and len(str(refused.value)) < 200


@pytest.mark.parametrize("value", [8, None, True, 8.0, ["8"]])
def test_a_footage_that_is_no_text_is_refused(value):
    with pytest.raises(PitchError):
        read_footage(value)


@given(st.integers(0, 127), st.integers(0, 98), st.integers(2, 99))
def test_writing_and_reading_changes_nothing(whole, numerator, denominator):
    feet = whole + Fraction(min(numerator, denominator - 1), denominator)
    if feet < Fraction(1, 8):
        feet = Fraction(8)
    assert read_footage(write_footage(feet)) == feet


@given(st.text(max_size=50))
def test_no_text_does_worse_than_being_refused(text):
    try:
        assert Fraction(1, 8) <= read_footage(text) <= 128
    except PitchError:
        pass
