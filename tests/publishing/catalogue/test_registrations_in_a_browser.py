"""Knobs of the repertoire view: every number the page works out is that of Python, registration by registration."""

from __future__ import annotations

import json
import random

import pytest
from lxml import html

from inventory.organ.registrations import places_of, play, rate_of
from inventory.organ.repertoire import chorales
from inventory.organ.scheme_files import read_scheme
from tests.publishing.catalogue.browsing import CHROMIUM, FLAGS

pytestmark = pytest.mark.browser
MOST_OF_A_FAMILY = 9

PLAY = """([number, drawn]) => {
  const box = document.querySelectorAll(".registering")[number];
  for (const knob of box.querySelectorAll(".knob")) {
    const wanted = drawn.includes(knob.dataset.stop);
    if ((knob.getAttribute("aria-pressed") === "true") !== wanted) knob.click();
  }
  const said = box.querySelector(".said");
  return { calls: Number(said.dataset.calls), coincide: Number(said.dataset.coincide), text: said.textContent,
           intervals: [...box.querySelectorAll(".meets li")].map(
             line => [Number(line.dataset.interval), Number(line.dataset.weight)]) };
}"""


@pytest.fixture(scope="module")
def browser():
    if not CHROMIUM:
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        opened = started.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        yield opened
        opened.close()


def registrations_of(stops: list[str], seed: int) -> list[list[str]]:
    """All stops, each pair's worth of chance, one alone and none: up to nine of a family."""
    chance = random.Random(seed)
    chosen = [stops, stops[:1], []]
    chosen += [chance.sample(stops, chance.randint(2, len(stops))) for _ in range(MOST_OF_A_FAMILY - 3)]
    return chosen


def test_every_registration_drawn_in_the_page_has_the_sums_of_python(browser, demo_site):
    context = browser.new_context()
    page = context.new_page()
    wrong, checked, troubles = [], 0, []
    page.on("pageerror", lambda error: troubles.append(str(error)))
    page.on("console", lambda said: troubles.append(said.text) if said.type in ("error", "warning") else None)
    for path in sorted((demo_site / "statistics").glob("compared-*.html"))[::2]:
        reference = path.stem.removeprefix("compared-")
        document = json.loads((demo_site / "instruments" / f"{reference}.scheme.json").read_text())
        scheme, _notes = read_scheme(document)
        boxes = html.fromstring(path.read_text()).xpath("//div[contains(@class,'registering')]")
        if not boxes:
            continue
        page.goto(path.as_uri())
        for number, box in enumerate(boxes):
            stops = box.xpath(".//button/@data-stop")
            keyboard = scheme.stop[stops[0]].keyboard
            played = play(scheme, keyboard, chorales())
            for drawn in registrations_of(stops, checked):
                seen = page.evaluate(PLAY, [number, drawn])
                rate = rate_of(played, drawn)
                intervals = places_of(played, drawn).intervals
                if (seen["calls"], seen["coincide"]) != (rate.calls, rate.coincide) or dict(
                    map(tuple, seen["intervals"])
                ) != intervals:
                    wrong.append((reference, drawn, seen, rate, intervals))
                weights = [weight for _interval, weight in seen["intervals"]]
                assert weights == sorted(weights, reverse=True)
                checked += 1
    context.close()
    assert not wrong and not troubles
    assert checked >= 50


def test_the_registration_that_coincides_most_is_drawn_when_the_page_opens(browser, demo_site):
    path = demo_site / "statistics" / "compared-ORG-0017.html"
    tree = html.fromstring(path.read_text())
    row = tree.xpath("//tr[@class='played']")[0]
    page = browser.new_page()
    page.goto(path.as_uri())
    said = page.locator(".registering .said").first
    assert [said.get_attribute("data-coincide"), said.get_attribute("data-calls")] == [
        cell.text_content() for cell in row[1:3]
    ]
    assert row[3].text_content() in said.text_content()
    page.close()


def test_without_a_script_the_table_stands_and_no_knob_is_shown(browser, demo_site):
    context = browser.new_context(java_script_enabled=False)
    page = context.new_page()
    page.goto((demo_site / "statistics" / "compared-ORG-0017.html").as_uri())
    assert page.locator("tr.played").count() >= 4
    assert not page.locator(".registering").first.is_visible()
    context.close()
