"""The exported demo in a real browser, from the disk and from a server."""

from __future__ import annotations

import shutil
from importlib.resources import files

import pytest

from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS, Visit, looked_at, one_of_each_kind, served

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine (apt-get install chromium)"),
]


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture
def context(browser):
    opened = browser.new_context()
    yield opened
    opened.close()


def test_pages_from_the_disk_are_whole_at_360_and_1280_px(context, demo_site):
    visit = Visit(context, demo_site.as_uri())
    assert [trouble for path in looked_at(demo_site) for trouble in visit.lasting(path)] == []


def test_pages_from_a_server_are_whole_too(context, demo_site):
    with served(demo_site) as address:
        visit = Visit(context, address)
        assert [t for path in one_of_each_kind(demo_site) for t in visit.lasting(path)] == []


QUICKLY = (
    "resultTypes: ['violations'], elementRef: false"  # nothing is left out but what axe says of what is right
)
RULES = {
    "light": f"{{{QUICKLY}}}",
    "dark": f"{{{QUICKLY}, runOnly: {{type: 'rule', values: ['color-contrast', 'link-in-text-block']}}}}",
}
"""Every rule in the light; in the dark only those that look at colours, for nothing else differs.

Drawings are looked at as one picture each: thousands of pipes would take minutes.
"""


FULLEST = ("index.html", "instruments/ORG-0001.html", "danger.html")
"""Looked at in the whole demo; every kind of page is looked at with three instruments, where tables are short."""


@pytest.mark.parametrize("scheme", RULES)
def test_axe_finds_nothing_on_any_kind_of_page(browser, demo_site, small_house, scheme):
    axe = (files("axe_playwright_python") / "axe.min.js").read_text()
    context = browser.new_context(color_scheme=scheme, viewport={"width": 1280, "height": 800})
    page = context.new_page()
    found = []
    small = small_house.site
    # The colours are the stylesheet's: in the dark every other kind of page tells as much.
    kinds = one_of_each_kind(small)[:: 1 if scheme == "light" else 2]
    for site, path in [*((small, path) for path in kinds), *((demo_site, path) for path in FULLEST)]:
        page.goto(f"{site.as_uri()}/{path}")
        page.evaluate(axe)
        for violation in page.evaluate(f"axe.run({{exclude: [['svg *']]}}, {RULES[scheme]})")["violations"]:
            found.append((path, violation["id"], violation["nodes"][0]["html"][:150]))
    context.close()
    assert found == []


def test_pages_are_read_without_scripts(browser, demo_site):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    for path in one_of_each_kind(demo_site):
        page.goto(f"{demo_site.as_uri()}/{path}")
        assert len(page.locator("main").inner_text()) > 40, path
        assert page.locator("h1").count() == 1, path
        assert page.locator("main a, nav a").count() > 3, path
    context.close()


SPOILED = {
    "foreign": '<img src="http://192.0.2.1/a.png" alt="">',
    "too wide": '<p class="wide">wide</p>',
    "broken picture": '<img src="missing.jpg" alt="">',
    "console": "<script>1</script>",
}


@pytest.mark.parametrize("trouble", SPOILED)
def test_control_a_spoiled_page_is_noticed(context, demo_site, tmp_path, trouble):
    site = tmp_path / "site"
    shutil.copytree(demo_site, site, ignore=shutil.ignore_patterns("instruments", "places", "sources"))
    page = site / "method.html"
    text = page.read_text().replace("</main>", SPOILED[trouble] + "</main>")
    if trouble == "too wide":  # the page's own policy refuses styles in a tag: widen it by the stylesheet
        sheet = next((site / "assets").glob("site*.css"))
        sheet.write_text(
            sheet.read_text() + ".wide { width: 2000px !important; max-width: none !important; }"
        )
    page.write_text(text)
    visit = Visit(context, site.as_uri())
    assert any(trouble in told for told in visit.go("method.html")), trouble


def test_control_axe_notices_a_picture_without_words(context, demo_site, tmp_path):
    page = context.new_page()
    (tmp_path / "page.html").write_text(
        "<html><body><img src='data:image/gif;base64,R0lGODlhAQABAAAAACw='></body></html>"
    )
    page.goto((tmp_path / "page.html").as_uri())
    page.evaluate((files("axe_playwright_python") / "axe.min.js").read_text())
    assert {"image-alt", "html-has-lang"} <= {v["id"] for v in page.evaluate("axe.run()")["violations"]}
