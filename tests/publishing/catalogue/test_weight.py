"""What a page weighs and whether it moves while it comes: every instrument's page, in Chromium, with slow fonts."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS, served

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.skipif(CHROMIUM is None, reason="no chromium on this machine (apt-get install chromium)"),
]
MOST_BYTES = 150_000
"""HTML, styles, scripts, fonts and the drawings of the first screens, as they are: nothing is packed."""
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


def heaviest(site, folder: str, count: int) -> list[str]:
    pages = sorted((site / folder).glob("*.html"), key=lambda page: page.stat().st_size, reverse=True)
    return [page.relative_to(site).as_posix() for page in pages[:count]]


def test_the_heaviest_instrument_pages_are_light_and_stay_where_they_are(browser, address, demo_site):
    locator = (demo_site / "map" / "coast.svg").stat().st_size
    for path in heaviest(demo_site, "instruments", 3):
        moved, sizes, faces = load(browser, address, path)
        fetched = {url: size for url, size in sizes.items() if not url.endswith(PHOTOGRAPHS)}
        assert any(url.endswith(".html") for url in fetched) and any(
            url.endswith(".woff2") for url in fetched
        )
        assert sum(url.endswith(".js") for url in fetched) >= 6, "the player was not loaded"
        assert sum(fetched.values()) + locator <= MOST_BYTES, (path, fetched)
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
