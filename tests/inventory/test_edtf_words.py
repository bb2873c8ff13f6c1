"""Uncertain dates said in words, and proposed from what people write."""

import time

import pytest
from django.utils import translation
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.edtf import EdtfError, date_in_words, parse_edtf, suggest_edtf


@pytest.mark.parametrize(
    ("text", "words"),
    [
        # meanings: reference/standards.md §3.9, the writing guide
        ("1850~", "about 1850"),
        ("[1841,1842]", "1841 or 1842"),
        ("1841/1842", "from 1841 to 1842"),
        ("[1840..1850]", "between 1840 and 1850, one year not known"),
        ("1840/1850", "from 1840 to 1850"),
        ("[..1760]", "before or in 1760"),
        ("184X", "the 1840s"),
        ("18XX", "the years 1800 to 1899"),
        ("1840?", "perhaps 1840"),
        ("1840%", "perhaps about 1840"),
        ("1902/..", "since 1902"),
        ("1902/", "from 1902, end not known"),
        ("/1985", "until 1985, start not known"),
        ("../1985", "until 1985"),
        ("../..", "without start or end"),
        ("/..", "start not known, no end"),
        ("1985-04", "April 1985"),
        ("1985-04-12", "12 April 1985"),
        ("1985-04-XX", "April 1985, day not known"),
        ("1985-XX", "1985, month not known"),
        ("156X-12-25", "25 December in the 1560s"),
        ("1984-1X", "between October 1984 and December 1984, one month not known"),
        ("[1760-12-03..]", "on 3 December 1760 or later"),
        ("[..1760-12-03]", "before or on 3 December 1760"),
        ("[1667,1668,1670..1672]", "1667, 1668 or one of 1670 to 1672"),
        ("{1667,1668,1670..1672}", "1667, 1668 and every year from 1670 to 1672"),
        ("2004-06~-11", "11 June 2004 (year approximate, month approximate)"),
        ("1840~/1850?", "from about 1840 to perhaps 1850"),
        ("2001-21", "spring 2001"),
        ("2001-24", "winter 2001 to 2002"),
        ("-0275", "276 BC"),  # year 0 is 1 BC
        ("0000", "1 BC"),
        ("000X", "the years 1 BC to 9"),
        ("XXXX", "a year not known"),
        ("1950S2", "estimated as 1950, between 1900 and 1999"),
    ],
)
def test_dates_in_words(text, words):
    assert date_in_words(text) == words
    assert date_in_words(parse_edtf(text)) == words


def test_a_text_that_is_no_date_is_shown_as_written():
    assert date_in_words("about the time of the fire") == "about the time of the fire"


def test_a_translation_may_turn_the_order_round():
    table = {"%(month)s %(year)s": "%(year)s. %(month)s", "June": "Juni", "about %(date)s": "etwa %(date)s"}
    assert date_in_words("1850-06~", lambda text: table.get(text, text)) == "etwa 1850. Juni"


@pytest.mark.parametrize(
    ("text", "french", "spanish"),
    [
        # common practice: an article before a day, none before a year; "de vers" is no French
        ("1850-06-11/..", "depuis le 11 juin 1850", "desde el 11 de junio de 1850"),
        (
            "1850-06-11/1850-07-02",
            "du 11 juin 1850 au 2 juillet 1850",
            "del 11 de junio de 1850 al 2 de julio de 1850",
        ),
        ("1850~/1860", "de 1850 environ à 1860", "de 1850 aproximadamente a 1860"),
        ("1850~", "vers 1850", "hacia 1850"),
        ("1850-06-11~", "vers le 11 juin 1850", "hacia el 11 de junio de 1850"),
        ("1850-05/1851", "depuis mai 1850 jusqu’à 1851", "de mayo de 1850 a 1851"),
    ],
)
def test_days_and_marks_stand_rightly_in_other_languages(text, french, spanish):
    for language, words in (("fr", french), ("es", spanish)):
        with translation.override(language):
            assert date_in_words(text, translation.gettext) == words


@settings(max_examples=300)
@given(st.text(alphabet="0123456789X-/.,[]{}?~%", max_size=24))
def test_every_date_has_words_without_loose_ends(text):
    try:
        value = parse_edtf(text)
    except EdtfError:
        return
    words = date_in_words(value)
    assert words.strip() == words != ""
    assert "%(" not in words and "  " not in words


def candidates(phrase: str) -> list[str]:
    return [candidate.edtf for candidate in suggest_edtf(phrase).candidates]


