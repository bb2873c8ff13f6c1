"""No cell is a formula, and every cell reads back as it was."""

import csv
import io

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from publishing.formats.csv_text import cell, csv_text, guard, unguard

# The signs of OWASP's page on CSV injection, and their full-width forms.
DANGEROUS = ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"]


@pytest.mark.parametrize("sign", DANGEROUS)
def test_a_text_that_begins_like_a_formula_is_written_with_an_apostrophe(sign):
    assert guard(f"{sign}1+1") == f"'{sign}1+1"
    assert unguard(guard(f"{sign}1+1")) == f"{sign}1+1"


@pytest.mark.parametrize("plain", ["", "'tis", "Flute", "8'", "a=b", "’-", " =1"])
def test_other_texts_are_written_as_they_are(plain):
    assert guard(plain) == plain and unguard(plain) == plain


def test_numbers_truths_and_nothing_are_not_texts():
    assert [cell(v) for v in (-12, 0, True, False, None, -36.25, 440.0, 0.1)] == [
        "-12", "0", "true", "false", "", "-36.25", "440", "0.1",
    ]  # fmt: skip


@given(
    st.lists(st.text(alphabet=st.sampled_from([*DANGEROUS, "'", '"', ",", "a", "é"]), max_size=6), min_size=1)
)
@settings(max_examples=300, deadline=None)
def test_any_row_reads_back_exactly_and_no_cell_begins_like_a_formula(texts):
    read = next(csv.reader(io.StringIO(csv_text([[*texts, "end"]]), newline="")))
    assert [unguard(found) for found in read[:-1]] == texts
    assert not [found for found in read if found.startswith(tuple(DANGEROUS))]
