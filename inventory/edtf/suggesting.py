"""Dates as people write them: what each may mean, with the reason; a person chooses, nothing is guessed."""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from . import habits
from .errors import EdtfError, shorten
from .errors import gettext_noop as _
from .parsing import parse_edtf
from .values import Part
from .words import Translate, date_in_words, unchanged

LONGEST_PHRASE = 200


@dataclass(frozen=True, slots=True)
class Suggestion:
    """One thing a phrase may mean: the EDTF text, its reading in words, and why it is proposed."""

    edtf: str
    words: str
    reason: str


@dataclass(frozen=True, slots=True)
class Suggestions:
    """Everything a phrase may mean, the likeliest first; or a question when it means nothing certain."""

    candidates: tuple[Suggestion, ...]
    question: str = ""


Proposal = tuple[str, str]  # EDTF text and reason


def suggest_edtf(text: str, translate: Translate = unchanged) -> Suggestions:
    """Read a date as people write it and propose EDTF texts with reasons, or ask.

    >>> [candidate.edtf for candidate in suggest_edtf("vers 1850").candidates]
    ['1850~']
    >>> suggest_edtf("18th c. 2nd half").candidates
    ()
    """
    phrase = " ".join(text.split())
    if not phrase or phrase.casefold() in habits.UNDATED:
        return Suggestions(
            (), "No date is given: leave the date empty, and say in the note that it is unknown."
        )
    if len(phrase) > LONGEST_PHRASE:
        template = _("Which date is meant? A date has at most %(longest)s characters.")
        return Suggestions((), translate(template) % {"longest": LONGEST_PHRASE})
    lowered = re.sub("[‐‑‒–—−]", "-", phrase).casefold().replace("’", "'")
    part = _part_of_time(lowered)
    if part:
        template = _(
            "“%(part)s” of a century or decade has no sign in EDTF. Which years are meant, and was it once "
            "in them, as [1751..1800], or all through them, as 1751/1800?"
        )
        return Suggestions((), translate(template) % {"part": part})
    found: dict[str, Suggestion] = {}
    for edtf, reason in _proposals(phrase, lowered):
        if edtf in found:
            continue
        try:
            value = parse_edtf(edtf)
        except EdtfError:
            continue  # such as a 31 June: the phrase has the form of a date but is none
        found[edtf] = Suggestion(edtf, date_in_words(value, translate), translate(reason))
    if not found:
        template = _("We do not understand “%(phrase)s”. Which years can it be? For example [1840..1850].")
        return Suggestions((), translate(template) % {"phrase": shorten(phrase)})
    question = translate(_("Which of these is meant?")) if len(found) > 1 else ""
    return Suggestions(tuple(found.values()), question)


def _part_of_time(phrase: str) -> str:
    """The words that name a part of a century or decade, for which no EDTF text exists."""
    words = re.split(r"[\s.,-]+", phrase)
    if any(word in habits.MONTHS for word in words) or not re.search(r"[0-9]|[ivx]{2}", phrase):
        return ""
    return " ".join(word for word in words if word in habits.PART_OF)


def _proposals(phrase: str, lowered: str) -> Iterator[Proposal]:
    """Every reading, the likeliest first."""
    yield from _misread_range(lowered)
    for edtf in (phrase, phrase.replace(" ", "")):
        if not edtf.isdigit() or len(edtf) == 4:
            yield edtf, _("this is EDTF already")
    yield from _older_draft(phrase.replace(" ", ""))
    yield from _two_dates(lowered)
    yield from _ends(lowered)
    yield from _qualified(lowered)
    yield from _century(lowered)


def _misread_range(phrase: str) -> Iterator[Proposal]:
    """`1808-12` is December 1808 in EDTF, `1822-24` winter 1822; people may mean years."""
    match = re.fullmatch(r"([0-9][0-9])([0-9][0-9])-([0-9][0-9])", phrase)
    if match and match[3] > match[2]:
        last = match[1] + match[3]
        month = int(match[3])
        if 1 <= month <= 12 or 21 <= month <= 41:
            yield phrase, _("EDTF reads the second number as a month, season or quarter")
        yield f"{match[1]}{match[2]}/{last}", _("years written short: it lasted from the one to the other")
        yield f"[{match[1]}{match[2]}..{last}]", _("years written short: once, in one unknown year of them")


