"""Typesetting: what any text survives, what every document carries, what is refused."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest
from pypdf import PdfReader

from inventory.drawings.svg import INK
from publishing.briefs.typesetting import TypesettingError, flat_svg, may_break, typeset

HOSTILE = (
    '#panic("x") #import "@preview/x:1.0.0" $a_b$ @cite <label> *bold* `raw` \\ [x] ] " // /* = Heading #sys'
)
ROOT = Path(__file__).resolve().parents[3]
ENVIRONMENT = {**os.environ, "DJANGO_SETTINGS_MODULE": "tests.settings"}
SQUARE = f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 9 9"><path fill="{INK}" d="M0 0h9v9z"/></svg>'


def document(**more):
    return {"title": "A title", "sections": [{"heading": "One", "text": "Words."}], **more}


def text_of(pdf):
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


@pytest.mark.parametrize("place", ["title", "heading", "text", "cell", "running"])
def test_text_of_a_record_never_becomes_a_command(place):
    section = {
        "heading": HOSTILE if place == "heading" else "One",
        "text": HOSTILE if place == "text" else "Words.",
        "heads": ["Head"],
        "rows": [[HOSTILE if place == "cell" else "cell"]],
    }
    data = {
        "title": HOSTILE if place == "title" else "A title",
        "running": HOSTILE if place == "running" else "Running",
        "sections": [section],
    }
    read = text_of(typeset("plain", data, "en")).replace("\n", "").replace(" ", "")
    assert HOSTILE.replace(" ", "") in read


def test_a_document_is_tagged_and_says_its_language_title_and_bookmarks():
    reader = PdfReader(io.BytesIO(typeset("plain", document(), "fr")))
    catalogue = reader.trailer["/Root"]
    assert reader.metadata.title == "A title"
    assert catalogue["/Lang"] == "fr"
    assert catalogue["/MarkInfo"]["/Marked"]
    assert catalogue["/StructTreeRoot"]["/K"]
    assert reader.outline[0]["/Title"] == "A title"
    assert reader.outline[1][0]["/Title"] == "One"


def test_heads_of_tables_are_tagged_as_heads():
    data = document(sections=[{"heads": ["Work", "Cost"], "rows": [["a", "1"], ["b", "2"]]}])
    found = []

    def walk(node):
        node = node.get_object() if hasattr(node, "get_object") else node
        if isinstance(node, list):
            for one in node:
                walk(one)
        elif isinstance(node, dict):
            if "/S" in node:
                found.append(node["/S"])
            if "/K" in node:
                walk(node["/K"])

    walk(PdfReader(io.BytesIO(typeset("plain", data, "en"))).trailer["/Root"]["/StructTreeRoot"])
    assert found.count("/TH") == 2 and found.count("/TD") == 4 and "/H1" in found


def test_the_same_data_gives_the_same_bytes_in_another_process_too():
    here = typeset("plain", document(), "en")
    assert typeset("plain", dict(reversed(document().items())), "en") == here
    code = (
        "import sys, django; django.setup(); from publishing.briefs.typesetting import typeset;"
        "d={'title':'A title','sections':[{'heading':'One','text':'Words.'}]};"
        "sys.stdout.buffer.write(typeset('plain', d, 'en'))"
    )
    there = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, check=True, cwd=ROOT, env=ENVIRONMENT
    )
    assert there.stdout == here


def test_signs_of_the_trade_and_of_three_languages_are_printed_with_our_faces_only():
    signs = "f♯³ b♭ 2⅔′ 1⅗′ 8′ œuvre ñandú ¿qué? «\u202fà\u202f» l’été 12\u2011stop"
    pdf = typeset("plain", document(sections=[{"text": signs}]), "fr")
    read = text_of(pdf)
    for sign in ("♯", "♭", "⅔", "⅗", "′", "œ", "ñ", "¿", "«", "’", "12-stop"):
        assert sign in read
    fonts = set()
    for page in PdfReader(io.BytesIO(pdf)).pages:
        for font in page["/Resources"]["/Font"].values():
            fonts.add(str(font["/BaseFont"]).split("+")[-1])
            descendant = font["/DescendantFonts"][0]["/FontDescriptor"]
            assert {"/FontFile2", "/FontFile3"} & set(descendant), "every face is embedded"
    assert all(name.startswith(("SourceSerifPro", "Libertinus", "NewCM", "DejaVu")) for name in fonts)


def test_signs_that_cannot_be_printed_do_not_stop_a_document():
    assert text_of(typeset("plain", document(sections=[{"text": "a\x00b\ud800c 漢 d"}]), "en"))


def test_drawings_keep_their_colours_without_a_page():
    assert b"var(" not in flat_svg(SQUARE) and b'fill="#23201c"' in flat_svg(SQUARE)
    section = {"picture": "square.svg", "alt": "A square", "caption": "Figure of a square"}
    pdf = typeset("plain", document(sections=[section]), "en", pictures={"square.svg": flat_svg(SQUARE)})
    assert "Figure of a square" in text_of(pdf)


@pytest.mark.parametrize(
    "template, data, pictures, says",
    [
        ("nowhere", {"title": "x"}, {}, "no template 'nowhere'"),
        ("../typesetting", {"title": "x"}, {}, "no template"),
        ("plain", {"title": " "}, {}, "needs a title"),
        ("plain", {"title": "x", "when": object()}, {}, "texts, numbers, lists and mappings only"),
        ("plain", {"title": "x"}, {"../a.svg": b""}, "plain name"),
        ("plain", {"title": "x"}, {"house.typ": b""}, "plain name"),
        ("plain", {"title": "x", "sections": [{"picture": "a.svg", "alt": "a"}]}, {}, "cannot be typeset"),
        ("plain", {"title": "x", "sections": [{"picture": "a.svg", "alt": "a"}]}, {"a.svg": b"<no"}, "cannot be"),
    ],
)  # fmt: skip
def test_what_cannot_be_typeset_is_refused_in_words(template, data, pictures, says):
    with pytest.raises(TypesettingError, match=says):
        typeset(template, data, "en", pictures=pictures)


def test_only_very_long_words_may_break_and_no_letter_is_lost():
    assert may_break("Open Diapason 8′") == "Open Diapason 8′"
    long = "Hohlflötenbaßregisterverlängerung"
    assert may_break(long) != long and may_break(long).replace("\u00ad", "") == long
