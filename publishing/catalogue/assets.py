"""What pages need beside themselves: the stylesheet, fonts cut to the letters used, the mark, pictures.

Fonts come from an installed package and are subset here; nothing third-party lies in the
repository. The same letters give the same bytes.
"""

from __future__ import annotations

import hashlib
import io
from collections.abc import Iterable
from functools import cache
from importlib.resources import files
from pathlib import Path

from fontTools import subset
from fontTools.ttLib import TTFont

FACES = {
    "serif-regular": "SourceSerifPro-Regular.ttf",
    "serif-italic": "SourceSerifPro-It.ttf",
    "serif-semibold": "SourceSerifPro-Semibold.ttf",
}
# Latin with all accents of European languages, Greek used in formulas, signs of the trade.
LETTERS = (
    "".join(
        map(chr, [*range(0x20, 0x7F), *range(0xA0, 0x250), *range(0x2010, 0x2028), *range(0x2070, 0x208F)])
    )
    + "′″‴♯♭½⅓⅔⅕⅖⅗⅐⅑⅛−×÷≤≥≈·→←↑↓€Δπμ°…"
)

MARK = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" fill="#7d2b27"/>'
    '<g fill="#fbf9f4"><path d="M6 27V7h4v20zM14 27V11h4v16zM22 27V15h4v12z"/></g>'
    '<path d="M6 20h4M14 20h4M22 20h4" stroke="#7d2b27" stroke-width="1.5"/></svg>\n'
)


def stylesheet() -> tuple[str, bytes]:
    """The stylesheet under a name that changes when it does, so that no browser keeps an old one."""
    content = (files("publishing.catalogue") / "assets" / "site.css").read_bytes()
    return f"site.{hashlib.sha256(content).hexdigest()[:10]}.css", content


SCRIPTS = ("sounding", "wind", "voices", "keys", "rows", "player")
"""The scripts of the player, in the order they lean on each other."""


def scripts() -> list[tuple[str, bytes]]:
    """The player's scripts under names that change when they do."""
    folder = files("publishing.catalogue") / "assets"
    made = []
    for name in SCRIPTS:
        content = (folder / f"{name}.js").read_bytes()
        made.append((f"{name}.{hashlib.sha256(content).hexdigest()[:10]}.js", content))
    return made


@cache
def font(face: str) -> bytes:
    """One face as WOFF2, cut to the letters the catalogue may print."""
    source = Path(str(files("font_source_serif_pro"))) / "files" / FACES[face]
    options = subset.Options()
    options.flavor = "woff2"
    options.layout_features = ["kern", "liga", "lnum", "tnum", "onum", "pnum", "frac", "case"]
    options.drop_tables += ["DSIG"]
    options.notdef_outline = True
    options.recalc_timestamp = False
    with TTFont(source, recalcTimestamp=False) as opened:
        cutter = subset.Subsetter(options)
        cutter.populate(text=LETTERS)
        cutter.subset(opened)
        opened.flavor = "woff2"
        out = io.BytesIO()
        opened.save(out, reorderTables=False)
    return out.getvalue()


def asset_files() -> Iterable[tuple[str, bytes]]:
    """Paths and bytes of everything that is not a page or a picture."""
    name, content = stylesheet()
    yield f"assets/{name}", content
    for script, content in scripts():
        yield f"assets/{script}", content
    yield "assets/mark.svg", MARK.encode()
    for face in FACES:
        yield f"assets/fonts/{face}.woff2", font(face)
