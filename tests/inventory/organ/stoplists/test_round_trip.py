"""Reading, writing and reading a stoplist changes nothing; any text is read, quickly."""

from __future__ import annotations

import random
import string
import time
from dataclasses import replace
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.stoplists import (
    Composition,
    CouplerProposal,
    DivisionProposal,
    Stoplist,
    StopProposal,
    read_stoplist,
    write_stoplist,
)
from inventory.organ.stoplists.reading import MOST_QUESTIONS, MOST_STOPS
from tests.inventory.organ.stoplists.stoplist_cases import CASES

WORDS = [
    "Montre", "Bourdon", "Plein-jeu", "Cornet", "Trompette", "Quinte", "Subbass", "GO:", "Ped.", "II", "IV", "8", "4'",
    "2 2/3", "1½", "16", "(", ")", "[", "]", "from", "c", "c1", "C–H", "aus", "ext", "#4", "B/D", "B", "D", "only",
    "fehlt", "prep.", "ex", ",", ";", "+", "/", "-", "\n", "\t", "15.19.22", "97 p.", "*", '"', "13/2/P", "Tremulant",
    "Koppel", "½", "XV", "m.i.", "54 keys", "C–f3", "Nr.", "Register", "Fuß", "→", "=", "no.", "tr", "x", "f", "fach",
]  # fmt: skip


def meaning(document: Stoplist) -> list[Any]:
    """What a list says, without the lines it was typed in, reasons, remarks and questions."""
    stops = [
        [
            division.name, division.kind, division.compass and division.compass.notes,
            [(s.number, s.name, s.footage, s.ranks, s.pipes, s.half, s.from_note, s.to_note, s.composition,
              s.borrowed_from, s.state) for s in division.stops],
        ]
        for division in document.divisions
    ]  # fmt: skip
    couplers = [(c.origin, c.target, c.shift) for c in document.couplers]
    return [stops, couplers, [accessory.text for accessory in document.accessories]]


def test_lists_that_were_read_are_written_as_they_were_typed() -> None:
    text = "\n".join(case.text for case in CASES)
    assert write_stoplist(read_stoplist(text)) == text
    assert read_stoplist(write_stoplist(read_stoplist(text))) == read_stoplist(text)


def test_every_line_means_the_same_in_the_plain_form() -> None:
    for case in CASES:
        document = read_stoplist(case.text)
        plain = write_stoplist(replace(document, lines=()))
        again = read_stoplist(plain)
        assert meaning(again) == meaning(document), plain
        # The plain form reads back to itself, so a third reading changes nothing either.
        assert write_stoplist(replace(again, lines=())) == plain


NAMES = st.sampled_from(
    ["Montre", "Bourdon", "Gamba", "Trompette", "Flûte à cheminée", "Oboe-Fagott", "Viole de gambe"]
)
COMPOUNDS = st.sampled_from(["Mixtur", "Plein-jeu", "Fourniture", "Sesquialtera"])
FOOTAGES = st.sampled_from(
    ["32", "16", "10 2/3", "8", "5 1/3", "4", "2 2/3", "2", "1 3/5", "1 1/3", "1", "8/9"]
)
NOTE = st.integers(37, 84)


@st.composite
def simple_stops(draw: st.DrawFn) -> StopProposal:
    """A stop of one rank with whatever may be said of it."""
    low, high = sorted(draw(st.tuples(NOTE, NOTE).filter(lambda p: p[0] != p[1])))
    borrowed = draw(st.sampled_from([None, None, None, "Gedackt 8", "no. 4", "GO", "rank A"]))
    limits = draw(st.sampled_from([(None, None), (low, None), (None, high), (low, high)]))
    state = (
        "derived" if borrowed else draw(st.sampled_from(["present", "present", "prepared", "missing", None]))
    )
    return StopProposal(
        1, "", draw(NAMES), draw(st.sampled_from([None, "1", "12"])), draw(FOOTAGES), None,
        draw(st.sampled_from([None, 12, 54, 97])), draw(st.sampled_from([None, "bass", "treble", "both"])),
        *limits, (), borrowed, state,
    )  # fmt: skip


