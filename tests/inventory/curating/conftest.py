"""Real Chromium on a live server, signed in as one of the cast."""

from __future__ import annotations

import shutil
from contextlib import contextmanager

import pytest
from django.test import Client

PASSWORD = "a long enough word"


@pytest.fixture(scope="module")
def chromium():
    """The system's Chromium; closed after each module, for Playwright can be open only once in a process."""
    found = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
    if not found:
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=found, args=["--no-sandbox"])
        yield browser
        browser.close()


QUIET = """() => new Promise(done => {
  let quiet = 0;
  const clock = setInterval(() => {
    const busy = document.querySelector(".htmx-request, .htmx-swapping, .htmx-settling");
    quiet = document.readyState === "complete" && !busy ? quiet + 1 : 0;
    if (quiet > 3) { clearInterval(clock); done(); }
  }, 20);
})"""


def settle(page) -> None:
    """Wait until the page is there and nothing of it is being fetched: five times sooner than an idle network."""
    page.wait_for_load_state("load")
    page.evaluate(QUIET)


class Desk:
    """One person's browser window; what its console complains of is kept."""

    def __init__(self, context, address: str) -> None:
        self.context, self.address = context, address
        self.page = context.new_page()
        self.complaints: list[str] = []
        self.dialogs: list[str] = []
        self.page.on("console", self._hear)
        self.page.on("pageerror", lambda error: self.complaints.append(str(error)))
        self.page.on("dialog", self._dialog)

    def _hear(self, message) -> None:
        if message.type in ("error", "warning"):
            self.complaints.append(message.text)

    def _dialog(self, dialog) -> None:
        self.dialogs.append(dialog.message)
        dialog.dismiss()

    def open(self, path: str):
        self.page.goto(self.address + path)
        settle(self.page)
        return self.page


@pytest.fixture
def open_desk(chromium, live_server):
    """Open a window for a person: signed in, of a stated size."""
    contexts = []

    def opened(person=None, width: int = 1280, height: int = 900, scheme: str = "light") -> Desk:
        context = chromium.new_context(
            viewport={"width": width, "height": height}, color_scheme=scheme, reduced_motion="reduce"
        )
        contexts.append(context)
        if person is not None:
            client = Client()
            client.force_login(person)
            key = client.cookies["sessionid"].value
            context.add_cookies([{"name": "sessionid", "value": key, "url": live_server.url}])
        return Desk(context, live_server.url)

    yield opened
    for context in contexts:
        context.close()


@contextmanager
def no_complaints(desk: Desk):
    """Nothing in the console, no dialog."""
    yield
    assert desk.complaints == [] and desk.dialogs == []
