"""The strict reader: text to parts, every refusal with its reason and an example."""

import re

from .bounds import SEASONS, Day, days_in_month, masked_bounds, season_bounds
from .errors import EdtfError, gettext_noop
from .values import EdtfDate, Kind, Member, Part, PartKind, Span

LONGEST_TEXT = 4000
LARGEST_YEAR = 10**15  # so that the number of a day fits into eight bytes

_MARK = "([?~%]?)"
_DATE = re.compile(
    f"{_MARK}(-?[0-9X]{{4}}){_MARK}(?:-{_MARK}([0-9X]{{2}}){_MARK}(?:-{_MARK}([0-9X]{{2}}){_MARK})?)?"
)
_TIME = re.compile("(-?[0-9]{4}-[0-9]{2}-[0-9]{2})T([0-9]{2}):([0-9]{2}):([0-9]{2})(.*)", re.DOTALL)
_ZONE = re.compile("|Z|[+-]([0-9]{2})(?::([0-9]{2}))?")
_LONG_YEAR = re.compile("Y(-?)([1-9][0-9]{0,15})(?:E([0-9]{1,2}))?(?:S([0-9]{1,2}))?")
_SIGNIFICANT = re.compile("(-?)([0-9]{4})S([0-9]{1,2})")
_FORMER = re.compile(r"[0-9]u|\?~|~\?|^y-?[0-9]|unknown|open|\^|\(")

_GUIDE = gettext_noop(
    "“%(text)s” is no date we can read. Write 1850, 1850-06 or 1850-06-11; about 1850~; perhaps 1850?; "
    "one of two [1841,1842]; in one year between [1840..1850]; lasted 1840/1850; the 1840s 184X."
)


def parse_edtf(text: str) -> EdtfDate:
    """Read an EDTF text strictly, or raise `EdtfError` naming what is wrong with an example.

    >>> parse_edtf("[1841,1842]").earliest
    datetime.date(1841, 1, 1)
    >>> parse_edtf("1902/..").latest is None
    True
    """
    if not text:
        raise EdtfError(gettext_noop("A date is empty; write one such as 1850, or leave the field out."))
    if len(text) > LONGEST_TEXT:
        raise EdtfError(
            gettext_noop("“%(text)s” has %(length)s characters; a date has at most %(longest)s."),
            text=text,
            length=len(text),
            longest=LONGEST_TEXT,
        )
    if any(sign.isspace() for sign in text):
        raise _blanks_refused(text)
    if text[0] in "[{":
        return _parse_set(text)
    if "/" in text:
        return _parse_interval(text)
    return EdtfDate(text, "date", (_parse_single(text),))


def _parse_single(text: str) -> Part:
    if "T" in text:
        return _parse_time(text)
    if text.startswith("Y") or "S" in text:
        return _parse_long_year(text)
    return _parse_part(text)


def _parse_part(text: str) -> Part:
    """A year, month, day or season, with marks before or after its components."""
    match = _DATE.fullmatch(text)
    if match is None:
        raise _refusal(text)
    before_year, year, after_year, before_month, month, after_month, before_day, day, after_day = (
        found or "" for found in match.groups()
    )
    if year == "-0000":
        raise EdtfError(gettext_noop("There is no year -0000; 1 BC is written 0000, 2 BC -0001."))
    marks = ((before_year, after_year), (before_month, after_month), (before_day, after_day))
    qualifiers = _qualifiers(text, marks, 1 + bool(month) + bool(day))
    kind: PartKind = "day" if day else "month" if month else "year"
    if "X" in year + month + day:
        if any(qualifiers):
            raise EdtfError(
                gettext_noop(
                    "“%(text)s” both leaves digits open (X) and marks them (? ~ %%). Use one of them: "
                    "184X for the 1840s, or 1845~ for about 1845."
                ),
                text=text,
            )
        bounds = masked_bounds(year, month, day)
        if bounds is None:
            raise _no_such_day(text)
        return Part(text, kind, *bounds, year, month, day, qualifiers)
    if month and not day and int(month) in SEASONS:
        return Part(text, "season", *season_bounds(int(year), int(month)), year, month, "", qualifiers)
    return Part(text, kind, *_plain_bounds(text, year, month, day), year, month, day, qualifiers)


def _plain_bounds(text: str, year: str, month: str, day: str) -> tuple[Day, Day]:
    number = int(year)
    if not month:
        return (number, 1, 1), (number, 12, 31)
    if not 1 <= int(month) <= 12:
        raise EdtfError(
            gettext_noop(
                "“%(text)s” has no month %(month)s: months are 01 to 12, seasons 21 (spring) to 24 (winter); "
                "for example 1850-06 or 1850-21."
            ),
            text=text,
            month=month,
        )
    last = days_in_month(number, int(month))
    if not day:
        return (number, int(month), 1), (number, int(month), last)
    if not 1 <= int(day) <= last:
        raise _no_such_day(text)
    exact = (number, int(month), int(day))
    return exact, exact


def _qualifiers(text: str, marks: tuple[tuple[str, str], ...], components: int) -> tuple[str, ...]:
    """Marks per component: one before it marks it alone, one after it also everything to its left."""
    found: list[set[str]] = [set() for _ in range(components)]
    for place, (before, after) in enumerate(marks[:components]):
        if before and after:
            raise EdtfError(
                gettext_noop(
                    "“%(text)s” marks one number twice; write one mark, %% for both ? and ~ (1840%%)."
                ),
                text=text,
            )
        found[place].add(before)
        for left in range(place + 1):
            found[left].add(after)
    return tuple(_joined(signs) for signs in found)


