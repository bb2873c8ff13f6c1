"""The drawings in real Chromium, in whatever face it has: nothing written outside the sheet."""

import shutil
from concurrent.futures import ThreadPoolExecutor

import pytest

from inventory.drawings.charts import Panel, ShareRow, share_bars, small_multiples
from inventory.drawings.keyboards import keyboard_strip
from inventory.drawings.maps import Cell, Place, locator_map
from inventory.drawings.ranks import rank_drawing
from inventory.drawings.sections import SectionPipe, section_drawing
from inventory.drawings.toeboards import toeboard_drawing
from tests.drawing_checks import one_rank_scheme

OUTSIDE = """() => [...document.querySelectorAll('svg')].flatMap(svg => {
  const sheet = svg.getBoundingClientRect();
  return [...svg.querySelectorAll('text')].filter(text => {
    const box = text.getBoundingClientRect();
    return box.left < sheet.left - 1 || box.right > sheet.right + 1
        || box.top < sheet.top - 2 || box.bottom > sheet.bottom + 2;
  }).map(text => svg.querySelector('title').id + ': ' + text.textContent);
})"""


def all_drawings():
    scheme = one_rank_scheme(61, 97, [-12, 0, 12, 24], low=24)
    stops = [stop.id for stop in scheme.stops]
    pipes = (
        SectionPipe("Principal 8′", "pipe 25, c¹", twin="Octave 4′, key c"),
        SectionPipe("Octave 4′", "pipe 37, c²", twin="Principal 8′, key c²", relative_length=0.5),
    )
    rows = [ShareRow("A workshop with a long name", 0.6, 0.4, 0.8, 12, 20)]
    for narrow in (False, True):
        end = "n" if narrow else "w"
        yield rank_drawing(scheme, "Row", prefix=f"rank{end}", narrow=narrow)
        yield keyboard_strip(scheme, "s3", prefix=f"keys{end}", narrow=narrow)
        yield toeboard_drawing(scheme, stops, prefix=f"toe{end}", narrow=narrow, layout="octaves together")
        yield section_drawing(pipes, "c¹", prefix=f"sec{end}", narrow=narrow)
        yield share_bars(rows, "Shares", prefix=f"bars{end}", narrow=narrow)
        panels = [Panel("1790–1820", [("1790", 3), ("1800", 5)], "n = 8")]
        yield small_multiples(panels, "Panels", prefix=f"pan{end}", narrow=narrow)
    coast = [[(0.0, 0.0), (30.0, 4.0), (26.0, 22.0)]]
    yield locator_map(coast, [Cell(20, 10, 5, "A long label at the edge")], places=[Place(9, 5, "Isle")])


@pytest.mark.browser
def test_no_word_of_any_drawing_is_outside_its_sheet_and_nothing_is_asked_of_the_net():
    # In a thread of its own: another module's browser may still be open in this one.
    with ThreadPoolExecutor(1) as alone:
        alone.submit(look_at_every_drawing).result()


def look_at_every_drawing() -> None:
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser_path is None:
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import sync_playwright

    policy = "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'self'\">"
    page_text = f"<!doctype html><title>t</title>{policy}" + "".join(d.svg for d in all_drawings())
    complaints, asked = [], []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1000, "height": 800})
        page.on("console", lambda message: complaints.append(message.text))
        page.on("request", lambda request: asked.append(request.url))
        page.set_content(page_text)
        count = page.evaluate("document.querySelectorAll('svg text').length")
        outside = page.evaluate(OUTSIDE)
        hatched = page.evaluate("getComputedStyle(document.querySelector('svg rect')).fill")
        browser.close()
    assert count > 150
    assert outside == []
    assert complaints == [] and asked == []
    assert hatched.startswith(("url", "rgb"))  # the policy left the presentation attributes alone
