"""What a page weighs and whether it moves while it comes: all instruments' pages in all languages by their files, the
heaviest of each language in Chromium, with slow fonts.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from publishing.catalogue.assets import RARE
from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS, served

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine (apt-get install chromium)"),
]
MOST_BYTES = 145_000
"""HTML with its drawings, styles, scripts, fonts and the locator, as they are: nothing is packed. Drawings shown as
files are fetched as a reader comes to them, like photographs.
"""
LANGUAGES = ("", "fr", "es")
MOST_SHIFT = 0.01
PHOTOGRAPHS = ("jpg", "webp", "avif")
WATCH = """
  window.shifted = 0;
  new PerformanceObserver(list => {
    for (const entry of list.getEntries()) if (!entry.hadRecentInput) window.shifted += entry.value;
  }).observe({ type: "layout-shift", buffered: true });
"""
LATE = "document.fonts.ready.then(() => new Promise(go => requestAnimationFrame(() => setTimeout(go, 60))))"


@pytest.fixture(scope="module")
def browser():
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def address(demo_site) -> Iterator[str]:
    with served(demo_site) as found:
        yield found


@pytest.fixture(scope="module")
def spoken(spoken_site) -> Iterator[str]:
    with served(spoken_site) as found:
        yield found


def load(browser, address: str, path: str, *, held: bool = True) -> tuple[float, dict[str, int], str]:
    """How far the page moved, what it fetched by path, and the face its words ended in."""
    context = browser.new_context(viewport={"width": 360, "height": 740})
    page = context.new_page()
    sizes: dict[str, int] = {}
    waiting, drawn = [], []

    def late(route) -> None:
        """Fonts are answered only when the page has been drawn without them."""
        if drawn or not held:
            route.continue_()
        else:
            waiting.append(route)

    page.route("**/*.woff2", late)
    page.on("requestfinished", lambda request: sizes.update({request.url: len(request.response().body())}))
    page.add_init_script(WATCH)
    page.goto(f"{address}/{path}", wait_until="domcontentloaded")
    for _turn in range(20):
        page.wait_for_timeout(150)
        if waiting or not held:
            break
    page.wait_for_timeout(150)
    drawn.append(True)
    for route in waiting:
        route.continue_()
    page.wait_for_load_state("load")
    page.evaluate(LATE)
    moved = page.evaluate("window.shifted")
    loaded = page.evaluate(
        "[...document.fonts].filter(f => f.status === 'loaded').map(f => f.family).join(' ')"
    )
    context.close()
    assert waiting or not held, "the page asked for no font: nothing could move"
    return moved, {url.removeprefix(address): size for url, size in sizes.items()}, loaded


def heaviest(site: Path, folder: str, count: int) -> list[str]:
    pages = sorted((site / folder).glob("*.html"), key=lambda page: page.stat().st_size, reverse=True)
    return [page.relative_to(site).as_posix() for page in pages[:count]]


def weight(site: Path, path: str) -> int:
    """What a page makes a browser fetch, by its files: itself, styles, scripts, locator, faces for its letters."""
    html = (site / path).read_text(encoding="utf-8")
    assert "<em" not in html and "<i>" not in html, "italics would be one face more"
    asked = re.findall(r'<(?:link rel="stylesheet" href|script defer src)="([^"]*)"', html)
    if "coast.svg" in html:
        asked += re.findall(r'src="([^"]*coast\.svg)"', html)[:1]
    parts = ["", "-more"] if set(RARE) & set(html) else [""]
    fonts = [f"assets/fonts/serif-{face}{part}.woff2" for face in ("regular", "semibold") for part in parts]
    files = [site / path, *((site / path).parent / one for one in asked), *(site / one for one in fonts)]
    return sum(one.stat().st_size for one in files)


def test_every_page_of_an_instrument_is_light(demo_site):
    pages = sorted((demo_site / "instruments").glob("ORG-*.html"))
    weights = {page.name: weight(demo_site, page.relative_to(demo_site).as_posix()) for page in pages}
    assert len(pages) >= 48 and min(weights.values()) > 45_000, "fonts and styles alone weigh more than that"
    assert {name: bytes_ for name, bytes_ in weights.items() if bytes_ > MOST_BYTES} == {}


@pytest.mark.parametrize("language", ["fr", "es"], ids=["French", "Spanish"])
def test_the_heaviest_pages_are_light_in_every_language(spoken_site, language):
    pages = sorted((spoken_site / language / "instruments").glob("ORG-*.html"))
    weights = {page.name: weight(spoken_site, page.relative_to(spoken_site).as_posix()) for page in pages}
    assert len(pages) == 6 and max(weights.values()) > 120_000, "not the heaviest"
    assert {name: bytes_ for name, bytes_ in weights.items() if bytes_ > MOST_BYTES} == {}


@pytest.mark.parametrize("language", LANGUAGES, ids=["English", "French", "Spanish"])
def test_the_heaviest_pages_fetch_no_more_and_stay_where_they_are(browser, spoken, spoken_site, language):
    [path] = heaviest(spoken_site, f"{language}/instruments".strip("/"), 1)
    moved, sizes, faces = load(browser, spoken, path)
    fetched = {url: size for url, size in sizes.items() if not url.endswith(PHOTOGRAPHS)}
    assert any(url.endswith(".html") for url in fetched) and any(url.endswith(".woff2") for url in fetched)
    assert sum(url.endswith(".js") for url in fetched) >= 6, "the player was not loaded"
    come = sum(size for url, size in fetched.items() if not url.endswith(("/coast.svg", "/mark.svg")))
    assert come + (spoken_site / language / "map" / "coast.svg").stat().st_size == weight(spoken_site, path)
    assert moved <= MOST_SHIFT, path
    assert "Upperboard Serif" in faces, "the fallback stayed"


@pytest.mark.parametrize("path", ["index.html", "shared-pipes.html", "map.html", "statistics.html"])
def test_other_pages_stay_where_they_are(browser, address, path):
    moved, _sizes, faces = load(browser, address, path, held=False)
    assert moved <= MOST_SHIFT
    assert "Upperboard Serif" in faces


def test_the_map_page_is_no_longer_the_heaviest(demo_site):
    assert (demo_site / "map.html").stat().st_size < 100_000


def test_every_picture_has_its_room_before_it_comes(browser, address, demo_site):
    page = browser.new_page()
    page.goto(f"{address}/{heaviest(demo_site, 'instruments', 1)[0]}")
    without = page.evaluate(
        "[...document.images].filter(i => !(i.getAttribute('width') && i.getAttribute('height'))).length"
    )
    assert without == 0 and page.evaluate("document.images.length") > 2
    page.close()


def test_control_a_page_whose_words_jump_is_noticed(browser, demo_site, tmp_path):
    (tmp_path / "font.woff2").write_bytes(
        (demo_site / "assets" / "fonts" / "serif-regular.woff2").read_bytes()
    )
    (tmp_path / "page.html").write_text(
        "<style>@font-face { font-family: x; src: url(font.woff2); font-display: swap; } h1 { font: 60px x; }</style>"
        "<h1 id='h'>A heading</h1><p>Below it, this.</p><div style='height: 300px; background: red'></div>"
        "<script>document.fonts.ready.then(() => { h.style.paddingBottom = '200px'; });</script>"
    )
    with served(tmp_path) as there:
        moved, _sizes, _faces = load(browser, there, "page.html")
    assert moved > MOST_SHIFT
