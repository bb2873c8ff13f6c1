"""The blank field sheet: this organ's keys, in order, nothing private; same bytes, in three languages."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from publishing.briefs.field_sheet import make_field_sheet, sheet_data
from tests.factory import add_shared_rank, make_instrument


@pytest.fixture
def organ(people):
    root = make_instrument(
        people.curator, name="Chapel organ", owner="A private owner", access_note="Key at 5"
    )
    add_shared_rank(root, people.curator, keys=25)
    root.refresh_from_db()
    return root


def test_every_key_of_every_stop_has_a_box(organ):
    data = sheet_data(organ)
    assert [len(stop["keys"]) for stop in data["stops"]] == [25, 25]
    assert data["stops"][0]["keys"][0] == "C" and data["stops"][0]["keys"][-1] == "c¹"
    assert data["several"], "shared pipes are tried with several stops drawn"


@pytest.mark.parametrize("language", ["en", "fr", "es"])
def test_the_sheet_is_the_same_each_time_and_holds_nothing_private(organ, language):
    made = make_field_sheet(organ, language)
    assert made == make_field_sheet(organ, language)
    reader = PdfReader(io.BytesIO(made))
    text = "\n".join(page.extract_text() for page in reader.pages)
    assert "Chapel organ" in text and "Flute 8" in text
    assert "A private owner" not in text and "Key at 5" not in text
    assert reader.trailer["/Root"]["/Lang"] == language


def test_an_organ_without_a_scheme_still_gets_a_sheet(people):
    bare = make_instrument(people.curator)
    assert make_field_sheet(bare, "en").startswith(b"%PDF") and sheet_data(bare)["stops"] == []
