"""Lists that narrow and sort themselves in the page, in a real browser from the disk."""

from __future__ import annotations

import pytest

from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine (apt-get install chromium)"),
]
SHOWN = (
    "[...document.querySelectorAll('tbody tr')].filter(row => !row.hidden)"
    ".map(row => row.cells[{at}].textContent.trim())"
)


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def page(browser, demo_site):
    opened = browser.new_page()
    opened.goto((demo_site / "instruments" / "index.html").as_uri())
    yield opened
    opened.close()


def test_typed_words_leave_the_rows_that_hold_them_accents_or_not(page):
    every = page.evaluate(SHOWN.format(at=1))
    page.get_by_label("Show only what holds these words").fill("éDEN")
    left = page.evaluate(SHOWN.format(at=1))
    assert left and len(left) < len(every) and all("den" in place.lower() for place in left)
    assert page.locator(".sieve [role=status]").inner_text() == f"{len(left)} of {len(every)} shown"
    page.get_by_label("Show only what holds these words").fill("")
    assert page.evaluate(SHOWN.format(at=1)) == every


def test_every_choice_of_a_facet_leaves_as_many_rows_as_it_says(page):
    selects = page.locator(".sieve select")
    assert selects.count() == 3
    for at in range(3):
        select = selects.nth(at)
        options = select.locator("option").all_text_contents()[1:]
        assert len(options) > 1
        for option in options:
            select.select_option(label=option)
            assert f"({len(page.evaluate(SHOWN.format(at=0)))})" in option
        select.select_option(index=0)


def test_a_column_sorts_by_key_both_ways_and_says_so(page):
    head = page.locator("thead th", has_text="Stops")
    for direction in ("ascending", "descending"):
        head.locator("button").focus()
        page.keyboard.press("Enter")
        assert head.get_attribute("aria-sort") == direction
        values = [int(text) for text in page.evaluate(SHOWN.format(at=3)) if text != "–"]
        assert values == sorted(values, reverse=direction == "descending") and len(set(values)) > 3
        blank = [text == "–" for text in page.evaluate(SHOWN.format(at=3))]
        assert blank == sorted(blank), "rows without a figure stay last"
    assert page.locator("[aria-sort]").count() == 1


def test_made_sorts_by_year_and_names_as_the_language_does(page):
    page.locator("thead th", has_text="Made").locator("button").click()
    years = page.evaluate(
        "[...document.querySelectorAll('tbody tr')].map(r => r.cells[2].dataset.sort).filter(Boolean)"
    )
    assert years == sorted(years) and len(set(years)) > 10


def test_without_scripts_every_row_is_there_and_nothing_pretends_to_work(browser, demo_site):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((demo_site / "instruments" / "index.html").as_uri())
    assert page.locator("tbody tr").count() > 30
    assert page.locator("main button, main input, main select").count() == 0
    context.close()


def test_long_lists_of_records_narrow_too(browser, demo_site):
    page = browser.new_page()
    page.goto((demo_site / "places" / "index.html").as_uri())
    name = page.locator(".timeline > li a").nth(5).inner_text()
    page.get_by_label("Show only what holds these words").fill(name)
    shown = page.locator(".timeline > li:visible a").all_inner_texts()
    assert name in shown and len(shown) < page.locator(".timeline > li").count()
    page.close()