def _joined(signs: set[str]) -> str:
    signs = signs - {""}
    return "" if not signs else "%" if len(signs) > 1 else signs.pop()


def _parse_time(text: str) -> Part:
    match = _TIME.fullmatch(text)
    zone = _ZONE.fullmatch(match[5]) if match else None
    if (
        match is None
        or zone is None
        or int(match[2]) > 23
        or int(match[3]) > 59
        or int(match[4]) > 59
        or int(zone[1] or 0) > 23
        or int(zone[2] or 0) > 59
    ):
        raise EdtfError(
            gettext_noop(
                "“%(text)s” has no readable clock time. Write 1985-04-12T23:20:30, with Z, +04 or +04:30 "
                "after it for a time zone; the day alone is enough."
            ),
            text=text,
        )
    part = _parse_part(match[1])
    return Part(text, "time", part.earliest, part.latest, part.year, part.month, part.day, part.qualifiers)


def _parse_long_year(text: str) -> Part:
    long, short = _LONG_YEAR.fullmatch(text), _SIGNIFICANT.fullmatch(text)
    if long:
        sign, digits, exponent, significant = long.groups()
        year = int(digits) * 10 ** int(exponent or 0)
        allowed = year > 9999 and year <= LARGEST_YEAR
    elif short:
        sign, digits, significant = short.groups()
        year = int(digits)
        allowed = not (sign and year == 0)
    if not (long or short) or not allowed or significant is not None and int(significant) == 0:
        raise EdtfError(
            gettext_noop(
                "“%(text)s” is no long or rounded year. Y is for years of more than four digits (Y-10000, "
                "Y17E3; at most 15 digits); S counts the digits that are meant (1950S2). Write 1850 as it is."
            ),
            text=text,
        )
    step = 10 ** max(0, len(str(year)) - int(significant)) if significant else 1
    low = year // step * step
    years = (-(low + step - 1), -low) if sign else (low, low + step - 1)
    signed = -year if sign else year
    written = f"{'-' if sign else ''}{year:04d}"
    return Part(
        text,
        "long year",
        (signed, 1, 1),
        (signed, 12, 31),
        written,
        significant_years=years if significant else None,
    )


def _parse_interval(text: str) -> EdtfDate:
    sides = text.split("/")
    if len(sides) != 2 or not (sides[0] or sides[1]):
        raise EdtfError(
            gettext_noop(
                "“%(text)s” is no period. A period has one slash and a date: 1840/1850, 1902/.., /1850."
            ),
            text=text,
        )
    first, last = (None if side in ("", "..") else _parse_part(side) for side in sides)
    if first and last and first.earliest > (last.latest if last.masked else last.earliest):
        raise EdtfError(
            gettext_noop(
                "“%(text)s” ends before it begins. Write the earlier date first (1840/1850); an end later in "
                "the same year or month is written with X: 1850-06-11/1850-XX."
            ),
            text=text,
        )
    return EdtfDate(text, "interval", (Span(first, last, sides[0] == "", sides[1] == ""),))


def _parse_set(text: str) -> EdtfDate:
    kind: Kind = "one of" if text[0] == "[" else "all of"
    closing = "]" if text[0] == "[" else "}"
    inside = text[1:-1]
    if not text.endswith(closing) or len(text) < 3 or inside in ("", ".."):
        raise EdtfError(
            gettext_noop(
                "“%(text)s” is no list of dates. One of several is [1841,1842], all of several {1841,1842}."
            ),
            text=text,
        )
    items = inside.split(",")
    members = tuple(
        _parse_member(item, text, place == 0, place == len(items) - 1) for place, item in enumerate(items)
    )
    return EdtfDate(text, kind, members)


def _parse_member(item: str, text: str, is_first: bool, is_last: bool) -> Member:
    if ".." not in item:
        return _parse_part(item)
    before, after = item.split("..", 1)
    if (not before and not is_first) or (not after and not is_last) or not (before or after):
        raise EdtfError(
            gettext_noop(
                "“%(text)s”: an open end stands only at the start or the end of a list: [..1760], [1760..]."
            ),
            text=text,
        )
    first = _parse_part(before) if before else None
    last = _parse_part(after) if after else None
    if first and last:
        if first.kind != last.kind or first.masked or last.masked or any(first.qualifiers + last.qualifiers):
            raise EdtfError(
                gettext_noop("“%(item)s”: both ends of a range are plain dates of one kind, as 1840..1850."),
                item=item,
            )
        if first.earliest > last.earliest:
            raise EdtfError(
                gettext_noop("“%(item)s” ends before it begins; write the earlier date first: 1840..1850."),
                item=item,
            )
    return Span(first, last)


def _blanks_refused(text: str) -> EdtfError:
    without = "".join(text.split())
    try:
        parse_edtf(without)
    except EdtfError:
        return EdtfError(_GUIDE, text=text)
    return EdtfError(
        gettext_noop("“%(text)s” contains blanks; EDTF has none. Write %(without)s."),
        text=text,
        without=without,
    )


def _no_such_day(text: str) -> EdtfError:
    return EdtfError(
        gettext_noop("“%(text)s” is a day no calendar has; check month and day (1850-06-30)."), text=text
    )


def _refusal(text: str) -> EdtfError:
    if _FORMER.search(text):
        return EdtfError(
            gettext_noop(
                "“%(text)s” uses signs of an older draft of EDTF. Write X for an open digit (184X), %% for "
                "both ? and ~ (1840%%), 1902/.. for an open and 1902/ for an unknown end, and no brackets "
                "within a date."
            ),
            text=text,
        )
    return EdtfError(_GUIDE, text=text)