def _older_draft(phrase: str) -> Iterator[Proposal]:
    newer = re.sub(r"(?<=[0-9])u+", lambda found: "X" * len(found[0]), phrase)
    newer = newer.replace("?~", "%").replace("~?", "%")
    newer = re.sub("^unknown/|/unknown$", "/", newer, flags=re.IGNORECASE)
    newer = re.sub("^open/", "../", re.sub("/open$", "/..", newer, flags=re.IGNORECASE), flags=re.IGNORECASE)
    if newer != phrase:
        yield newer, _("signs of the draft of 2012 in their present form")


def _starting(words: list[str], phrase: str) -> str | None:
    """What follows one of the words at the start; None if none stands there."""
    for word in sorted(words, key=len, reverse=True):
        if phrase.startswith(word):
            rest = phrase[len(word) :]
            if not word[-1].isalpha() or rest[:1] in (".", " ") or rest[:1].isdigit():
                return rest.lstrip(". ")
    return None


def _pairs(phrase: str, words: list[str]) -> Iterator[tuple[str, str]]:
    for word in words:
        before, joint, after = phrase.partition(f" {word} ")
        if joint:
            yield from ((first, last) for first in _plain(before) for last in _plain(after, before))


def _two_dates(phrase: str) -> Iterator[Proposal]:
    rest = _starting(habits.BETWEEN, phrase)
    if rest is not None:
        for first, last in _pairs(rest, [*habits.AND, "-"]):
            yield f"[{first}..{last}]", _("once, between the two")
            yield f"{first}/{last}", _("it lasted from the one to the other")
        return
    rest = _starting(habits.FROM, phrase)
    if rest is not None:
        for first, last in _pairs(rest, habits.TO):
            yield f"{first}/{last}", _("it lasted from the one to the other")
    for first, last in _pairs(phrase, habits.OR):
        yield f"[{first},{last}]", _("one of the two")
    for first, last in _pairs(phrase, habits.AND):
        yield f"{{{first},{last}}}", _("both")
    commas = [item for part in phrase.split(",") for item in list(_plain(part.strip()))[:1]]
    if len(commas) > 1 and len(commas) == phrase.count(",") + 1:
        yield f"[{','.join(commas)}]", _("one of them")
        yield f"{{{','.join(commas)}}}", _("all of them")
    yield from _joined(phrase)


def _joined(phrase: str) -> Iterator[Proposal]:
    """1768/69, 1768-71, 1768 - 1771."""
    match = re.fullmatch(r"([0-9]{4}) ?([/-]) ?([0-9]{1,2}|[0-9]{4})", phrase)
    if not match:
        return
    first, sign, short = match.groups()
    last = first[: 4 - len(short)] + short
    if sign == "/":
        if int(last) == int(first) + 1:
            yield f"[{first},{last}]", _("one of two years")
        yield f"{first}/{last}", _("it lasted from the one to the other (or a year that runs over both)")
        if int(last) > int(first) + 1:
            yield f"[{first},{last}]", _("one of two years")
    else:
        yield f"{first}/{last}", _("it lasted from the one to the other")
        yield f"[{first}..{last}]", _("once, in one unknown year of them")


def _ends(phrase: str) -> Iterator[Proposal]:
    """Before, by, after, not before, since, until."""
    for words, form, next_to, reason in (
        (habits.NOT_AFTER, "[..%s]", 0, _("then or earlier")),
        (habits.NOT_BEFORE, "[%s..]", 0, _("then or later")),
        (habits.BEFORE, "[..%s]", -1, _("strictly before")),
        (habits.BEFORE, "[..%s]", 0, _("before or in it: “before” is often meant so")),
        (habits.AFTER, "[%s..]", 1, _("strictly after")),
        (habits.AFTER, "[%s..]", 0, _("after or in it: “after” is often meant so")),
        (habits.SINCE, "%s/..", 0, _("since then, and still")),
        (habits.SINCE, "%s/", 0, _("since then; when it ended is not known")),
        (habits.UNTIL, "/%s", 0, _("until then; when it began is not known")),
        (habits.UNTIL, "../%s", 0, _("until then, without a beginning")),
    ):
        rest = _starting(words, phrase)
        for edtf in _plain(rest) if rest else ():
            if not next_to:
                yield form % edtf, reason
            elif re.fullmatch("[0-9]{4}", edtf) and 0 <= int(edtf) + next_to <= 9999:
                yield form % f"{int(edtf) + next_to:04d}", reason


