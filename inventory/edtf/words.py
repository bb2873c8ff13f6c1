"""A date in plain words for pages: templates and values, so that every language orders them its own way."""

import re
from collections.abc import Callable, Mapping

from .bounds import Day
from .errors import CONTEXT_ENDS, EdtfError, gettext_noop, pgettext_noop
from .parsing import parse_edtf
from .values import EdtfDate, Member, Part, Span

Translate = Callable[[str], str]

MONTHS = (
    pgettext_noop("month", "January"),
    pgettext_noop("month", "February"),
    pgettext_noop("month", "March"),
    pgettext_noop("month", "April"),
    pgettext_noop("month", "May"),
    pgettext_noop("month", "June"),
    pgettext_noop("month", "July"),
    pgettext_noop("month", "August"),
    pgettext_noop("month", "September"),
    pgettext_noop("month", "October"),
    pgettext_noop("month", "November"),
    pgettext_noop("month", "December"),
)
SEASON_WORDS = {
    21: gettext_noop("spring %(year)s"),
    22: gettext_noop("summer %(year)s"),
    23: gettext_noop("autumn %(year)s"),
    24: gettext_noop("winter %(year)s to %(next_year)s"),
    25: gettext_noop("northern spring %(year)s"),
    26: gettext_noop("northern summer %(year)s"),
    27: gettext_noop("northern autumn %(year)s"),
    28: gettext_noop("northern winter %(year)s to %(next_year)s"),
    29: gettext_noop("southern spring %(year)s"),
    30: gettext_noop("southern summer %(year)s to %(next_year)s"),
    31: gettext_noop("southern autumn %(year)s"),
    32: gettext_noop("southern winter %(year)s"),
    33: gettext_noop("first quarter of %(year)s"),
    34: gettext_noop("second quarter of %(year)s"),
    35: gettext_noop("third quarter of %(year)s"),
    36: gettext_noop("last quarter of %(year)s"),
    37: gettext_noop("first four months of %(year)s"),
    38: gettext_noop("middle four months of %(year)s"),
    39: gettext_noop("last four months of %(year)s"),
    40: gettext_noop("first half of %(year)s"),
    41: gettext_noop("second half of %(year)s"),
}
WHOLE_MARKS = {
    "~": gettext_noop("about %(date)s"),
    "?": gettext_noop("perhaps %(date)s"),
    "%": gettext_noop("perhaps about %(date)s"),
}
# Other languages put an article before a day, and none before a year: a day has templates of its own.
WHOLE_MARKS_OF_A_DAY = {
    "~": pgettext_noop("a day", "about %(date)s"),
    "?": pgettext_noop("a day", "perhaps %(date)s"),
    "%": pgettext_noop("a day", "perhaps about %(date)s"),
}
WHOLE_MARKS_IN_A_PERIOD = {
    "~": pgettext_noop("in a period, after from or to", "about %(date)s"),
    "?": pgettext_noop("in a period, after from or to", "perhaps %(date)s"),
    "%": pgettext_noop("in a period, after from or to", "perhaps about %(date)s"),
}
FROM_TO = {
    ("year", "year"): gettext_noop("from %(first)s to %(last)s"),
    ("day", "day"): pgettext_noop("a day to a day", "from %(first)s to %(last)s"),
    ("day", "other"): pgettext_noop("a day to a month or year", "from %(first)s to %(last)s"),
    ("other", "day"): pgettext_noop("a month or year to a day", "from %(first)s to %(last)s"),
    ("other", "other"): pgettext_noop("months", "from %(first)s to %(last)s"),
}
PART_MARKS = {
    "~": (
        gettext_noop("year approximate"),
        gettext_noop("month approximate"),
        gettext_noop("day approximate"),
    ),
    "?": (gettext_noop("year uncertain"), gettext_noop("month uncertain"), gettext_noop("day uncertain")),
    "%": (
        gettext_noop("year uncertain and approximate"),
        gettext_noop("month uncertain and approximate"),
        gettext_noop("day uncertain and approximate"),
    ),
}
ONE_UNKNOWN = {
    "year": gettext_noop("between %(first)s and %(last)s, one year not known"),
    "month": gettext_noop("between %(first)s and %(last)s, one month not known"),
    "season": gettext_noop("between %(first)s and %(last)s, one season not known"),
    "day": gettext_noop("between %(first)s and %(last)s, one day not known"),
}
EVERY = {
    "year": gettext_noop("every year from %(first)s to %(last)s"),
    "month": gettext_noop("every month from %(first)s to %(last)s"),
    "season": gettext_noop("every season from %(first)s to %(last)s"),
    "day": gettext_noop("every day from %(first)s to %(last)s"),
}


