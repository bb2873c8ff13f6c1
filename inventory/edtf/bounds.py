"""Days in any year, and the first and last day of a date with unspecified digits."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from itertools import product
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from .values import EdtfDate, Part

Day = tuple[int, int, int]  # year (0 is 1 BC), month, day of the proleptic Gregorian calendar

# House rule for "about" in statistics (common practice for "c." in the trade: five years either way).
APPROXIMATE_YEARS = 5

# First month and number of months. 21-24 seasons, 25-28 northern, 29-32 southern, 33-36 quarters,
# 37-39 thirds of a year, 40-41 halves. A winter that begins in December ends in the next year.
SEASONS: dict[int, tuple[int, int]] = {
    **{21 + place: (3 + 3 * place, 3) for place in range(4)},
    **{25 + place: (3 + 3 * place, 3) for place in range(4)},
    29: (9, 3),
    30: (12, 3),
    31: (3, 3),
    32: (6, 3),
    **{33 + place: (1 + 3 * place, 3) for place in range(4)},
    **{37 + place: (1 + 4 * place, 4) for place in range(3)},
    40: (1, 6),
    41: (7, 6),
}


def is_leap(year: int) -> bool:
    """Whether a year has 29 February."""
    return year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)


def days_in_month(year: int, month: int) -> int:
    """Number of days of a month."""
    if month == 2:
        return 29 if is_leap(year) else 28
    return 30 if month in (4, 6, 9, 11) else 31


def day_number(day: Day) -> int:
    """Days counted so that 1 January of year 1 is 1, as `datetime.date.toordinal` does, in any year."""
    year, month, number = day
    before = year - 1
    months = sum(days_in_month(year, earlier) for earlier in range(1, month))
    return before * 365 + before // 4 - before // 100 + before // 400 + months + number


def as_date(day: Day | None) -> date | None:
    """The same day as a `date`, where Python has one."""
    return date(*day) if day is not None and 1 <= day[0] <= 9999 else None


def season_bounds(year: int, season: int) -> tuple[Day, Day]:
    """First and last day of a season, quarter, third or half of a year."""
    first, months = SEASONS[season]
    last = first + months - 1
    last_year, last_month = (year, last) if last <= 12 else (year + 1, last - 12)
    return (year, first, 1), (last_year, last_month, days_in_month(last_year, last_month))


def matching(mask: str, falling: bool = False) -> Iterator[int]:
    """Every number a mask of digits and X can mean, rising or falling; a sign is allowed."""
    negative = mask.startswith("-")
    digits = range(9, -1, -1) if falling != negative else range(10)
    for row in product(*(digits if sign == "X" else (int(sign),) for sign in mask.removeprefix("-"))):
        number = int("".join(map(str, row)))
        if not negative:
            yield number
        elif number:  # there is no year minus nought
            yield -number


def masked_bounds(year: str, month: str, day: str) -> tuple[Day, Day] | None:
    """First and last existing day that a date with unspecified digits can mean; None if there is none."""
    months = [number for number in matching(month) if 1 <= number <= 12] if month else list(range(1, 13))
    days = [number for number in matching(day) if 1 <= number <= 31] if day else list(range(1, 32))
    first = _first_existing(matching(year), months, days)
    last = _first_existing(matching(year, falling=True), months[::-1], days[::-1])
    return (first, last) if first and last else None


def _first_existing(years: Iterable[int], months: list[int], days: list[int]) -> Day | None:
    for year in years:
        for month in months:
            for day in days:
                if day <= days_in_month(year, month):
                    return year, month, day
    return None


def statistics_interval(edtf: EdtfDate) -> tuple[date | None, date | None]:
    """First and last day for statistics: five years wider on each side whose year is approximate.

    Significant digits (``1950S2``) count here as the years they allow. Open and unknown ends stay None.
    """
    firsts: list[Day | None] = []
    lasts: list[Day | None] = []
    for member in edtf.members:
        first, last = member.ends
        firsts.append(_widened(first)[0] if first else None)
        lasts.append(_widened(last)[1] if last else None)
    known_firsts = [day for day in firsts if day is not None]
    known_lasts = [day for day in lasts if day is not None]
    return (
        as_date(min(known_firsts)) if len(known_firsts) == len(firsts) else None,
        as_date(max(known_lasts)) if len(known_lasts) == len(lasts) else None,
    )


def _widened(part: Part) -> tuple[Day, Day]:
    earliest, latest = part.earliest, part.latest
    if part.significant_years:
        return (part.significant_years[0], 1, 1), (part.significant_years[1], 12, 31)
    if part.qualifiers[0] and part.qualifiers[0] in "~%":
        return _moved(earliest, -APPROXIMATE_YEARS), _moved(latest, APPROXIMATE_YEARS)
    return earliest, latest


def _moved(day: Day, years: int) -> Day:
    year = day[0] + years
    return year, day[1], min(day[2], days_in_month(year, day[1]))
