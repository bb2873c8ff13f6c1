"""The page's own functions in real Chromium against the pure core, pipe by pipe, and the sound they make."""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from inventory.organ.schemes import Scheme
from publishing.catalogue.playing import carried_data
from tests.publishing.catalogue.playing_cases import make_cases
from tests.publishing.catalogue.playing_schemes import hand_made_schemes

ASSETS = Path(__file__).resolve().parents[3] / "publishing" / "catalogue" / "assets"
pytestmark = pytest.mark.browser

PLAY_ALL = """([schemes, cases]) => {
  const read = {};
  for (const [name, data] of Object.entries(schemes)) {
    const ids = [...data.stops, ...data.ranks].map(one => one.id);
    read[name] = { scheme: Upperboard.readScheme(data), net: data.net && Upperboard.readNet(data.net, ids) };
  }
  return cases.map(({ scheme: name, drawn, held, failures }) => {
    const { scheme, net } = read[name];
    const heard = Upperboard.soundPipes(scheme, new Set(drawn), held);
    const touches = new Set([...drawn, ...heard.channels]);
    return {
      calls: heard.calls, coincide: heard.coincide, apart: heard.apart, channels: [...heard.channels].sort(),
      pipes: heard.pipes.map(pipe => [pipe.id, pipe.calls.map(call => [call.stop, call.key])]),
      levels: net ? [...Upperboard.soundingLevels(net, touches, failures)] : [],
    };
  });
}"""


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    """A blank page with the player's pure scripts."""
    browser_path = shutil.which("chromium") or shutil.which("chromium-browser")
    if browser_path is None:
        pytest.skip("Chromium is not installed")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=browser_path, args=["--no-sandbox"])
        page = browser.new_page()
        page.set_content("<!doctype html><title>t</title>")
        for script in ("sounding.js", "wind.js", "voices.js"):
            page.add_script_tag(content=(ASSETS / script).read_text(encoding="utf-8"))
        yield page
        browser.close()


def play(page: Any, schemes: dict[str, Scheme], cases: list[Any]) -> list[dict[str, Any]]:
    """What the page makes of the cases."""
    documents = {name: carried_data(scheme) for name, scheme in schemes.items()}
    return page.evaluate(PLAY_ALL, [documents, [case.as_document() for case in cases]])


def compare(cases: list[Any], answers: list[dict[str, Any]]) -> None:
    """Every field of every case, the whole case shown where they differ."""
    for case, answer in zip(cases, answers, strict=True):
        answer["levels"].sort()
        told = json.loads(json.dumps(case.expected))
        assert answer == told, (case.scheme, case.drawn, case.held, case.failures)


def test_the_table_of_cases_agrees_in_the_browser_pipe_by_pipe(page: Any) -> None:
    schemes = hand_made_schemes()
    cases = list(make_cases(schemes, each=10, faults=8))
    assert len(cases) >= 250
    flaps = [case for case in cases if any(one.part.startswith("valve:") for one in case.failures)]
    murmuring = [
        case
        for case in flaps
        if {pipe for pipe, _ in case.expected["levels"]} > {pipe for pipe, _ in case.expected["pipes"]}
    ]
    assert len(flaps) >= 30 and len(murmuring) >= 10, (len(flaps), len(murmuring))
    assert sum(case.expected["coincide"] > 0 for case in cases) >= 20
    assert any(case.expected["apart"] for case in cases)
    compare(cases, play(page, schemes, cases))


def test_cases_that_are_falsified_are_noticed(page: Any) -> None:
    schemes = {"octave extension": hand_made_schemes()["octave extension"]}
    cases = [case for case in make_cases(schemes) if case.expected["pipes"]][:1]
    cases[0].expected["pipes"][0][0] = "r:99"
    with pytest.raises(AssertionError):
        compare(cases, play(page, schemes, cases))
