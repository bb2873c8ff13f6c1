"""Wind pressures, each unit with its factor and where the factor comes from.

What was written is always kept beside what was computed. Old lengths are in `old_lengths`.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from types import MappingProxyType

from inventory.organ.errors import UnitError
from inventory.organ.sentences import say

PASCALS_PER_MM_OF_WATER = 9.80665
"""Conventional millimetre of water: 1000 kg/m3 x 9.80665 m/s2 x 1 mm."""

MM_PER_INCH = 25.4
"""International inch of 1959, exact."""

FLOOR_LIKELY_MM, CEILING_LIKELY_MM = 30.0, 250.0
"""Wind of an ordinary organ in mm of water; common practice. Outside it the unit is questioned."""


@dataclass(frozen=True)
class PressureUnit:
    """A unit of wind pressure."""

    name: str
    pascals: float
    """Pascals in one unit."""
    source: str


PRESSURE_UNITS = MappingProxyType(
    {
        unit.name: unit
        for unit in (
            PressureUnit("Pa", 1.0, "SI"),
            PressureUnit("hPa", 100.0, "SI; the same as the millibar"),
            PressureUnit("kPa", 1000.0, "SI"),
            PressureUnit("mmH2O", PASCALS_PER_MM_OF_WATER, "conventional water, 1000 kg/m3, 9.80665 m/s2"),
            PressureUnit("cmH2O", 10 * PASCALS_PER_MM_OF_WATER, "ten mmH2O"),
            # Not 249.082 (true density at 4 degrees) and not 248.9 (water at 15 degrees).
            PressureUnit("inH2O", MM_PER_INCH * PASCALS_PER_MM_OF_WATER, "25.4 mmH2O"),
            PressureUnit("lb/ft2", 0.45359237 * 9.80665 / 0.3048**2, "pound-force on a square foot"),
        )
    }
)
"""Every unit of pressure that is understood, by name."""

_WRITTEN_AS = {
    "pa": "Pa",
    "hpa": "hPa",
    "mbar": "hPa",
    "kpa": "kPa",
    "mm": "mmH2O",
    "cm": "cmH2O",
    "in": "inH2O",
    "ins": "inH2O",
    "inch": "inH2O",
    "inches": "inH2O",
    '"': "inH2O",
    "″": "inH2O",
    "''": "inH2O",
}
_WATER_WORDS = r"(?:\s*(?:h2o|h₂o|ce|c\.e\.|ca|c\.a\.|ws|wc|wg|w\.g\.|aq|of water|d'eau))?"
_PRESSURE = re.compile(
    r"\s*(\d+(?:[.,]\d+)?)\s*(h?pa|kpa|mbar|mm|cm|inches|inch|ins|in|\"|″|'')" + _WATER_WORDS + r"\s*\.?\s*",
    re.IGNORECASE,
)


@dataclass(frozen=True)
class WindPressure:
    """A wind pressure as it was written and as it was understood."""

    as_written: str
    unit: str
    """Name of the unit in `PRESSURE_UNITS`."""
    pascals: float
    question: str
    """What to ask the surveyor, empty when nothing is odd."""

    @property
    def mm_of_water(self) -> float:
        """The pressure in millimetres of water."""
        return self.pascals / PASCALS_PER_MM_OF_WATER


def convert_pressure(value: float, unit: str, to_unit: str) -> float:
    """Return a pressure in another unit.

    Parameters
    ----------
    value
        The pressure, >= 0.
    unit, to_unit
        Names in `PRESSURE_UNITS`: Pa, hPa, kPa, mmH2O, cmH2O, inH2O, lb/ft2.

    Returns
    -------
    float
        The same pressure in `to_unit`. ``lb/ft2`` is true hydrostatic pressure. It is *not*
        the weight laid on a bellows: Dickson lays about 7 lb on a square foot for two-inch
        wind, where the pressure is 10.40 lb/ft2, because the board itself weighs the rest.

    Raises
    ------
    UnitError
        If the value is negative or a unit is not known.

    References
    ----------
    The inch of water, 249.08891 Pa, as in published tables of conventional water;
    W. E. Dickson, *Practical Organ-Building* (1882) for the loading of bellows.

    Examples
    --------
    >>> round(convert_pressure(3, "inH2O", "Pa"), 1)
    747.3
    """
    if not (math.isfinite(value) and value >= 0):
        raise UnitError(say("pressure %(value)s is not 0 or more; give what the gauge showed", value=value))
    for name in (unit, to_unit):
        if name not in PRESSURE_UNITS:
            raise UnitError(
                say(
                    "unit of pressure %(name)s is not one of %(pressure_units)s; name one of these",
                    name=f"{name!r}",
                    pressure_units=", ".join(PRESSURE_UNITS),
                )
            )
    return value * PRESSURE_UNITS[unit].pascals / PRESSURE_UNITS[to_unit].pascals


def read_pressure(text: str) -> WindPressure:
    """Return the wind pressure that a note states.

    Parameters
    ----------
    text
        Number and unit: ``75 mm CE``, ``3 ins wg``, ``3"``, ``7,5 cm``, ``750 Pa``, ``0.75 kPa``.

    Returns
    -------
    WindPressure
        As written, unit and pascals; with a question when it lies outside 30 to 250 mm of
        water (common practice; reeds on high pressure go beyond).

    Raises
    ------
    UnitError
        If there is no number, no unit, or a unit that is not understood. A bare number is
        never given a unit, and pounds to the square foot are refused: in old books they
        mean the load on the bellows.

    References
    ----------
    `PRESSURE_UNITS`.

    Examples
    --------
    >>> round(read_pressure("7,5 cm").pascals, 1)
    735.5
    """
    found = _PRESSURE.fullmatch(text)
    if not found:
        raise UnitError(
            say(
                "wind pressure %(text)s is not a number with a unit; write it as '75 mm', '3 in', '7.5 cm', '750 "
                "Pa' or '0.75 kPa'",
                text=f"{text!r}",
            )
        )
    unit = _WRITTEN_AS[found[2].lower()]
    pascals = convert_pressure(float(found[1].replace(",", ".")), unit, "Pa")
    mm_of_water = pascals / PASCALS_PER_MM_OF_WATER
    likely = FLOOR_LIKELY_MM <= mm_of_water <= CEILING_LIKELY_MM
    question = "" if likely else f"{text.strip()} is {mm_of_water:.0f} mm of water: is the unit right?"
    return WindPressure(text, unit, pascals, question)
