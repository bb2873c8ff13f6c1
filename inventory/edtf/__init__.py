"""Uncertain dates as text (EDTF, ISO 8601-2:2019): read, bounded, put into words, suggested.

A parser of our own after the profile of 4 February 2019 that the Library of Congress publishes freely:
levels 0, 1 and 2. `parse_edtf` is strict; `suggest_edtf` reads what people write and proposes, never decides.

Decisions the standard leaves open, or that this project makes:

* an open end (``1902/..``) and an unknown end (``1902/``) have no bound: None, never an invented year;
* seasons are the meteorological ones of the northern half of the earth: 21 and 25 spring March to May,
  22 and 26 summer June to August, 23 and 27 autumn September to November, 24 and 28 winter December of the
  year named to the end of February of the *next* year; 29 to 32 are the southern ones, the same months by
  name (29 spring September to November, 30 summer December to February of the next year, and so on);
* bounds stay strict: ``1850~`` is 1850; `statistics_interval` widens it by five years either way;
  ``1950S2`` is 1950, and 1900 to 1999 in statistics;
* an end without unspecified digits is compared by its first day, so ``2004-06-11/2004-06`` counts as
  reversed: "ended later that month" is written ``2004-06-11/2004-06-XX``;
* a date with a clock time is the day as written, whatever its time zone;
* unspecified digits are not qualified as well (``184X~`` is refused).
"""

from .bounds import Day, day_number, statistics_interval
from .errors import EdtfError
from .parsing import LONGEST_TEXT, parse_edtf
from .suggesting import Suggestion, Suggestions, suggest_edtf
from .values import EdtfDate, Part, Span
from .words import date_in_words

__all__ = [
    "LONGEST_TEXT",
    "Day",
    "EdtfDate",
    "EdtfError",
    "Part",
    "Span",
    "Suggestion",
    "Suggestions",
    "date_in_words",
    "day_number",
    "parse_edtf",
    "statistics_interval",
    "suggest_edtf",
]
