"""Ways of sharing, time, condition, words and errors: each page says what the data say, counted here again."""

from __future__ import annotations

import csv
import html
import json
import re
from collections import Counter
from pathlib import Path

import pytest

from inventory.models import Instrument, Term
from inventory.organ.answers import evaluate_answer
from inventory.organ.scheme_files import read_scheme
from publishing.catalogue.shared_pipes_page import ORDER
from publishing.catalogue.time_pages import TimePages
from publishing.catalogue.ways_pages import figure_in_words, path_of_pattern
from publishing.disclosure.words import read_words

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures"


def text_of(path: Path) -> str:
    return html.unescape(path.read_text())


def table(site: Path, name: str) -> list[dict[str, str]]:
    with (site / "data" / f"{name}.csv").open(newline="") as file:
        return list(csv.DictReader(file))


def test_a_figure_names_n_all_and_the_interval_of_wilson():
    # 5 of 10: Wilson 95 % is 0.2366 to 0.7634 (Newcombe 1998 gives the formula; worked by hand).
    assert figure_in_words(5, 10) == (
        "5 of 10 instruments whose stoplist is known: 50.0 % (95 % interval of Wilson: 23.7–76.3 %)."
    )
    assert "yet" in figure_in_words(0, 0)


def test_without_any_instrument_the_time_line_is_one_empty_page():
    pages = list(TimePages().pages())
    assert [path for _template, path, _context in pages] == ["timeline.html"]


@pytest.mark.slow
def test_every_pattern_has_a_page_with_the_instruments_whose_schemes_have_it(demo_site):
    having: dict[str, set[str]] = {pattern: set() for pattern in ORDER}
    schemes = sorted((demo_site / "instruments").glob("*.scheme.json"))
    for file in schemes:
        for family in evaluate_answer(read_scheme(file.read_text())[0])["families"]:
            for pattern in family["patterns"]:
                having[pattern["pattern"]].add(file.name.partition(".")[0])
    for pattern, references in having.items():
        page = text_of(demo_site / path_of_pattern(pattern))
        assert set(re.findall(r'instruments/([^".]+)\.html#sharing', page)) == references, pattern
        assert f"{len(references)} of {len(schemes)} instruments" in page
        assert ('<svg xmlns="http://www.w3.org/2000/svg" class="drawing"' in page) == bool(references), (
            pattern
        )


@pytest.mark.slow
def test_every_device_of_the_vocabulary_has_a_page_that_explains_it(demo_site):
    rows = [row["fields"] for row in json.loads((FIXTURES / "vocabularies.json").read_text())
            if row["model"] == "inventory.device"]  # fmt: skip
    assert len(rows) > 10
    for row in rows:
        assert row["explanation"] in text_of(demo_site / "methods" / f"device-{row['code']}.html")


@pytest.mark.slow
def test_every_dated_event_stands_in_one_decade(demo_site):
    shown = sum(
        text_of(page).count('<li><span class="when">') for page in (demo_site / "timeline").glob("*.html")
    )
    page = text_of(demo_site / "timeline.html")
    undated = int(found[1]) if (found := re.search(r"(\d+) events? ha(?:s|ve) no date", page)) else 0
    assert shown > 50 and shown + undated == len(table(demo_site, "events"))


@pytest.mark.slow
def test_surveys_are_counted_by_level_and_findings_only_with_consent(demo_site):
    page = text_of(demo_site / "condition.html")
    counts = Counter(row["recording_level"] for row in table(demo_site, "surveys"))
    for level, count in counts.items():
        part = page.partition(f'id="level-{level}"')[2].partition("<h2")[0]
        assert f"Surveys: {count} " in part
    assert "not public" in page


@pytest.mark.slow
def test_the_glossary_has_every_word_with_its_unchecked_names_marked(demo_site):
    rows = [row["fields"] for row in json.loads((FIXTURES / "vocabularies.json").read_text())
            if row["model"] in ("inventory.term", "inventory.device") and not row["fields"].get("retired")]  # fmt: skip
    page = text_of(demo_site / "glossary.html")
    names = [
        name
        for row in rows
        for language, name in row["names"].items()
        if language in ("en", "fr", "es", "de")
    ]
    assert len(names) > 400 and all(name in page for name in names)
    unchecked = sum(
        1 for row in rows for language in row["unchecked"] if language != "en" and row["names"].get(language)
    )
    assert page.count("to check</span>") == unchecked > 0


def test_words_that_somebody_added_or_retired_are_not_told(db):
    from inventory.models import Term

    Term.objects.create(vocabulary="event", code="built", names={"en": "new build"}, unchecked=["fr"])
    Term.objects.create(vocabulary="event", code="moved", names={"en": "move"}, retired=True)
    Term.objects.create(vocabulary="hazard", code="zz-added", names={"en": "made for a confidential record"})
    found = {word.code: word for word in read_words()}
    assert found.keys() == {"built"} and found["built"].unchecked == ("fr",)


@pytest.mark.slow
def test_the_page_for_errors_is_reached_from_every_page(demo_site):
    for path in ("index.html", "instruments/ORG-0001.html", "methods/duplex.html"):
        assert 'report.html"' in (demo_site / path).read_text(), path


def test_a_body_s_own_word_is_told_once_a_public_record_shows_it_and_never_before(house):
    def codes() -> set[str]:
        return {word.code for word in read_words()}

    own = Term.objects.create(vocabulary="action", code="own-action", names={"en": "a word of our own"})
    other = Term.objects.create(vocabulary="action", code="secret-action", names={"en": "not yet told"})
    assert not {"own-action", "secret-action"} & codes()
    public = {"state": "released", "audience": "public", "version": 2, "released_version": 2}
    Instrument.objects.create(reference="ORG-9001", name="Organ", status="silent", action=own, **public)
    hidden = Instrument.objects.create(reference="ORG-9002", name="Organ", status="silent", action=other)
    assert {"own-action", "secret-action"} & codes() == {"own-action"}
    Instrument.objects.filter(pk=hidden.pk).update(**public)
    assert {"own-action", "secret-action"} <= codes()
