"""One Chromium for the tests that look at pages: what a page asked for, said and looks like."""

from __future__ import annotations

import http.server
import shutil
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path

CHROMIUM = shutil.which("chromium")
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-component-update"]

LOOK = """() => {
  const images = [...document.images];
  for (const image of images) image.loading = "eager";
  // A new width may choose another file of a picture while the first is being decoded: try again.
  const settle = async image => {
    for (let turn = 0; turn < 30; turn += 1) {
      try { await image.decode(); return; } catch { await new Promise(go => setTimeout(go, 100)); }
    }
  };
  return Promise.all([document.fonts.ready, ...images.map(settle)]).then(() => ({
    wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
    widest: [...document.querySelectorAll("body *")].filter(e =>
      e.getBoundingClientRect().right > document.documentElement.clientWidth + 1 && !e.closest(".scroll, svg, pre"))
      .slice(0, 3)
      .map(e => e.parentElement.tagName + "." + e.parentElement.className + " > " + e.outerHTML.slice(0, 60)),
    broken: images.filter(i => !(i.complete && i.naturalWidth > 0)).map(i => i.src),
    // "Instead" are faces of the reader's own machine: this one may have none of them.
    fonts: [...document.fonts].filter(f => f.status === "error" && !f.family.startsWith("Instead"))
      .map(f => f.family + f.weight + f.style),
    loaded: [...document.fonts].filter(f => f.status === "loaded").length,
    sheet: getComputedStyle(document.body).marginTop === "0px",
  }));
}"""


class Visit:
    """A page that notes what goes wrong on it."""

    def __init__(self, context, root: str) -> None:
        self.page = context.new_page()
        self.root = root
        self.troubles: list[str] = []
        self.page.on("console", self._said)
        self.page.on("pageerror", lambda error: self.troubles.append(f"error: {error}"))
        self.page.on("request", self._asked)
        self.page.on("requestfailed", self._failed)

    def _said(self, message) -> None:
        if message.type in ("error", "warning"):
            self.troubles.append(f"console: {message.text}")

    def _failed(self, request) -> None:
        # The tab's mark is dropped when the next page is asked for before it has come: nobody misses it.
        if not request.url.endswith("/assets/mark.svg"):
            self.troubles.append(f"failed: {request.url}")

    def _asked(self, request) -> None:
        if not request.url.startswith((self.root, "data:", "blob:")):
            self.troubles.append(f"foreign: {request.url}")

    def lasting(self, path: str) -> list[str]:
        """What is wrong with a page twice in a row: a loaded machine drops a file now and then."""
        return self.go(path) and self.go(path)

    def go(self, path: str, widths: tuple[int, ...] = (1280, 360)) -> list[str]:
        """Everything wrong with one page at these widths."""
        self.troubles.clear()
        self.page.goto(f"{self.root}/{path}", wait_until="load")
        for width in widths:
            self.page.set_viewport_size({"width": width, "height": 800})
            seen = self.page.evaluate(LOOK)
            if seen["wide"] > 0:
                self.troubles.append(f"{width} px: {seen['wide']} px too wide, {seen['widest']}")
            self.troubles += [f"broken picture: {src}" for src in seen["broken"]]
            self.troubles += [f"font: {name}" for name in seen["fonts"]]
            if not seen["loaded"] or not seen["sheet"]:
                self.troubles.append("no font or no stylesheet was loaded")
        return [f"{path}: {trouble}" for trouble in dict.fromkeys(self.troubles)]


@contextmanager
def served(folder: Path) -> Iterator[str]:
    """The folder over http on loopback, at any free port."""

    class Quiet(http.server.SimpleHTTPRequestHandler):
        def log_message(self, *_args: object) -> None:
            pass

    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), partial(Quiet, directory=str(folder)))
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}"
    finally:
        server.shutdown()
        server.server_close()


def pages_of(site: Path) -> list[str]:
    """Every page, by path."""
    return sorted(path.relative_to(site).as_posix() for path in site.rglob("*.html"))


def looked_at(site: Path) -> list[str]:
    """Every kind of page and every sixth record; of the hundreds of lists behind figures each fortieth."""
    pages = pages_of(site)
    lists = [path for path in pages if path.startswith("statistics/")]
    records = [path for path in pages if "/" in path and path not in lists]
    return sorted(
        {*one_of_each_kind(site)} | {*pages} - {*lists} - {*records} | {*records[::6]} | {*lists[::40]}
    )


def one_of_each_kind(site: Path) -> list[str]:
    """A list and a record of every folder, and every page of the root."""
    chosen = {}
    for path in pages_of(site):
        folder, _slash, name = path.rpartition("/")
        chosen.setdefault((folder, name if not folder or name == "index.html" else "record"), path)
    return sorted(chosen.values())
