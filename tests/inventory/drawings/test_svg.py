import xml.etree.ElementTree as ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.drawings.svg import Sheet, number, runs_of, shorten, text_width, wrap
from tests.drawing_checks import check_drawing, measuring_font


def test_numbers_are_rounded_to_a_tenth_and_never_minus_nought():
    assert [number(v) for v in (1, 1.04, 1.06, -0.01, -2.55, 1200.0)] == [
        "1",
        "1",
        "1.1",
        "0",
        "-2.5",
        "1200",
    ]


def test_a_prefix_that_could_break_out_of_an_attribute_is_refused_with_the_remedy():
    for bad in ("", "1a", 'a"b', "a b", "<"):
        with pytest.raises(ValueError, match="start with a letter"):
            Sheet(10, 10, bad)


@given(st.text(max_size=60))
@settings(max_examples=150, deadline=None)
def test_any_words_at_all_give_well_formed_svg(words):
    sheet = Sheet(120, 30, "x")
    sheet.text(60, 15, words, 12, "middle")
    drawing = sheet.finish(words or "t", words or "d", "")
    ElementTree.fromstring(drawing.svg)


@given(
    st.text(alphabet="abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 .,–′éöñ", max_size=40)
)
@settings(max_examples=100, deadline=None)
def test_the_estimated_width_is_never_less_than_the_width_in_the_text_face(words):
    assert text_width(words, 100) >= measuring_font(False).getlength(words) - 1
    assert text_width(words, 100) >= measuring_font(True).getlength(words) - 1


def test_text_that_does_not_fit_is_shortened_and_kept_on_the_sheet():
    sheet = Sheet(100, 30, "x")
    sheet.text(95, 15, "a name far too long for so small a sheet", 12)
    assert "…" in sheet.finish("t", "d", "").svg
    check_drawing(sheet.finish("t", "d", ""), "x")


def test_lines_are_balanced_and_no_word_is_lost():
    lines = wrap("flap valve, lifted by the wind", 12.5, 150)
    assert " ".join(lines) == "flap valve, lifted by the wind"
    assert len(lines) == 2 and min(len(line) for line in lines) > 8
    assert shorten("short", 12, 200) == "short"


def test_numbers_join_into_runs():
    assert runs_of([]) == []
    assert runs_of([5, 1, 2, 2, 7]) == [(1, 2), (5, 5), (7, 7)]