def unchanged(text: str) -> str:
    return text


def date_in_words(text: str | EdtfDate, translate: Translate = unchanged) -> str:
    """Say a date in words; a text that is no EDTF date comes back as written.

    >>> date_in_words("[1840..1850]")
    'between 1840 and 1850, one year not known'
    """
    if isinstance(text, str):
        try:
            text = parse_edtf(text)
        except EdtfError:
            return str(text)
    if text.kind == "date":
        return _part(text.members[0].ends[0], translate)
    if text.kind == "interval":
        return _interval(text.members[0], translate)
    one = text.kind == "one of"
    alone = len(text.members) == 1
    items = [_member(member, one, alone, translate) for member in text.members]
    joined = items[-1]
    if len(items) > 1:
        joined = translate(
            gettext_noop("%(first)s or %(second)s") if one else gettext_noop("%(first)s and %(second)s")
        ) % {"first": items[-2], "second": items[-1]}
    for item in reversed(items[:-2]):
        joined = translate(gettext_noop("%(first)s, %(second)s")) % {"first": item, "second": joined}
    return joined


def _interval(span: Member, translate: Translate) -> str:
    first, last = span.ends
    first_unknown = isinstance(span, Span) and span.first_unknown
    last_unknown = isinstance(span, Span) and span.last_unknown
    known = first or last
    if first and last:
        kinds = tuple("day" if _is_plain_day(part) else "other" for part in (first, last))
        years = first.kind == last.kind == "year"
        template = FROM_TO["year", "year"] if years else FROM_TO[kinds[0], kinds[1]]
    elif known:
        template = _open_period(first is not None, first_unknown or last_unknown, _is_plain_day(known))
    elif first_unknown:
        template = gettext_noop("start not known, no end")
    elif last_unknown:
        template = gettext_noop("no start, end not known")
    else:
        template = gettext_noop("without start or end")
    marks = WHOLE_MARKS_IN_A_PERIOD
    return _said(template, translate) % {
        "first": _part(first, translate, marks) if first else "",
        "last": _part(last, translate, marks) if last else "",
    }


def _open_period(has_first: bool, other_unknown: bool, is_day: bool) -> str:
    if has_first and other_unknown:
        of_a_day = pgettext_noop("a day", "from %(first)s, end not known")
        return of_a_day if is_day else gettext_noop("from %(first)s, end not known")
    if has_first:
        return pgettext_noop("a day", "since %(first)s") if is_day else gettext_noop("since %(first)s")
    if other_unknown:
        of_a_day = pgettext_noop("a day", "until %(last)s, start not known")
        return of_a_day if is_day else gettext_noop("until %(last)s, start not known")
    return pgettext_noop("a day", "until %(last)s") if is_day else gettext_noop("until %(last)s")


def _is_plain_day(part: Part) -> bool:
    return part.kind in ("day", "time") and not part.masked


def _said(template: str, translate: Translate) -> str:
    """A template in the other language: in its context, else without."""
    said = translate(template)
    return translate(template.rpartition(CONTEXT_ENDS)[2]) if CONTEXT_ENDS in said else said


def _member(member: Member, one: bool, alone: bool, translate: Translate) -> str:
    if isinstance(member, Part):
        return _part(member, translate)
    first, last = member.ends
    known = first or last
    if first and last:
        template = (ONE_UNKNOWN if one else EVERY)[first.kind]
        if one and not alone:
            template = gettext_noop("one of %(first)s to %(last)s")
    elif known and known.kind == "day":
        template = gettext_noop("on %(first)s or later") if first else gettext_noop("before or on %(last)s")
        if not one:
            template = gettext_noop("%(first)s and later") if first else gettext_noop("%(last)s and before")
    elif one:
        template = gettext_noop("in %(first)s or later") if first else gettext_noop("before or in %(last)s")
    else:
        template = gettext_noop("%(first)s and later") if first else gettext_noop("%(last)s and before")
    return translate(template) % {
        "first": _part(first, translate) if first else "",
        "last": _part(last, translate) if last else "",
    }


