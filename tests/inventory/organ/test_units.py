"""Wind pressures against published factors; each source stands beside its check."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.errors import UnitError
from inventory.organ.units import PRESSURE_UNITS, convert_pressure, read_pressure


def test_the_inch_of_water_is_conventional():
    # sensorsone.co.uk glossary: 249.08891 Pa; 1 mmH2O = 9.80665 Pa.
    assert convert_pressure(1, "inH2O", "Pa") == pytest.approx(249.08891, abs=1e-5)
    assert convert_pressure(1, "mmH2O", "Pa") == 9.80665
    assert convert_pressure(1, "inH2O", "mmH2O") == pytest.approx(25.4)


@pytest.mark.parametrize("trap", [249.082, 248.9])
def test_the_other_inches_of_water_are_not_ours(trap):
    # 249.082 is water at its true density, 248.9 water at 15 degrees: other sites print them.
    assert convert_pressure(1, "inH2O", "Pa") != pytest.approx(trap, abs=0.005)


@pytest.mark.parametrize(
    ("inches", "mm", "pascals"),
    [
        (2, 50.8, 498.2),
        (2.5, 63.5, 622.7),
        (3, 76.2, 747.3),
        (3.5, 88.9, 871.8),
        (4, 101.6, 996.4),
        (10, 254, 2490.9),
        (100, 2540, 24908.9),
    ],
)
def test_inches_of_wind(inches, mm, pascals):
    # Arithmetic from the factors above.
    assert convert_pressure(inches, "inH2O", "mmH2O") == pytest.approx(mm)
    assert convert_pressure(inches, "inH2O", "Pa") == pytest.approx(pascals, abs=0.05)


def test_75_and_80_mm_in_pascals():
    # Arithmetic: 735.5 and 785 Pa.
    assert convert_pressure(75, "mmH2O", "Pa") == pytest.approx(735.5, abs=0.05)
    assert convert_pressure(80, "mmH2O", "Pa") == pytest.approx(785, abs=0.5)


def test_seven_pounds_to_the_foot_is_a_load_and_no_conversion():
    # Dickson 1882: "about 7 lbs. per square foot" for two-inch wind; hydrostatics give 10.40.
    assert convert_pressure(2, "inH2O", "lb/ft2") == pytest.approx(10.40, abs=0.01)
    with pytest.raises(UnitError):
        read_pressure("7 lb/ft2")


@pytest.mark.parametrize(
    ("text", "unit", "mm"),
    [
        ("75 mm CE", "mmH2O", 75),
        ("75 mm WS", "mmH2O", 75),
        ("75mm", "mmH2O", 75),
        ('3"', "inH2O", 76.2),
        ("3''", "inH2O", 76.2),
        ("3 ins wg", "inH2O", 76.2),
        ("3 INCHES", "inH2O", 76.2),
        ("7,5 cm", "cmH2O", 75),
        ("750 Pa", "Pa", 76.479),
        ("0.75 kPa", "kPa", 76.479),
        ("7.5 mbar", "hPa", 76.479),
    ],
)
def test_pressures_as_surveyors_write_them(text, unit, mm):
    pressure = read_pressure(text)
    assert (pressure.unit, pressure.as_written, pressure.question) == (unit, text, "")
    assert pressure.mm_of_water == pytest.approx(mm, abs=0.001)


def test_an_unlikely_pressure_is_asked_about_not_refused():
    assert "is the unit right?" in read_pressure("75 Pa").question
    assert "is the unit right?" in read_pressure("75 in").question


@pytest.mark.parametrize("text", ["75", "", "mm", "about 3 in", "-3 in", "3 bar", "7 lb", "3 in 4"])
def test_what_has_no_unit_is_not_given_one(text):
    with pytest.raises(UnitError, match="not a number with a unit"):
        read_pressure(text)


def test_unknown_units_and_negative_pressures_are_refused():
    with pytest.raises(UnitError, match="is not one of"):
        convert_pressure(1, "torr", "Pa")
    with pytest.raises(UnitError, match="not 0 or more"):
        convert_pressure(-1, "Pa", "Pa")


@settings(max_examples=50, deadline=None)
@given(st.floats(0, 1e5), st.sampled_from(sorted(PRESSURE_UNITS)), st.sampled_from(sorted(PRESSURE_UNITS)))
def test_pressures_convert_there_and_back(value, unit, other):
    assert convert_pressure(convert_pressure(value, unit, other), other, unit) == pytest.approx(value)


def test_every_unit_has_a_source():
    assert all(unit.source for unit in PRESSURE_UNITS.values())
