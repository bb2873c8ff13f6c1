"""Search without a server: what the file holds, what is found and why, in a real browser from the disk."""

from __future__ import annotations

import json
import random
import re
import shutil
from importlib.resources import files

import pytest

from publishing.catalogue.search_page import SearchData
from publishing.disclosure.values import Link
from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS

NO_CHROMIUM = pytest.mark.skipif(
    CHROMIUM is None, reason="no chromium on this machine (apt-get install chromium)"
)
in_a_browser = [pytest.mark.browser, pytest.mark.slow, NO_CHROMIUM]


def data_with(*rows: tuple[Link, tuple[list[str], ...]]) -> SearchData:
    data = SearchData()
    for link, lists in rows:
        data.add_row(link, (*lists, *[[]] * (5 - len(lists))))
    return data


def read_back(data: SearchData) -> dict:
    return json.loads(data.file()[1].decode().removeprefix("self.searchData=").removesuffix(";\n"))


SMALL = (
    (Link("instruments", "T-1", "Chapelle d’Œuvray"), (["Œuvray", "Île Ænne"], ["Jörg Strauß"], ["Flûte", "Montre"])),
    (Link("instruments", "T-2", "Kapelle Nordmoor"), (["Nordmoor"], ["Jörg Strauß"], ["Gedackt"], ["Common bass"])),
    (Link("makers", "T-3", "Jörg Strauß"), ([], [], [], [], ["Georg Strauss"])),
)  # fmt: skip


def test_each_word_is_written_once_and_empty_lists_at_the_end_are_left_out():
    document = read_back(data_with(*SMALL))
    assert document["words"].count("Jörg Strauß") == 1
    assert document["rows"][1] == [0, "T-2", "Kapelle Nordmoor", [5], [2], [6], [7]]
    assert data_with((SMALL[0][0], ())).rows == [[0, "T-1", "Chapelle d’Œuvray"]]


def test_the_same_rows_give_the_same_file_and_another_row_another_name():
    assert data_with(*SMALL).file() == data_with(*SMALL).file()
    assert data_with(*SMALL).file()[0] != data_with(*SMALL[:2]).file()[0]


def test_signs_that_end_scripts_or_texts_cannot_break_the_file():
    name = 'A "quoted" \\ </script>\u2028 name'
    assert read_back(data_with((Link("places", "T-9", name), ())))["rows"][0][2] == name


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def finder(browser, tmp_path):
    """A page that holds nothing but the search, over given data."""

    def opened(data: SearchData):
        shutil.copy(str(files("publishing.catalogue") / "assets" / "searching.js"), tmp_path)
        (tmp_path / "data.js").write_bytes(data.file()[1])
        (tmp_path / "page.html").write_text(
            "<!doctype html><meta charset=utf-8><script src=searching.js></script><script src=data.js></script>"
        )
        page = browser.new_page()
        page.goto((tmp_path / "page.html").as_uri())
        page.evaluate("() => { self.finder = makeFinder(searchData); }")
        return page

    return opened


def found(page, query: str) -> list[str]:
    return page.evaluate("query => finder.find(query).map(one => one.reference)", query)


class TestFinding:
    pytestmark = in_a_browser

    @pytest.mark.parametrize(
        ("query", "expected"),
        [
            ("oeuvray", ["T-1"]),  # œ is oe, Œ too
            ("FLUTE", ["T-1"]),  # accents and capitals
            ("ile aenne", ["T-1"]),
            ("strauss", ["T-3", "T-1", "T-2"]),  # ß is ss; a heading weighs more than a maker of a work
            ("gedakct", ["T-2"]),  # two letters exchanged: one error in seven letters
            ("nordmor", ["T-2"]),  # a letter left out
            ("xnordmoor", ["T-2"]),  # a letter too many
            ("montre nordmoor", []),  # every word must be held by one record
            ("bass jorg", ["T-2"]),
            ("geo stra", ["T-3"]),  # beginnings of words
            ("t-2", ["T-2"]),
            ("t-22", []),  # numbers are never forgiven
            ("mor", []),  # nor are words of three letters
            ("  ", []),
            ("'; <&>", []),
        ],
    )
    def test_the_small_collection_answers_as_worked_out_by_hand(self, finder, query, expected):
        assert found(finder(data_with(*SMALL)), query) == expected

    def test_every_result_says_why(self, finder):
        page = finder(data_with(*SMALL))
        why = page.evaluate("finder.find('flute strauss')[0].why")
        assert why == [{"field": 4, "text": "Flûte"}, {"field": 3, "text": "Jörg Strauß"}]
        assert page.evaluate("finder.find('gedakct')[0].near") is True

    def test_edits_agree_with_a_plain_table_on_random_words(self, finder):
        page, draw = finder(data_with(*SMALL)), random.Random(7)
        pairs = [("".join(draw.choices("abc", k=draw.randint(1, 7))), "".join(draw.choices("abc", k=draw.randint(1, 7))))
                 for _ in range(300)]  # fmt: skip
        counted = page.evaluate("pairs => pairs.map(([a, b]) => finder.edits(a, b, 2)[0])", pairs)
        for (typed, word), count in zip(pairs, counted, strict=True):
            exact = plain_edits(typed, word)
            assert (count == exact) if exact <= 2 else (count > 2), (typed, word)

    def test_ten_thousand_instruments_are_searched_while_one_types(self, finder):
        data = synthetic(10_000)
        size = len(data.file()[1])
        page = finder(data)
        times = page.evaluate("""() => {
          const took = (work) => { const from = performance.now(); work(); return performance.now() - from; };
          return [took(() => { self.finder = makeFinder(searchData); }), ...["vo", "voralune prinzipal",
            "vorlaune prinzpal", "xqwertzuiop"].map(query => took(() => finder.find(query)))];
        }""")
        print(f"search file {size} bytes; ms to index, then to answer: {[round(one) for one in times]}")
        assert size < 2_500_000
        assert times[0] < 5000 and max(times[1:]) < 2000  # generous: test machines are slow and shared