@st.composite
def compound_stops(draw: st.DrawFn) -> StopProposal:
    """A mixture with its breaks."""
    ranks = draw(st.integers(2, 6))
    row = st.lists(FOOTAGES, min_size=ranks, max_size=ranks).map(tuple)
    breaks = sorted(draw(st.lists(st.integers(37, 84), unique=True, max_size=3)))
    composition = tuple(Composition(note, draw(row)) for note in [36, *breaks])
    return StopProposal(1, "", draw(COMPOUNDS), ranks=ranks, composition=composition)


DIVISION = st.builds(
    DivisionProposal,
    st.sampled_from(["Hauptwerk", "GO", "Swell", "Récit"]),
    st.just("manual"),
    st.sampled_from(
        [read_stoplist(t).divisions[0].compass for t in ("C-f3", "C,D-c3", "C/E-c3", "GG,AA-e3")]
    ),
    st.lists(st.one_of(simple_stops(), compound_stops()), max_size=4).map(tuple),
)


@settings(max_examples=80, deadline=None)
@given(st.lists(DIVISION, min_size=1, max_size=3), st.sampled_from([0, 12, -12]))
def test_made_lists_are_read_back_without_a_question(divisions: list[DivisionProposal], shift: int) -> None:
    document = Stoplist(tuple(divisions), (CouplerProposal(1, "", "I", "II", shift),))
    again = read_stoplist(write_stoplist(document))
    assert meaning(again) == meaning(document)
    assert [question for question in again.questions if "prepared for" not in question.why] == []


@settings(max_examples=120, deadline=None)
@given(
    st.one_of(
        st.text(max_size=200),
        st.lists(st.sampled_from(WORDS), max_size=40).map(" ".join),
        st.lists(st.sampled_from(WORDS), max_size=40).map("".join),
    ),
    st.sampled_from([None, "en", "fr", "de", "es", "it"]),
)
def test_any_text_is_read_and_written_back_unchanged(text: str, language: str | None) -> None:
    document = read_stoplist(text, language)
    assert read_stoplist(write_stoplist(document), language) == document
    lines = document.lines
    for question in document.questions:
        assert 1 <= question.line <= len(lines)
        assert 1 <= question.column <= max(1, len(lines[question.line - 1]))
        assert question.why
    for stop in document.stops:
        assert stop.text == lines[stop.line - 1]
        assert stop.reason
    assert set(document.as_json()) == {"divisions", "couplers", "accessories", "questions"}


def test_a_megabyte_of_random_text_is_read_in_five_seconds() -> None:
    chance = random.Random(7)
    alphabets = {
        "printable": string.printable,
        "letters": string.ascii_letters + "      \n",
        "any": [chr(code) for code in range(1, 0x3000)],
        "stoplist signs": "CcFfHb1234568'/-–., ()\n\tIVX",
    }
    for name, alphabet in alphabets.items():
        text = "".join(chance.choices(alphabet, k=1_000_000))
        began = time.process_time()
        document = read_stoplist(text)
        taken = time.process_time() - began
        assert taken < 5, f"{name}: {taken:.1f} s"
        assert len(document.stops) < MOST_STOPS + 200
        assert len(document.questions) < MOST_QUESTIONS + 200


def test_a_megabyte_of_words_and_of_one_sign_is_read_in_five_seconds() -> None:
    chance = random.Random(8)
    texts = [" ".join(chance.choices(WORDS, k=250_000))[:1_000_000]]
    texts += [sign * 1_000_000 for sign in ("(", "1", "\n", "e\u0301", "' ")]
    for text in texts:
        began = time.process_time()
        read_stoplist(text)
        assert time.process_time() - began < 5, text[:40]


def test_reading_stops_with_a_question_where_a_text_is_no_stoplist() -> None:
    document = read_stoplist("Montre 8\n" * (MOST_STOPS + 5))
    assert len(document.stops) == MOST_STOPS
    assert "reading stopped" in document.questions[-1].why
    document = read_stoplist("what is this\n" * (MOST_QUESTIONS + 50))
    assert len(document.questions) <= MOST_QUESTIONS + 1
    (question,) = read_stoplist("Montre 8 " + "(" * 300).questions
    assert "break it up" in question.why
    (question,) = read_stoplist("Montre 8 " + "(" * 30).questions
    assert "brackets" in question.why
