"""Signs between words and inside figures, by language."""

from __future__ import annotations

import pytest
from django.utils import translation

from inventory.punctuation import in_figures, labelled, quoted, semicolons


@pytest.mark.parametrize(
    ("language", "named", "parts", "quote", "figure"),
    [
        # common practice: no-break space before : and ; and inside « » in French; decimal comma in both
        ("en", "Licence: free", "a; b", "“Viol”", "1.15"),
        ("fr", "Licence\u00a0: free", "a\u00a0; b", "«\u00a0Viol\u00a0»", "1,15"),
        ("es", "Licence: free", "a; b", "«Viol»", "1,15"),
    ],
)
def test_signs_are_those_of_the_language(language, named, parts, quote, figure):
    with translation.override(language):
        assert labelled("Licence", "free") == named
        assert semicolons(["a", "b"]) == parts
        assert quoted("Viol") == quote
        assert in_figures(f"{1.15:.2f}") == figure


def test_whole_numbers_and_dashes_stay_as_they_are():
    with translation.override("fr"):
        assert [in_figures(one) for one in ("12", "–", "12.5–80.0 %")] == ["12", "–", "12,5–80,0 %"]