def plain_edits(first: str, second: str) -> int:
    """Edits with exchanges of neighbours (optimal string alignment), as the textbooks' full table has it."""
    table = {(row, 0): row for row in range(len(first) + 1)} | {(0, at): at for at in range(len(second) + 1)}
    for row in range(1, len(first) + 1):
        for at in range(1, len(second) + 1):
            best = min(table[row - 1, at] + 1, table[row, at - 1] + 1,
                       table[row - 1, at - 1] + (first[row - 1] != second[at - 1]))  # fmt: skip
            if (
                row > 1
                and at > 1
                and first[row - 2 : row] == second[at - 2 : at][::-1]
                and first[row - 1] != first[row - 2]
            ):
                best = min(best, table[row - 2, at - 2] + 1)
            table[row, at] = best
    return table[len(first), len(second)]


def synthetic(count: int) -> SearchData:
    """Invented instruments with as many different words as so large a collection would have."""
    draw = random.Random(11)
    syllables = "vo ra lu ne tal mi ker os ten bru fi ga sol den wy ach pel mo ris und".split()

    def names(many: int) -> list[str]:
        return ["".join(draw.choices(syllables, k=draw.randint(2, 4))).capitalize() for _ in range(many)]

    places, makers, stops = names(4000), names(600), [*names(250), "Prinzipal"]
    patterns = ["Common bass", "Duplex", "Octave extension"]
    data = SearchData()
    for number in range(count):
        place = draw.choice(places)
        data.add_row(
            Link("instruments", f"ORG-{number:05d}", f"{place}, {draw.choice(names(1))}"),
            ([place, draw.choice(places)], [f"{draw.choice(makers)} {draw.choice(makers)}"],
             list(dict.fromkeys(draw.choices(stops, k=18))), [draw.choice(patterns)], []),
        )  # fmt: skip
    return data


class TestThePage:
    pytestmark = in_a_browser

    def test_typing_arrows_and_enter_lead_to_a_record_from_the_disk(self, browser, demo_site):
        page = browser.new_page()
        page.goto((demo_site / "search.html").as_uri())
        document = json.loads(
            re.search(r"=(.*);", next(demo_site.glob("assets/search-data.*.js")).read_text())[1]
        )
        heading = document["rows"][0][2]
        page.keyboard.type(heading)
        page.wait_for_selector("#results a")
        assert page.locator("#results a").first.inner_text() == heading
        assert page.locator("#said").inner_text()
        page.keyboard.press("ArrowDown")
        assert page.evaluate("document.activeElement.textContent") == heading
        page.keyboard.press("ArrowUp")
        assert page.evaluate("document.activeElement.id") == "query"
        page.keyboard.press("Enter")
        page.wait_for_url(f"**/instruments/{document['rows'][0][1]}.html")
        page.go_back()
        assert page.locator("#query").input_value() == heading
        page.close()

    def test_every_record_of_the_demo_is_found_by_its_heading(self, browser, demo_site):
        page = browser.new_page()
        page.goto((demo_site / "search.html").as_uri())
        lost = page.evaluate("""() => { const finder = makeFinder(searchData);
          return searchData.rows.filter(([, reference, heading]) =>
            !finder.find(heading).some(one => one.reference === reference)).map(row => row[1]); }""")
        assert lost == []
        page.close()

    def test_the_key_that_leads_to_the_field_can_be_switched_off(self, browser, demo_site):
        page = browser.new_page()
        page.goto((demo_site / "search.html").as_uri())
        page.locator("#slash").focus()
        page.keyboard.press("/")
        assert page.evaluate("document.activeElement.id") == "query"
        page.locator("#slash").uncheck()
        page.locator("#slash").focus()
        page.keyboard.press("/")
        assert page.evaluate("document.activeElement.id") == "slash"
        page.close()

    def test_without_scripts_the_page_says_so_and_links_to_the_lists(self, browser, demo_site):
        context = browser.new_context(java_script_enabled=False)
        page = context.new_page()
        page.goto((demo_site / "search.html").as_uri())
        assert page.locator("noscript").inner_text()
        assert not page.locator("#query").is_visible()
        assert page.locator("main a[href='instruments/index.html']").is_visible()
        context.close()
