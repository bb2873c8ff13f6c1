"""Claims and citations speak of rows by the names a reader knows; knobs and valves are told without blame."""

import re

from publishing.catalogue.scheme_words import valves_in_words
from tests.publishing.conftest import DemoHouse


def page_of(house: DemoHouse, reference: str) -> str:
    text = (house.site / "instruments" / f"{reference}.html").read_text(encoding="utf-8")
    return re.sub(r"\s+", " ", text)


def test_what_claims_speak_of_has_the_name_of_the_row(demo_house):
    chancel = page_of(demo_house, "ORG-0001")
    assert "new build, 1885: date" in chancel and "the pipes that Cornopean 8 asks" in chancel
    assert "how many pipes" in page_of(demo_house, "ORG-0017")
    assert "Trumpets: number of pipes" in page_of(demo_house, "ORG-0023")


def test_no_page_speaks_of_a_row_by_its_code_unless_the_row_is_gone(demo_house):
    pages = [*demo_house.site.glob("instruments/*.html"), *demo_house.site.glob("sources/*.html")]
    assert len(pages) > 60
    coded = re.compile(r"\b(event|segment|sharing|count|chest|layer|rank) “[a-z0-9 ]+”")
    found = {page.name for page in pages if coded.search(page.read_text(encoding="utf-8"))}
    assert found == {"ORG-0020.html"}  # planted: a claim about a chest that was given another code


def test_knobs_from_the_rows_are_those_at_the_console_unless_a_count_says_otherwise(demo_house):
    differing = [
        page.stem
        for page in sorted(demo_house.site.glob("instruments/ORG-*.html"))
        if "counts of knobs differ" in page.read_text(encoding="utf-8")
    ]
    assert differing == ["ORG-0018"]  # the sign painter of 1890 lettered two knobs twice


def test_valves_are_told_as_needed_recorded_and_not_seen():
    assert "1 non-return valve." in valves_in_words({"needed": 1, "recorded": 1, "not_seen": 0})
    assert valves_in_words({"needed": 88, "recorded": 88, "not_seen": 0}).endswith("All are recorded.")
    assert "None is recorded" in valves_in_words({"needed": 9, "recorded": 0, "not_seen": 9})
    mixed = valves_in_words({"needed": 9, "recorded": 4, "not_seen": 5})
    assert "4 are recorded; 5 were not seen" in mixed and "must" not in mixed
