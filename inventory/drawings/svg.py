"""The sheet every drawing is made on: shapes and words in, deterministic SVG text out.

Colours are CSS custom properties with fallbacks, so that a page can theme them; nothing is
said by colour alone. There is no style attribute, no style element and no script, so that
the strictest content policy lets the drawings through.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from html import escape

INK = "var(--ink, #23201c)"
SOFT = "var(--ink-soft, #655f57)"
RULE = "var(--rule, #c9c2b6)"
PAPER = "var(--paper, #ffffff)"
WOOD = "var(--wood, #efe3cb)"
WOOD_LINE = "var(--wood-line, #b79c6c)"
SLIDER = "var(--slider, #d8b98a)"
SLIDER_LINE = "var(--slider-line, #7d5a2b)"
METAL = "var(--metal, #eef0f1)"
LEATHER = "var(--leather, #9a5836)"
WIND = "var(--wind, #cfe3ec)"
WIND_LINE = "var(--wind-line, #1f6285)"
SHARED = "var(--shared, #e5c3b0)"
SHARED_LINE = "var(--shared-line, #96401f)"
FONT = "var(--drawing-font, 'Source Serif Pro', Georgia, serif)"

_SAFE_PREFIX = re.compile(r"[A-Za-z][A-Za-z0-9_-]*")
_NARROW = frozenset("iljtfrI.,:;'′’‘|!()[] ·¹²³-/")
_WIDE = frozenset("mMWw—→%@")
# What XML 1.0 cannot hold at all; such characters can stand in a typed label.
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


@dataclass(frozen=True)
class Drawing:
    """A finished drawing: the SVG text, and the words that stand in and beside it."""

    svg: str
    title: str
    description: str
    caption: str


@lru_cache(maxsize=65_536)
def number(value: float) -> str:
    """Write a coordinate rounded to 0.1, the same bytes everywhere (never ``-0``)."""
    text = f"{value:.1f}"
    if text.endswith(".0"):
        text = text[:-2]
    return "0" if text == "-0" else text


def clean(text: str) -> str:
    """Escape a label for XML and drop what XML cannot hold."""
    return escape(_NOT_XML.sub("", text), quote=True)


def text_width(text: str, size: float) -> float:
    """Width a label may need, in the unit of `size`: an upper estimate over common serif faces.

    The page's face may be missing where the file is opened, so this errs on the wide side.
    """
    return _width(text) * size / 100


@lru_cache(maxsize=65_536)
def _width(text: str) -> int:
    """In hundredths of an em: whole numbers, so that a line is as wide as its words and spaces together."""
    return sum(map(_letter_width, text))


@lru_cache(maxsize=4096)
def _letter_width(letter: str) -> int:
    if letter in _NARROW:
        return 42
    if letter in _WIDE or ord(letter) > 0x2E7F:
        return 105
    return 80 if letter.isupper() else 65


def shorten(text: str, size: float, room: float) -> str:
    """Cut a label with an ellipsis so that it fits the room it has."""
    if text_width(text, size) <= room:
        return text
    while text and text_width(text + "…", size) > room:
        text = text[:-1]
    return text.rstrip() + "…"


def wrap(text: str, size: float, room: float) -> list[str]:
    """Break a label into lines of much the same length that fit the room."""
    lines = _fill(text, size, room)
    # Narrow the room while the lines stay as many: no line is left with one short word.
    while len(lines) > 1 and len(closer := _fill(text, size, room - size)) == len(lines):
        if any(line.endswith("…") for line in closer):
            break
        lines, room = closer, room - size
    return lines


def _fill(text: str, size: float, room: float) -> list[str]:
    lines: list[str] = []
    wide, most = 0, 100 * room / size
    for word in text.split():
        more = _width(word)
        if lines and wide + _SPACE + more <= most:
            lines[-1] += f" {word}"
            wide += _SPACE + more
        else:
            lines.append(shorten(word, size, room))
            wide = _width(lines[-1])
    return lines or [""]


_SPACE = _letter_width(" ")


def _attributes(given: Mapping[str, str | float | None]) -> str:
    return "".join(
        f' {key.replace("_", "-")}="{value if isinstance(value, str) else number(value)}"'
        for key, value in given.items()
        if value is not None
    )


class Sheet:
    """Collects shapes in drawing order; `finish` closes it into a Drawing."""

    def __init__(self, width: float, height: float, prefix: str) -> None:
        if not _SAFE_PREFIX.fullmatch(prefix):
            raise ValueError(
                f"prefix {prefix!r}: start with a letter and use letters, digits, _ or - "
                "(it begins every id in the drawing)"
            )
        self.width, self.height, self.prefix = width, height, prefix
        self._parts: list[str] = []
        self._patterns: dict[str, str] = {}

    def add(self, name: str, body: str = "", **attributes: str | float | None) -> None:
        """Add one element; ``stroke_width`` is written ``stroke-width``, None is left out."""
        written = _attributes(attributes)
        self._parts.append(f"<{name}{written}>{body}</{name}>" if body else f"<{name}{written}/>")

    def rect(self, x: float, y: float, width: float, height: float, **look: str | float | None) -> None:
        """Add a rectangle."""
        self.add("rect", x=x, y=y, width=max(0.1, width), height=max(0.1, height), **look)

    def line(self, x1: float, y1: float, x2: float, y2: float, **look: str | float | None) -> None:
        """Add a straight stroke, in ink unless said otherwise."""
        look.setdefault("stroke", INK)
        self.add("line", x1=x1, y1=y1, x2=x2, y2=y2, **look)

    def circle(self, x: float, y: float, radius: float, **look: str | float | None) -> None:
        """Add a circle."""
        self.add("circle", cx=x, cy=y, r=max(0.1, radius), **look)

    def path(self, steps: Iterable[str | float], **look: str | float | None) -> None:
        """Add a path given as commands and coordinates."""
        look.setdefault("fill", "none")
        self.add("path", d=" ".join(s if isinstance(s, str) else number(s) for s in steps), **look)

    def polygon(self, points: Iterable[tuple[float, float]], **look: str | float | None) -> None:
        """Add a closed polygon."""
        self.add("polygon", points=" ".join(f"{number(x)},{number(y)}" for x, y in points), **look)

    def text(
        self,
        x: float,
        y: float,
        words: str,
        size: float = 12,
        anchor: str = "start",
        **look: str | float | None,
    ) -> None:
        """Add one line of text with its baseline at y, moved sideways to stay on the sheet."""
        words = shorten(words, size, self.width - 4)
        wide = text_width(words, size)
        before = {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        x = min(max(x, before + 2), self.width - 2 - (wide - before))
        look.setdefault("fill", INK)
        if words:
            shown = None if anchor == "start" else anchor
            self.add("text", clean(words), x=x, y=y, font_size=size, text_anchor=shown, **look)

    def open_group(self, **look: str | float | None) -> None:
        """Begin a group; every attribute holds for what follows until `close_group`."""
        written = _attributes(look)
        self._parts.append(f"<g{written}>")

    def close_group(self) -> None:
        """End the group opened last."""
        self._parts.append("</g>")

    def hatch(
        self,
        name: str,
        line: str = INK,
        ground: str = "none",
        step: float = 5,
        angle: float = 45,
        weight: float = 0.8,
    ) -> str:
        """Define a hatching once and return the paint that uses it."""
        key = f"{self.prefix}-{name}"
        if key not in self._patterns:
            size = number(step)
            back = "" if ground == "none" else f'<rect width="{size}" height="{size}" fill="{ground}"/>'
            self._patterns[key] = (
                f'<pattern id="{key}" width="{size}" height="{size}" patternUnits="userSpaceOnUse" '
                f'patternTransform="rotate({number(angle)})">{back}'
                f'<line x1="0" y1="0" x2="0" y2="{size}" stroke="{line}" '
                f'stroke-width="{number(weight)}"/></pattern>'
            )
        return f"url(#{key})"

    def dots(self, name: str, ink: str, ground: str, step: float = 7) -> str:
        """Define a stipple once and return the paint that uses it."""
        key = f"{self.prefix}-{name}"
        if key not in self._patterns:
            size, half = number(step), number(step / 2)
            self._patterns[key] = (
                f'<pattern id="{key}" width="{size}" height="{size}" patternUnits="userSpaceOnUse">'
                f'<rect width="{size}" height="{size}" fill="{ground}"/>'
                f'<circle cx="{half}" cy="{half}" r="0.7" fill="{ink}"/></pattern>'
            )
        return f"url(#{key})"

    def finish(self, title: str, description: str, caption: str) -> Drawing:
        """Close the sheet into a Drawing."""
        width, height = number(self.width), number(self.height)
        one, two = f"{self.prefix}-title", f"{self.prefix}-description"
        defs = f"<defs>{''.join(self._patterns.values())}</defs>" if self._patterns else ""
        svg = (
            f'<svg xmlns="http://www.w3.org/2000/svg" class="drawing" viewBox="0 0 {width} {height}" '
            f'width="{width}" height="{height}" role="img" aria-labelledby="{one} {two}" '
            f'font-family="{FONT}">'
            f'<title id="{one}">{clean(title)}</title><desc id="{two}">{clean(description)}</desc>'
            f"{defs}{''.join(self._parts)}</svg>\n"
        )
        return Drawing(svg=svg, title=title, description=description, caption=caption)


def runs_of(numbers: Iterable[int]) -> list[tuple[int, int]]:
    """Join numbers into unbroken runs, first and last of each.

    >>> runs_of([3, 1, 2, 7])
    [(1, 3), (7, 7)]
    """
    runs: list[tuple[int, int]] = []
    for value in sorted(set(numbers)):
        if runs and value == runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], value)
        else:
            runs.append((value, value))
    return runs
