"""A drawing as one labelled file for a lecture: title, caption, source and licence written on it."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from django.utils.translation import gettext as _

from inventory.drawings.svg import Drawing, clean, number, wrap
from inventory.languages import active_language
from publishing.disclosure.values import PublicInstrument

from .plates import Plate
from .printed_plates import printed
from .rendering import Site

_ROOT = re.compile(r'<svg ([^>]*?)viewBox="0 0 ([\d.]+) ([\d.]+)" width="[\d.]+" height="[\d.]+"([^>]*)>')
_VARIABLE = re.compile(r"var\(--[a-z-]+, ([^()]*)\)")
_TITLE, _SMALL, _EDGE = 17.0, 12.0, 14.0


@dataclass(frozen=True)
class ShownPlate:
    """A plate with what the page needs to show and link its files."""

    plate: Plate
    file: str
    size: tuple[int, int]
    narrow_file: str
    narrow_size: tuple[int, int]
    printed: str = ""
    """The sheet for print; empty where none was made."""


def shown_plates(
    plates: Iterable[Plate], organ: PublicInstrument, site: Site
) -> list[tuple[ShownPlate, list[tuple[str, bytes]]]]:
    """Each plate with its files; the narrow one is a file only where the page shows files."""
    made = []
    for plate in plates:
        file, sheet = (f"{organ.reference}.{plate.name}.{ending}" for ending in ("svg", "pdf"))
        wide = labelled(plate.wide, organ, site)
        files = [
            (f"instruments/{file}", wide),
            (f"instruments/{sheet}", printed(plate.wide, source_line(organ, site), active_language())),
        ]
        narrow_file, narrow_size = "", (0, 0)
        if plate.apart:
            narrow_file = f"{organ.reference}.{plate.name}.narrow.svg"
            narrow = labelled(plate.narrow, organ, site)
            files.append((f"instruments/{narrow_file}", narrow))
            narrow_size = size_of(narrow)
        made.append((ShownPlate(plate, file, size_of(wide), narrow_file, narrow_size, sheet), files))
    return made


def labelled(drawing: Drawing, organ: PublicInstrument, site: Site) -> bytes:
    """The drawing on white paper with its title above, and caption, source, licence and reference below.

    Colours are written out: programs for slides do not know the variables a page themes them by.
    """
    found = _ROOT.match(drawing.svg)
    assert found is not None, "a drawing that Sheet.finish did not make"
    before, wide, high, after = found[1], float(found[2]), float(found[3]), found[4]
    body = drawing.svg[found.end() : drawing.svg.rindex("</svg>")]
    # Title and description stay the first children of the drawing, where programs look for them.
    split = body.index("</desc>") + len("</desc>")
    told, shapes = body[:split], body[split:]
    room = wide - 2 * _EDGE
    above = wrap(drawing.title, _TITLE, room)
    below = [
        *wrap(drawing.caption, _SMALL, room),
        *wrap(source_line(organ, site), _SMALL, room),
    ]
    top = 22.0 + 21 * len(above)
    total = top + high + 12 + 16 * len(below) + 8
    lines = [_line(words, 24 + 21 * row, _TITLE, "#23201c", "600") for row, words in enumerate(above)]
    lines += [
        _line(words, top + high + 20 + 16 * row, _SMALL, "#655f57", None) for row, words in enumerate(below)
    ]
    svg = (
        f'<svg {before}viewBox="0 0 {number(wide)} {number(total)}" width="{number(wide)}" '
        f'height="{number(total)}"{after}>{told}<rect width="{number(wide)}" height="{number(total)}" '
        f'fill="#ffffff"/><g transform="translate(0 {number(top)})">{shapes}</g>{"".join(lines)}</svg>\n'
    )
    return _VARIABLE.sub(r"\1", svg).encode()


def source_line(organ: PublicInstrument, site: Site) -> str:
    """Whose drawing it is, of which version of the record, and under what licence."""
    words = {"organ": organ.name, "reference": organ.reference, "version": organ.version}
    named = _("%(organ)s, %(reference)s, version %(version)s") % words
    return f"{named} · {site.name} · {site.licence}"


def size_of(content: bytes) -> tuple[int, int]:
    """Width and height of a labelled file, so that a page can keep its room."""
    found = re.search(rb'width="([\d.]+)" height="([\d.]+)"', content)
    assert found is not None
    return round(float(found[1])), round(float(found[2]))


def _line(words: str, y: float, size: float, ink: str, weight: str | None) -> str:
    heavy = f' font-weight="{weight}"' if weight else ""
    return (
        f'<text x="{number(_EDGE)}" y="{number(y)}" font-size="{number(size)}" fill="{ink}"{heavy}>'
        f"{clean(words)}</text>"
    )
