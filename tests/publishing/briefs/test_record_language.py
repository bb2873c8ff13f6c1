"""Sentences of the record keep their language in documents of another."""

from __future__ import annotations

import io
import re
from dataclasses import dataclass, field

from pypdf import PdfReader

from publishing.briefs.brief import make_brief
from publishing.briefs.record_language import marked, record_texts
from publishing.briefs.typesetting import typeset
from tests.factory import add_shared_rank, make_instrument, make_public
from tests.publishing.briefs.reading import text_of


@dataclass(frozen=True)
class Value:
    summary: str = "Built in a barn.\n\nSold for a cow."
    summary_in: tuple[tuple[str, str], ...] = (("fr", "Construit dans une grange."),)
    licence: str = "CC BY 4.0 International"
    kinds: dict[str, str] = field(default_factory=lambda: {"en": "set of pipes", "fr": "jeu de tuyaux"})
    parts: tuple[str, ...] = ("case", "the old bellows room")


def languages_of(pdf: bytes) -> list[str]:
    """The languages of passages that have another than the document: in the text, or on their tag."""
    reader = PdfReader(io.BytesIO(pdf))
    found = [
        language.decode()
        for page in reader.pages
        for language in re.findall(rb"/Lang\s*\((\w+)\)", page.get_contents().get_data())
    ]
    waiting = [reader.trailer["/Root"]["/StructTreeRoot"]]
    while waiting:
        one = waiting.pop().get_object()
        if isinstance(one, list):
            waiting += one
        elif isinstance(one, dict) and one.get("/Type") != "/Page":
            found += [str(one["/Lang"])] if "/Lang" in one else []
            waiting += [one["/K"]] if "/K" in one else []
    return found


def test_sentences_of_the_record_are_found_and_nothing_that_has_a_language_of_its_own():
    assert record_texts(Value()) == {"Built in a barn.", "Sold for a cow.", "the old bellows room"}
    assert record_texts("two words", ["", None, 3]) == frozenset()


def test_a_mark_stands_round_a_whole_sentence_and_never_in_a_title_or_a_description_of_a_picture():
    data = {
        "title": "A cow of barns",
        "blocks": [{"text": "Vu : a cow of barns, oui.", "alt": "a cow of barns"}],
    }
    said = marked(data, "fr", frozenset({"a cow of barns", "cow of barns", "w of"}))
    assert said["blocks"] == [
        {"text": "Vu : \ue000en\ue001a cow of barns\ue002, oui.", "alt": "a cow of barns"}
    ]
    assert said["title"] == data["title"] and marked(data, "en", frozenset({"a cow of barns"})) == data


def test_what_is_printed_says_its_language_and_shows_no_mark():
    section = {
        "text": ["Non atteint : the old bellows room.", "Built in a barn."],
        "heads": ["a"],
        "rows": [["b"]],
    }
    data = {"title": "Un orgue", "sections": [section]}
    pdf = typeset("plain", marked(data, "fr", record_texts(Value())), "fr")
    assert languages_of(pdf) == ["en", "en"]
    text = text_of(pdf)
    assert "the old bellows room" in text and not re.search("[\ue000-\uf8ff]", text)
    assert languages_of(typeset("plain", data, "fr")) == []


def test_signs_of_the_mark_in_a_text_of_the_record_break_nothing():
    text = "\ue000en\ue001one\ue001two\ue002 \ue001 \ue002 three \ue000en\ue001"
    assert "onetwo" in text_of(typeset("plain", {"title": "t", "sections": [{"text": text}]}, "fr"))


def test_a_brief_in_french_speaks_the_record_in_english(people):
    organ = make_instrument(people.curator, name="First organ of all", summary="Two stops share one row.")
    add_shared_rank(organ, people.curator)
    organ.refresh_from_db()
    make_public(organ, people.editor)
    french, english = (make_brief(organ.reference, language=language) for language in ("fr", "en"))
    assert "en" in languages_of(french) and languages_of(english) == []
    outline = PdfReader(io.BytesIO(french)).outline
    assert outline and not re.search("[\ue000-\uf8ff]", str(outline) + text_of(french))
