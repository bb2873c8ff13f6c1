"""Stylesheet and scripts as they travel: without what only a maintainer reads."""

from __future__ import annotations

import re

_BLOCK = re.compile(r"/\*.*?\*/", re.DOTALL)
_TEXT = re.compile(r'"[^"]*"')


def compact_styles(text: str) -> str:
    """The stylesheet without comments and idle blanks; texts between quotation marks stay as they are."""
    kept: list[str] = []

    def keep(found: re.Match[str]) -> str:
        kept.append(found[0])
        return f'"{len(kept) - 1}"'

    bare = _TEXT.sub(keep, _BLOCK.sub("", text))
    bare = re.sub(r"\s+", " ", bare)
    bare = re.sub(r"\s*([{};,])\s*", r"\1", bare)
    bare = re.sub(r":\s+", ":", bare).replace(";}", "}").strip()
    return _TEXT.sub(lambda found: kept[int(found[0][1:-1])], bare) + "\n"


_SPACED = re.compile(r"[ \t]*([{}()\[\],;:?=<>&|!*])[ \t]*")
_SAID = re.compile(r'"(?:[^"\\\n]|\\.)*"|`[^`\n]*`')
_PATTERN = re.compile(r"[(=,:] ?/[^/ \n]")


def compact_script(text: str) -> str:
    """A script without the comments that fill lines of their own, empty lines and idle blanks.

    Lines stay lines, so that nothing depends on where a statement ends; texts stay as they are, and
    so does a line with a pattern in it. A text that goes over a line's end is refused.
    """
    bare = re.sub(r"^[ \t]*/\*.*?\*/[ \t]*$", "", text, flags=re.DOTALL | re.MULTILINE)
    lines = []
    for line in bare.splitlines():
        stripped = line.strip()
        if stripped.count("`") % 2:
            raise ValueError(
                f"a script's text goes over the end of a line, and would change: {stripped[:60]}"
            )
        if stripped and not stripped.startswith("//"):
            lines.append(stripped if _PATTERN.search(stripped) else _squeezed(stripped))
    return "\n".join(lines) + "\n"


def _squeezed(line: str) -> str:
    parts, at = [], 0
    for said in _SAID.finditer(line):
        parts += [_SPACED.sub(r"\1", line[at : said.start()]), said[0]]
        at = said.end()
    return "".join([*parts, _SPACED.sub(r"\1", line[at:])])
