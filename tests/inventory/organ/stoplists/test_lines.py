"""Every line of practice.md §8.1, as typed and under six kinds of change."""

from __future__ import annotations

import random
import re
import unicodedata
from collections.abc import Callable

import pytest

from inventory.organ.stoplists import Stoplist, read_stoplist
from inventory.organ.typed_text import fold
from tests.inventory.organ.stoplists.stoplist_cases import CASES, Case

LANGUAGES = ("en", "fr", "de", "es", "it")
_GLYPHS = {"2/3": "⅔", "1/3": "⅓", "1/5": "⅕", "3/5": "⅗", "1/2": "½", "1/7": "⅐"}


def differences(document: Stoplist, case: Case, *, names: bool = True) -> list[str]:
    """What in a reading is not the stated meaning; `names` compares names and remarks too."""
    found: list[str] = []
    if len(document.stops) != len(case.stops) and (case.stops or not case.asked):
        return [f"{len(document.stops)} stops, not {len(case.stops)}"]
    for stop, wanted in zip(document.stops, case.stops, strict=False):
        for field, value in wanted.items():
            got = getattr(stop, field)
            if field == "composition":
                got = tuple((part.from_note, part.footages) for part in got)
            if field == "reason":
                if names and value not in got:
                    found.append(f"{field}: {got!r} without {value!r}")
                continue
            if field in ("name", "notes", "borrowed_from", "number"):
                if names and fold(str(got)).replace(" ", "") != fold(str(value)).replace(" ", ""):
                    found.append(f"{field}: {got!r}, not {value!r}")
            elif got != value:
                found.append(f"{field}: {got!r}, not {value!r}")
    if case.divisions is not None:
        shown = tuple((fold(d.name or ""), d.kind) for d in document.divisions)
        if shown != tuple((fold(name or ""), kind) for name, kind in case.divisions):
            found.append(f"divisions {shown}")
    couplers = tuple((c.origin, c.target, c.shift) for c in document.couplers)
    if couplers != case.couplers or len(document.accessories) != case.accessories:
        found.append(f"couplers {couplers}, {len(document.accessories)} accessories")
    return found


def _name(case: Case) -> str:
    return f"{case.row}: {case.text!r}"


@pytest.mark.parametrize("case", CASES, ids=_name)
def test_line_has_its_stated_meaning_or_is_asked(case: Case) -> None:
    document = read_stoplist(case.text)
    assert differences(document, case) == []
    if case.asked:
        assert document.questions, "must be asked"
    else:
        assert document.questions == ()


def _spaced(text: str) -> str:
    return "  " + text.replace(" ", "  ").replace("\n", " \n ") + "  "


def _unbreakable(text: str) -> str:
    return text.replace(" ", "\u00a0")


def _decomposed(text: str) -> str:
    return unicodedata.normalize("NFD", text)


def _real_primes(text: str) -> str:
    return text.replace("'", "′").replace("–", "-")


def _curly_primes(text: str) -> str:
    return text.replace("'", "’").replace("-", "‑")


def _glyphs(text: str) -> str:
    return re.sub(r"(?<![\d/])(\d/\d)(?![\d/])", lambda m: _GLYPHS.get(m[1], m[1]), text)


def _no_glyphs(text: str) -> str:
    for plain, glyph in _GLYPHS.items():
        text = re.sub(rf"(?<=\d)\s?{glyph}", f" {plain}", text).replace(glyph, plain)
    return text


def _tabbed(text: str) -> str:
    return text.replace(" ", "\t")


SAME_MEANING: dict[str, Callable[[str], str]] = {
    "spaces": _spaced, "unbreakable spaces": _unbreakable, "NFD": _decomposed, "real primes": _real_primes,
    "curly primes": _curly_primes, "fraction glyphs": _glyphs, "fractions spelled": _no_glyphs, "tabs": _tabbed,
    "line end of another system": lambda text: text.replace("\n", "\r\n") + "\r\n",
}  # fmt: skip


@pytest.mark.parametrize("change", SAME_MEANING)
def test_spaces_signs_and_tabs_change_no_meaning(change: str) -> None:
    wrong = {}
    for case in CASES:
        text = SAME_MEANING[change](case.text)
        document = read_stoplist(text)
        bad = differences(
            document, case, names=change not in ("fraction glyphs", "fractions spelled", "spaces", "tabs")
        )
        if bad or (bool(document.questions) != case.asked):
            wrong[text] = (bad, document.questions)
    assert wrong == {}


def _pitch_in_brackets_last(text: str) -> str:
    """The bracket before the pitch: ``Bourdon (bois, C-h) 16``."""
    return re.sub(r"^([^\n\d(]+?) ([\d⅔½ /.']+) (\([^)]*\))$", r"\1 \3 \2", text, flags=re.MULTILINE)


def _pitch_first(text: str) -> str:
    """``8' Montre``."""
    return re.sub(r"^([^\n\d(,/+;]+?) (\d+)'?$", r"\2' \1", text, flags=re.MULTILINE)


MEANING_OR_QUESTION: dict[str, Callable[[str], str]] = {
    "upper case": str.upper, "lower case": str.lower, "swapped case": str.swapcase,
    "bracket before pitch": _pitch_in_brackets_last, "pitch first": _pitch_first,
    "lines in another order": lambda text: "\n".join(reversed(text.split("\n"))),
}  # fmt: skip


@pytest.mark.parametrize("change", MEANING_OR_QUESTION)
def test_case_and_order_keep_the_meaning_or_raise_a_question(change: str) -> None:
    wrong = {}
    for case in CASES:
        text = MEANING_OR_QUESTION[change](case.text)
        document = read_stoplist(text)
        bad = differences(document, case, names=False)
        if (
            bad
            and not document.questions
            and not (change == "lines in another order" and _same_stops(document, case))
        ):
            wrong[text] = bad
    assert wrong == {}


def _same_stops(document: Stoplist, case: Case) -> bool:
    """Whether the same stops came in another order."""
    wanted = [{k: v for k, v in stop.items() if k in ("half", "state", "footage")} for stop in case.stops]
    found = list(document.stops)
    return len(wanted) == len(found) and all(
        any(all(getattr(stop, k) == v for k, v in want.items()) for stop in found) for want in wanted
    )


@pytest.mark.parametrize("language", LANGUAGES)
def test_a_language_keeps_the_meaning_or_raises_a_question(language: str) -> None:
    wrong = {}
    for case in CASES:
        document = read_stoplist(case.text, language)
        bad = differences(document, case, names=False)
        if bad and not document.questions:
            wrong[case.text] = bad
    assert wrong == {}


def test_every_line_is_asked_less_than_it_is_understood() -> None:
    """The reader must not hide behind questions: of the plain lines none is asked."""
    plain = [case for case in CASES if not case.asked]
    assert len(plain) > 100
    assert sum(bool(read_stoplist(case.text).questions) for case in plain) == 0


def test_lines_mean_the_same_among_other_lines() -> None:
    chosen = [case for case in CASES if "\n" not in case.text and case.divisions is None and not case.asked]
    random.Random(3).shuffle(chosen)
    text = "\n".join(case.text for case in chosen)
    document = read_stoplist(text)
    for line, case in enumerate(chosen, start=1):
        stops = tuple(stop for stop in document.stops if stop.line == line)
        alone = read_stoplist(case.text).stops
        same = [(a.footage, a.ranks, a.half, a.from_note) == (b.footage, b.ranks, b.half, b.from_note)
                for a, b in zip(stops, alone, strict=True)]  # fmt: skip
        assert all(same), case.text
        assert all(stop.text == case.text for stop in stops)
