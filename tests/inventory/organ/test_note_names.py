"""Notes in every notation: practice.md §8.2 rows 96-105, values.md §2 where named."""

from __future__ import annotations

import unicodedata

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from inventory.organ.errors import NoteError
from inventory.organ.note_names import read_note, scan_note
from inventory.organ.notes import note_name


# practice.md §8.2 rows 96-100; row 97 agrees with Dickson 1882 l.519-524 (values.md §2):
# CC, Tenor C, Middle C, Treble C, C in alt.
@pytest.mark.parametrize(
    ("typed", "note"),
    [
        ("C", 36), ("c", 48), ("c0", 48), ("c°", 48), ("c'", 60), ("c1", 60), ("c¹", 60), ("c''", 72), ('c"', 72),
        ("c2", 72), ("c3", 84), ("c'''", 84), ("c′′′", 84), ("f3", 89), ("f³", 89), ("c4", 96), ("kl. c", 48),
        ("Ten C", 48), ("Tenor C", 48), ("Mid C", 60), ("Middle C", 60), ("Treble C", 72), ("C in alt", 84),
        ("F in alt", 89), ("fiddle G", 55), ("tenor F", 53), ("Gamut G", 43), ("Clef F#", 54),
        ("GG", 31), ("FF", 29), ("GG#", 32), ("AA", 33), ("H", 47), ("h", 59), ("Cis", 37), ("Dis", 39),
        ("Fis", 42), ("Gis", 44), ("Es", 39), ("As", 44), ("es1", 63), ("Fis¹", 66), ("B♭", 46), ("Bb", 46),
        ("c#1", 61), ("cis1", 61), ("cs1", 61), ("do#3", 61), ("ut#3", 61), ("db1", 61), ("c♯1", 61), ("d♭1", 61),
        ("Do3", 60), ("ut dièse 3", 61), ("la3", 69), ("si bémol 2", 58), ("fa5", 89), ("Do1", 36), ("C₁", 24),
    ],
)  # fmt: skip
def test_note_has_one_reading(typed: str, note: int) -> None:
    for form in ("NFC", "NFD"):
        assert read_note(unicodedata.normalize(form, typed)).note == note


@pytest.mark.parametrize(
    ("typed", "notes"),
    [
        ("C1", {24, 36}),  # scientific, or do1 = C of 8'
        ("C2", {36, 48}),
        ("F5", {77, 89}),
        ("CC", {36, 24}),  # English C of 8', or contra C
        ("C'", {24, 60}),  # contra C, or a careless c'
        ("Mid B", {59, 71}),  # below or above middle C
        ("G in alt", {91, 79}),  # by the octave of C, or by the gamut
        ("b", {59, 58}),  # B natural, or German B flat
        ("Do", {36, 48, 60, 72, 84}),
    ],
)
def test_ambiguous_note_keeps_every_reading(typed: str, notes: set[int]) -> None:
    reading = read_note(typed)
    assert reading.note is None
    assert set(reading.notes) == notes


# practice.md §8.2 row 99.
def test_b_and_h_follow_the_language() -> None:
    assert read_note("B", "de").note == 46
    assert {read_note("B", language).note for language in ("en", "fr", "es", "it")} == {47}
    assert {read_note("H", language).note for language in ("de", "en", None)} == {47}
    assert read_note("b1", "de").note == 70
    assert read_note("Bb", "de").note == 46


def test_a_line_in_one_case_leaves_the_octave_open() -> None:
    assert set(read_note("C", case_lost=True).notes) == {36, 48}
    assert read_note("c1", case_lost=True).note == 60


def test_letter_with_a_key_number_has_no_octave_but_keeps_its_number() -> None:
    reading = read_note("F54")
    assert (reading.number, reading.step, reading.candidates) == (54, 5, ())


@pytest.mark.parametrize(
    "typed", ["", "x", "Cor", "8", "J1", "c##1", "Aes", "f54x", "do-re", "c1c2", "H'''''"]
)
def test_what_is_no_note_is_refused_with_a_remedy(typed: str) -> None:
    with pytest.raises(NoteError, match="write it as"):
        read_note(typed)


def test_a_note_inside_a_word_is_not_found() -> None:
    assert scan_note("Cello", 0) is None
    assert scan_note("dolce 8", 0) is None


@given(st.integers(24, 120))
def test_names_this_program_writes_are_read_back(note: int) -> None:
    reading = read_note(note_name(note), "en")
    assert reading.note == note


@settings(max_examples=150)
@given(st.text(max_size=40), st.integers(0, 40), st.sampled_from([None, "de", "en", "fr"]))
def test_any_text_is_scanned_without_an_exception(text: str, start: int, language: str | None) -> None:
    reading = scan_note(text, start, language)
    assert reading is None or (reading.start == start and start < reading.end <= len(text))