@pytest.mark.parametrize(
    ("phrase", "edtf"),
    [
        # the ways of practice.md §6.3 and the changes of draft named in values.md §10
        ("1768", ["1768"]),
        ("c.1768", ["1768~"]),
        ("c. 1850", ["1850~"]),
        ("Circa 1850", ["1850~"]),
        ("vers 1850", ["1850~"]),
        ("um 1740", ["1740~"]),
        ("c. 1850?", ["1850%"]),
        ("1850 (?)", ["1850?"]),
        ("probably 1850", ["1850?"]),
        ("1760s", ["176X"]),
        ("c. 1760s", ["[1760..1769]"]),
        ("1700s", ["17XX", "170X"]),
        ("before 1790", ["[..1789]", "[..1790]"]),
        ("by 1790", ["[..1790]"]),
        ("after 1812", ["[1813..]", "[1812..]"]),
        ("1768 or 1786", ["[1768,1786]"]),
        ("1841 ou 1842", ["[1841,1842]"]),
        ("1768/69", ["[1768,1769]", "1768/1769"]),
        ("1768–71", ["1768/1771", "[1768..1771]"]),
        ("between 1768 and 1771", ["[1768..1771]", "1768/1771"]),
        ("zwischen 1768 und 1771", ["[1768..1771]", "1768/1771"]),
        ("from 1768 to 1771", ["1768/1771"]),
        ("1841, 1842", ["[1841,1842]", "{1841,1842}"]),
        ("1841 and 1843", ["{1841,1843}"]),
        ("18th century", ["17XX", "[1701..1800]"]),
        ("XVIIIe siècle", ["17XX", "[1701..1800]"]),
        ("since 1902", ["1902/..", "1902/"]),
        ("5 June 1850", ["1850-06-05"]),
        ("June 5th, 1850", ["1850-06-05"]),
        ("13.4.1850", ["1850-04-13"]),
        ("3/4/1850", ["1850-04-03", "1850-03-04"]),
        ("winter 1850/51", ["1850-24"]),
        ("winter 1850", ["1850-24", "1849-24"]),
        ("[1841, 1842]", ["[1841,1842]"]),
        ("184u", ["184X"]),
        ("1984?~", ["1984%"]),
        ("unknown/1850", ["/1850"]),
        ("1850/open", ["1850/.."]),
        # a trap: valid EDTF that people mean otherwise (month 12; season 24)
        ("1808-12", ["1808-12", "1808/1812", "[1808..1812]"]),
        ("1822-24", ["1822-24", "1822/1824", "[1822..1824]"]),
        ("1850-06", ["1850-06"]),
    ],
)
def test_what_people_write_is_proposed_with_a_reason(phrase, edtf):
    assert candidates(phrase) == edtf
    answer = suggest_edtf(phrase)
    assert all(candidate.reason and candidate.words for candidate in answer.candidates)
    assert bool(answer.question) == (len(edtf) > 1)  # two readings are always a question


@pytest.mark.parametrize(
    ("phrase", "hint"),
    [
        ("18th c. 2nd half", "2nd half"),
        ("early 1850s", "early"),
        ("fin XVIIIe siècle", "fin"),
        ("n.d.", "leave the date empty"),
        ("ohne Jahr", "leave the date empty"),
        ("", "leave the date empty"),
        ("31 June 1850", "do not understand"),
        ("the year of the great storm", "do not understand"),
        ("before before 1850", "do not understand"),
        ("1" * 300, "at most 200"),
    ],
)
def test_what_has_no_certain_meaning_is_asked_and_never_guessed(phrase, hint):
    answer = suggest_edtf(phrase)
    assert answer.candidates == ()
    assert hint in answer.question


PHRASES = st.lists(
    st.sampled_from(
        "c. um 1768 71 /69 or between and 18th century half winter - [ ] 1.2.1850 ? XIX e ٣ ² before".split()
    ),
    max_size=8,
).map(" ".join)


@settings(max_examples=300)
@given(st.one_of(st.text(max_size=40), PHRASES))
def test_any_phrase_gives_readable_dates_or_a_question(phrase):
    answer = suggest_edtf(phrase)
    assert answer.candidates or answer.question
    for candidate in answer.candidates:
        assert date_in_words(parse_edtf(candidate.edtf)) == candidate.words


@pytest.mark.parametrize(
    "phrase", ["1" * 10_000, " " * 10_000, "1850 or " * 24, "i" * 190, "?" * 199, "(?)" * 60]
)
def test_long_phrases_are_answered_at_once(phrase):
    started = time.perf_counter()
    suggest_edtf(phrase)
    assert time.perf_counter() - started < 1
