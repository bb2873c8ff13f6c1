"""What must be true of every drawing, whatever it shows."""

from __future__ import annotations

import pathlib
import re
import xml.etree.ElementTree as ElementTree
from functools import lru_cache

import font_source_serif_pro
from hypothesis import strategies as st
from PIL import ImageFont

from inventory.drawings.svg import Drawing
from inventory.organ.schemes import Keyboard, Rank, Scheme, Segment, Stop

WORDS = st.text(st.characters(exclude_categories=("C", "Z")), max_size=60)
"""Labels of any script; characters XML cannot hold are tried in test_svg."""
SVG = "{http://www.w3.org/2000/svg}"
FONTS = pathlib.Path(font_source_serif_pro.__file__).parent / "files"


@lru_cache(maxsize=4)
def measuring_font(italic: bool) -> ImageFont.FreeTypeFont:
    """The text face of the pages at 100 units."""
    return ImageFont.truetype(str(FONTS / f"SourceSerifPro-{'It' if italic else 'Regular'}.ttf"), 100)


def boxes_of_text(root: ElementTree.Element) -> list[tuple[str, float, float, float, float]]:
    """Words with left, top, right and bottom on the sheet, measured in the pages' own face."""
    found = []

    def walk(element: ElementTree.Element, dx: float, dy: float, scale: float) -> None:
        transform = element.get("transform", "")
        if moved := re.match(r"translate\((-?[\d.]+) (-?[\d.]+)\)(?: scale\(([\d.]+)\))?", transform):
            dx, dy = dx + scale * float(moved[1]), dy + scale * float(moved[2])
            scale *= float(moved[3] or 1)
        if element.tag == SVG + "text":
            size = float(element.get("font-size"))
            assert size * scale >= 11 - 1e-9, f"{element.text!r} is set at {size * scale}, under 11"
            wide = measuring_font(element.get("font-style") == "italic").getlength(element.text) * size / 100
            x = float(element.get("x"))
            x -= {"start": 0, "middle": wide / 2, "end": wide}[element.get("text-anchor", "start")]
            y = float(element.get("y"))
            found.append(
                (
                    element.text,
                    dx + scale * x,
                    dy + scale * (y - 0.8 * size),
                    dx + scale * (x + wide),
                    dy + scale * (y + 0.25 * size),
                )
            )
        for child in element:
            walk(child, dx, dy, scale)

    walk(root, 0.0, 0.0, 1.0)
    return found


def check_drawing(drawing: Drawing, prefix: str) -> ElementTree.Element:
    """Assert what holds for every drawing; returns the parsed SVG for further questions."""
    root = ElementTree.fromstring(drawing.svg)
    assert root.tag == SVG + "svg"
    assert root.get("role") == "img"
    named = root.get("aria-labelledby").split()
    title, description = root.find(SVG + "title"), root.find(SVG + "desc")
    assert named == [title.get("id"), description.get("id")]
    assert title.text == drawing.title and drawing.title.strip()
    assert description.text == drawing.description and drawing.description.strip()
    ids = [element.get("id") for element in root.iter() if element.get("id")]
    assert len(ids) == len(set(ids))
    assert all(each.startswith(f"{prefix}-") for each in ids)
    for used in re.findall(r"url\(#([^)]+)\)", drawing.svg):
        assert used in ids
    for element in root.iter():
        assert element.tag.removeprefix(SVG) not in {"script", "style", "image", "foreignObject", "a"}
        for name in element.attrib:
            assert name != "style" and not name.startswith("on")
            if "href" in name:  # only of a shape of this very drawing
                assert element.tag == SVG + "use" and element.get(name).removeprefix("#") in ids
    assert "http" not in drawing.svg.replace("http://www.w3.org/2000/svg", "")
    for value in re.findall(r'"(-?\d+\.\d+)"', drawing.svg):
        assert len(value.split(".")[1]) <= 1 or value == "0.45" or value == "0.35", value
    left, top, width, height = (float(part) for part in root.get("viewBox").split())
    assert (left, top) == (0, 0)
    for words, x0, y0, x1, y1 in boxes_of_text(root):
        assert x0 >= -0.5 and x1 <= width + 0.5, (
            f"{words!r} runs out at the side: {x0:.1f}–{x1:.1f} of {width}"
        )
        assert y0 >= -0.5 and y1 <= height + 0.5, (
            f"{words!r} runs out above or below: {y0:.1f}–{y1:.1f} of {height}"
        )
    return root


def one_rank_scheme(
    keys: int, pipes: int, intervals: list[int], low: int = 36, device: str | None = "flap-valves"
) -> Scheme:
    """One keyboard, one rank, one stop for each interval."""
    keyboard = Keyboard("I", tuple(range(36, 36 + keys)))
    rank = Rank("Row", pipes, tuple(range(low, low + pipes)))
    stops = tuple(Stop(f"s{n}", "I", f"Stop {n}") for n in range(len(intervals)))
    segments = tuple(
        Segment(f"s{n}", (1, keys), "Row", interval=interval, device=device)
        for n, interval in enumerate(intervals)
    )
    return Scheme((keyboard,), (rank,), stops, segments)
