"""What pages need beside themselves: the stylesheets, fonts cut to the letters used, the mark, pictures.

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
from fontTools.otlLib.optimize.gpos import compact
from fontTools.ttLib import TTFont

from inventory.drawings.svg import runs_of

from .compact import compact_script, compact_styles

FACES = {
    "serif-regular": "SourceSerifPro-Regular.ttf",
    "serif-italic": "SourceSerifPro-It.ttf",
    "serif-semibold": "SourceSerifPro-Semibold.ttf",
}
# What English, French, Spanish and German need, and signs of the trade: all that most pages ask for.
COMMON = (
    "".join(map(chr, range(0x20, 0x7F)))
    + "\u00a0¡«°±²³´·¹»¼½¾¿ÀÁÂÄÇÈÉÊËÍÎÑÓÔÖÙÚÛÜßàáâäæçèéêëíîïñóôöùúûüœŒªº§©×÷"
    + "–—‘’‚“”„…•′″⁴⁵♭♯⅓⅔⅕⅖⅗⅛₁₂→←↑↓−≤≥"
)
# Accents of the other European languages, Greek of formulas: asked for only by pages that have them.
_ALL = {*map(chr, [*range(0xA0, 0x250), *range(0x2010, 0x2028), *range(0x2070, 0x208F)]), *"‴⅐⅑≈€Δπμ"}
RARE = "".join(sorted(_ALL - {*COMMON}))
PARTS = {"": COMMON, "-more": RARE}
"""Letters by the end of the file's name; a browser fetches only the parts a page has letters of."""

MARK = (
    '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 32 32"><rect width="32" height="32" fill="#7d2b27"/>'
    '<g fill="#fbf9f4"><path d="M6 27V7h4v20zM14 27V11h4v16zM22 27V15h4v12z"/></g>'
    '<path d="M6 20h4M14 20h4M22 20h4" stroke="#7d2b27" stroke-width="1.5"/></svg>\n'
)


def stylesheet(name: str = "site") -> tuple[str, bytes]:
    """A stylesheet under a name that changes when it does, so that no browser keeps an old one.

    Every page has `site`; pages that are no instrument's have `around` beside it.
    """
    written = (files("publishing.catalogue") / "assets" / f"{name}.css").read_text(encoding="utf-8")
    written = written.replace("U+0-more;", f"{unicode_ranges(RARE)};")
    content = compact_styles(written).encode()
    return f"{name}.{hashlib.sha256(content).hexdigest()[:10]}.css", content


STYLESHEETS = ("site", "around")
SCRIPTS = ("sounding", "wind", "voices", "keys", "rows", "player")
"""The scripts of the player, in the order they lean on each other."""


def scripts() -> list[tuple[str, bytes]]:
    """The player's scripts under names that change when they do."""
    folder = files("publishing.catalogue") / "assets"
    made = []
    for name in SCRIPTS:
        content = compact_script((folder / f"{name}.js").read_text(encoding="utf-8")).encode()
        made.append((f"{name}.{hashlib.sha256(content).hexdigest()[:10]}.js", content))
    return made


def unicode_ranges(letters: str) -> str:
    """Letters as a stylesheet lists them: U+20-7E,U+A0."""
    runs = runs_of(map(ord, letters))
    return ",".join(f"U+{low:X}" if low == high else f"U+{low:X}-{high:X}" for low, high in runs)


KERNING = 1
"""How the pairs of letters that stand closer are written down again: in the fewest classes, with the same distances."""


@cache
def font(face: str, part: str = "") -> bytes:
    """One part of a face as WOFF2: only the letters of that part."""
    source = Path(str(files("font_source_serif_pro"))) / "files" / FACES[face]
    options = subset.Options()
    options.flavor = "woff2"
    options.layout_features = ["kern", "lnum", "tnum"]  # what the stylesheet asks for, and no more
    options.drop_tables += ["DSIG", "BASE", "GDEF"]  # nothing of it is asked of these letters
    options.notdef_outline = True
    options.recalc_timestamp = False
    with TTFont(source, recalcTimestamp=False) as opened:
        cutter = subset.Subsetter(options)
        cutter.populate(text=PARTS[part])
        cutter.subset(opened)
        compact(opened, level=KERNING)
        opened.flavor = "woff2"
        out = io.BytesIO()
        opened.save(out, reorderTables=False)
    return out.getvalue()


def asset_files() -> Iterable[tuple[str, bytes]]:
    """Paths and bytes of everything that is not a page or a picture."""
    for sheet in STYLESHEETS:
        name, content = stylesheet(sheet)
        yield f"assets/{name}", content
    for script, content in scripts():
        yield f"assets/{script}", content
    yield "assets/mark.svg", MARK.encode()
    for face in FACES:
        for part in PARTS:
            yield f"assets/fonts/{face}{part}.woff2", font(face, part)