def _part(part: Part | None, translate: Translate, period: Mapping[str, str] | None = None) -> str:
    if part is None:
        return ""
    bare = _masked(part, translate) if part.masked else _bare(part, translate)
    marks = set(part.qualifiers)
    if marks == {""}:
        return bare
    if len(marks) == 1:
        alone = WHOLE_MARKS_OF_A_DAY if _is_plain_day(part) else WHOLE_MARKS
        return _said((period or alone)[marks.pop()], translate) % {"date": bare}
    remarks = [translate(PART_MARKS[mark][place]) for place, mark in enumerate(part.qualifiers) if mark]
    return translate(gettext_noop("%(date)s (%(remarks)s)")) % {"date": bare, "remarks": ", ".join(remarks)}


def _bare(part: Part, translate: Translate) -> str:
    year = _year(part.earliest[0], translate)
    if part.kind == "season":
        template = translate(SEASON_WORDS[int(part.month)])
        return template % {"year": year, "next_year": _year(part.earliest[0] + 1, translate)}
    if part.kind == "year":
        return year
    if part.kind == "month":
        return _month(part.earliest, year, translate)
    if part.kind == "time":
        clock = part.text.partition("T")[2]
        return translate(gettext_noop("%(day)s at %(clock)s")) % {
            "day": _day(part.earliest, translate),
            "clock": clock,
        }
    if part.kind == "long year":
        if part.significant_years is None:
            return translate(gettext_noop("the year %(year)s")) % {"year": year}
        return translate(gettext_noop("estimated as %(year)s, between %(first)s and %(last)s")) % {
            "year": year,
            "first": _year(part.significant_years[0], translate),
            "last": _year(part.significant_years[1], translate),
        }
    return _day(part.earliest, translate)


def _year(year: int, translate: Translate) -> str:
    return str(year) if year > 0 else translate(gettext_noop("%(year)s BC")) % {"year": 1 - year}


def _month(day: Day, year: str, translate: Translate) -> str:
    return translate(gettext_noop("%(month)s %(year)s")) % {
        "month": _said(MONTHS[day[1] - 1], translate),
        "year": year,
    }


def _day(day: Day, translate: Translate) -> str:
    return translate(gettext_noop("%(day)s %(month)s %(year)s")) % {
        "day": day[2],
        "month": _said(MONTHS[day[1] - 1], translate),
        "year": _year(day[0], translate),
    }


def _masked(part: Part, translate: Translate) -> str:
    """A date with open digits: named where it has a name, otherwise by its first and last possibility."""
    year = _masked_year(part, translate)
    values = {"year": year, "day": part.day.lstrip("0"), "month": ""}
    if part.month and "X" not in part.month:
        values["month"] = _said(MONTHS[int(part.month) - 1], translate)
    partly = ("X" in part.month and part.month != "XX") or ("X" in part.day and part.day != "XX")
    if partly or ("X" in part.year and part.kind != "year" and not values["month"]):
        kind = "day" if part.day else "month"
        first, last = (
            _day(day, translate) if part.day else _month(day, _year(day[0], translate), translate)
            for day in (part.earliest, part.latest)
        )
        return translate(ONE_UNKNOWN[kind]) % {"first": first, "last": last}
    if not part.month:
        return year
    if not values["month"]:
        if not part.day:
            return translate(gettext_noop("%(year)s, month not known")) % values
        if part.day == "XX":
            return translate(gettext_noop("%(year)s, month and day not known")) % values
        return translate(gettext_noop("day %(day)s of a month not known, %(year)s")) % values
    if not part.day:
        return translate(gettext_noop("%(month)s in %(year)s")) % values
    open_year = "X" in part.year
    if part.day == "XX":
        if open_year:
            return translate(gettext_noop("%(month)s in %(year)s, day not known")) % values
        return translate(gettext_noop("%(month)s %(year)s, day not known")) % values
    return translate(gettext_noop("%(day)s %(month)s in %(year)s")) % values


def _masked_year(part: Part, translate: Translate) -> str:
    if "X" not in part.year:
        return _year(int(part.year), translate)
    if re.fullmatch("[0-9]{3}X", part.year) and int(part.year[:3]):
        return translate(gettext_noop("the %(decade)ss")) % {
            "decade": part.year.replace("X", "0").lstrip("0")
        }
    known = part.year.rstrip("X")
    if not known.lstrip("-"):
        return translate(gettext_noop("a year not known"))
    if "X" in known:
        return translate(gettext_noop("%(year)s (X: digit not known)")) % {"year": part.year}
    return translate(gettext_noop("the years %(first)s to %(last)s")) % {
        "first": _year(part.earliest[0], translate),
        "last": _year(part.latest[0], translate),
    }
