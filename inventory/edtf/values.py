"""The values a date is read into: parts, spans of parts, and the whole date."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal

from .bounds import Day, as_date, day_number

Kind = Literal["date", "interval", "one of", "all of"]
PartKind = Literal["year", "month", "day", "season", "time", "long year"]


@dataclass(frozen=True, slots=True)
class Part:
    """One date: a year, month, day, season, moment or long year, with its strict first and last day."""

    text: str
    kind: PartKind
    earliest: Day
    latest: Day
    year: str  # as written with its sign, perhaps with X
    month: str = ""  # as written: month or season number, perhaps with X
    day: str = ""
    qualifiers: tuple[str, ...] = ("",)  # of year, month, day: "", "?", "~" or "%"
    significant_years: tuple[int, int] | None = None  # first and last year the significant digits allow

    @property
    def ends(self) -> tuple["Part", "Part"]:
        """The part itself, as first and as last."""
        return self, self

    @property
    def masked(self) -> bool:
        """Whether some digits are left unspecified."""
        return "X" in self.year or "X" in self.month or "X" in self.day

    @property
    def approximate(self) -> bool:
        """Whether any component is marked as approximate."""
        return any(mark in "~%" for mark in self.qualifiers if mark)

    @property
    def uncertain(self) -> bool:
        """Whether any component is marked as uncertain."""
        return any(mark in "?%" for mark in self.qualifiers if mark)


@dataclass(frozen=True, slots=True)
class Span:
    """From one part to another; a missing part is an open end, or an unknown one."""

    first: Part | None
    last: Part | None
    first_unknown: bool = False
    last_unknown: bool = False

    @property
    def ends(self) -> tuple[Part | None, Part | None]:
        """First and last part, None where open or unknown."""
        return self.first, self.last


Member = Part | Span


@dataclass(frozen=True, slots=True)
class EdtfDate:
    """A date as written, with the first and last day it can mean."""

    text: str
    kind: Kind
    members: tuple[Member, ...]

    @property
    def parts(self) -> Iterator[Part]:
        """Every single date in the text, in order."""
        for member in self.members:
            if isinstance(member, Part):
                yield member
            else:
                yield from (part for part in member.ends if part is not None)

    @property
    def earliest_day(self) -> Day | None:
        """First possible day as (year, month, day), in any year; None where the start is open or unknown."""
        firsts = [member.ends[0] for member in self.members]
        days = [part.earliest for part in firsts if part is not None]
        return min(days) if len(days) == len(firsts) else None

    @property
    def latest_day(self) -> Day | None:
        """Last possible day as (year, month, day), in any year; None where the end is open or unknown."""
        lasts = [member.ends[1] for member in self.members]
        days = [part.latest for part in lasts if part is not None]
        return max(days) if len(days) == len(lasts) else None

    @property
    def earliest(self) -> date | None:
        """First possible day; None where open, unknown, or outside the years 1 to 9999."""
        return as_date(self.earliest_day)

    @property
    def latest(self) -> date | None:
        """Last possible day; None where open, unknown, or outside the years 1 to 9999."""
        return as_date(self.latest_day)

    @property
    def sort_key(self) -> int | None:
        """Number of the earliest day, else of the latest: one whole number that sorts, before Christ too."""
        day = self.earliest_day or self.latest_day
        return None if day is None else day_number(day)

    @property
    def approximate(self) -> bool:
        """Whether anything in the text is approximate (``~`` or ``%``)."""
        return any(part.approximate for part in self.parts)

    @property
    def uncertain(self) -> bool:
        """Whether anything in the text is uncertain (``?`` or ``%``)."""
        return any(part.uncertain for part in self.parts)

    @property
    def is_interval(self) -> bool:
        """Whether the text is a period that lasted, written with a slash."""
        return self.kind == "interval"