def _qualified(phrase: str) -> Iterator[Proposal]:
    """About, perhaps, both, or a plain date."""
    uncertain = re.fullmatch(r"(.*?) ?(?:\(\?\)|\?)", phrase)
    rest = uncertain[1] if uncertain else phrase
    perhaps = _starting(habits.PERHAPS, rest)
    rest = rest if perhaps is None else perhaps
    about = _starting(habits.ABOUT, rest)
    rest = rest if about is None else about.removeprefix("de ")
    unsure = bool(uncertain) or perhaps is not None
    mark = "%" if unsure and about is not None else "~" if about is not None else "?" if unsure else ""
    meaning = {
        "": _("a plain date"),
        "~": _("“about”"),
        "?": _("marked as uncertain"),
        "%": _("about, and uncertain"),
    }
    for edtf in _plain(rest):
        if "X" not in edtf or not mark:
            yield edtf + mark, meaning[mark]
        else:
            value = parse_edtf(edtf).members[0]
            assert isinstance(value, Part)
            first, last = value.earliest[0], value.latest[0]
            yield f"[{first:04d}..{last:04d}]", _("open digits cannot be marked as well: one year of them")


def _plain(phrase: str, neighbour: str = "") -> Iterator[str]:
    """A single plain date in EDTF, each way its order of day and month allows."""
    phrase = phrase.strip().removeprefix("the ").removeprefix("im jahr ").removeprefix("in ")
    if re.fullmatch(r"[12][0-9]{3}|0[0-9]{3}", phrase):
        yield phrase
    elif re.fullmatch(r"[0-9][0-9]", phrase) and re.fullmatch(r"[12][0-9]{3}", neighbour.strip()):
        yield neighbour.strip()[:2] + phrase
    elif re.fullmatch(r"[0-9]{4}-[0-9][0-9](-[0-9][0-9])?", phrase):
        yield phrase
    elif match := re.fullmatch(r"(?:années |anni |años )?([0-9]{3})0(?:'?s|er|er jahre)?", phrase):
        if match[1].endswith("0"):
            yield f"{match[1][:2]}XX"
        yield f"{match[1]}X"
    elif match := re.fullmatch(r"([0-9]{1,2})[./]([0-9]{1,2})[./]([0-9]{4})", phrase):
        first, second, year = int(match[1]), int(match[2]), match[3]
        for day, month in dict.fromkeys(((first, second), (second, first))):
            if 1 <= month <= 12 and 1 <= day <= 31:
                yield f"{year}-{month:02d}-{day:02d}"
    else:
        yield from _named(phrase)


def _named(phrase: str) -> Iterator[str]:
    """12 April 1850, April 12 1850, April 1850, spring 1850, winter 1850/51."""
    words = [word for word in re.split(r"[\s.,]+", phrase) if word and word not in ("of", "de", "di", "del")]
    if len(words) == 2 and words[0] in habits.SEASONS:
        season = habits.SEASONS[words[0]]
        if re.fullmatch(r"[0-9]{4}", words[1]):
            yield f"{words[1]}-{season}"
            if season == 24 and words[1] != "0000":
                yield f"{int(words[1]) - 1:04d}-{season}"
        elif season == 24 and (match := re.fullmatch(r"([0-9]{4})[/-][0-9]{2,4}", words[1])):
            yield f"{match[1]}-{season}"
    months = [habits.MONTHS[word] for word in words if word in habits.MONTHS]
    years = [word for word in words if re.fullmatch(r"[0-9]{4}", word)]
    days = [int(word) for word in (re.sub("(st|nd|rd|th|er)$", "", word) for word in words) if _is_day(word)]
    if len(months) == len(years) == 1 and len(words) == 2 + len(days) and len(days) < 2:
        yield f"{years[0]}-{months[0]:02d}" + "".join(f"-{day:02d}" for day in days)


def _is_day(word: str) -> bool:
    return bool(re.fullmatch(r"[0-9]{1,2}", word)) and 1 <= int(word) <= 31


def _century(phrase: str) -> Iterator[Proposal]:
    match = re.fullmatch(
        rf"(?:the |das |le |siglo |secolo )?([0-9]{{1,2}}|[ivx]{{1,6}})(?:st|nd|rd|th|\.|e|ème|eme)?[ -]?"
        rf"(?:{habits.CENTURY})?",
        phrase,
    )
    if not match or not re.search(rf"{habits.CENTURY}$|^siglo |^secolo ", phrase):
        return
    number = int(match[1]) if match[1].isdigit() else _roman(match[1])
    if not 1 <= number <= 30:
        return
    yield f"{number - 1:02d}XX", _("the hundred years that begin alike, as EDTF counts a century")
    yield f"[{number - 1:02d}01..{number:02d}00]", _("the century as historians count it, a year later")


def _roman(text: str) -> int:
    values = [{"i": 1, "v": 5, "x": 10}[sign] for sign in text]
    following = [*values[1:], 0]
    return sum(-value if value < after else value for value, after in zip(values, following, strict=True))
