"""Sheets for print: vector with the catalogue's face, tagged, the same bytes; made once, whatever asks again."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from inventory.drawings.ranks import rank_drawing
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop
from publishing.catalogue import printed_plates
from publishing.catalogue.printed_plates import KEPT, printed

FOOT = "Chancel organ, ORG-1, version 3 · The house · CC BY 4.0"


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path
    return tmp_path


def drawing(name: str = "Flute #panic()"):
    scheme = Scheme(
        (Keyboard("I", tuple(range(36, 41))),),
        (Rank("row", 17, tuple(range(36, 53))),),
        (Stop("a", "I", name, "8"), Stop("b", "I", "Octave", "4")),
        (Segment("a", (1, 5), "row", interval=0), Segment("b", (1, 5), "row", interval=12)),
    )
    return rank_drawing(scheme, "row")


def test_title_caption_source_and_licence_stand_on_the_sheet():
    text = PdfReader(io.BytesIO(printed(drawing(), FOOT, "en"))).pages[0].extract_text()
    joined = " ".join(text.split())
    assert "Rank row: the row of pipes" in joined and "Nominal scale from pitch" in joined
    assert "Chancel organ, ORG-1, version 3" in joined and "CC BY 4.0" in joined
    assert "#panic()" in joined, "text of a record never becomes a command"


def test_the_sheet_is_one_page_of_vectors_tagged_with_language_and_words_for_the_drawing():
    made = printed(drawing(), FOOT, "fr")
    reader = PdfReader(io.BytesIO(made))
    root = reader.trailer["/Root"]
    assert len(reader.pages) == 1 and root["/Lang"] == "fr" and root["/MarkInfo"]["/Marked"]
    found = [one.get_object() for one in reader.pages[0]["/Resources"].get("/XObject", {}).values()]
    assert not [one for one in found if one.get("/Subtype") == "/Image"], "a picture of pixels"
    fonts = {str(font["/BaseFont"]) for font in _fonts(reader)}
    assert fonts and all("SourceSerifPro" in font for font in fonts)
    assert b"17 pipes are drawn" in _alternatives(reader), "the drawing's description is its alternative text"


def _fonts(reader):
    return [
        one.get_object()
        for number in range(1, len(reader.xref_objStm) + 400)
        if (one := reader.get_object(number)) is not None
        and hasattr(one, "get")
        and one.get("/Type") == "/Font"
        and "/BaseFont" in one
    ]


def _alternatives(reader) -> bytes:
    words = [
        str(one.get("/Alt"))
        for number in range(1, len(reader.xref_objStm) + 400)
        if (one := reader.get_object(number)) is not None and hasattr(one, "get") and one.get("/Alt")
    ]
    return " ".join(words).encode()


def test_a_sheet_is_made_once_and_taken_from_the_store_after(own_folder, monkeypatch):
    made = printed(drawing(), FOOT, "en")
    kept = list((own_folder / KEPT).iterdir())
    assert [one.read_bytes() for one in kept] == [made]
    monkeypatch.setattr(printed_plates, "typeset", lambda *_a, **_k: pytest.fail("made again"))
    assert printed(drawing(), FOOT, "en") == made


@pytest.mark.parametrize("change", ["drawing", "foot", "language"])
def test_whatever_stands_on_the_sheet_makes_another(own_folder, change):
    printed(drawing(), FOOT, "en")
    changed = {
        "drawing": lambda: printed(drawing("Other"), FOOT, "en"),
        "foot": lambda: printed(drawing(), FOOT + "!", "en"),
        "language": lambda: printed(drawing(), FOOT, "es"),
    }
    changed[change]()
    assert len(list((own_folder / KEPT).iterdir())) == 2


def test_without_the_store_the_bytes_are_the_same(own_folder):
    first = printed(drawing(), FOOT, "en")
    for one in (own_folder / KEPT).iterdir():
        one.unlink()
    assert printed(drawing(), FOOT, "en") == first
