"""Paint for the invented pictures: a canvas with light, wood, metal and soft shadow.

Everything is drawn at twice its size and reduced, so that edges are smooth. The pictures are
illustrations of invented instruments, never photographs, and carry a line that says so.
"""

from __future__ import annotations

import pathlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import font_source_serif_pro
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFilter, ImageFont

Colour = tuple[float, float, float]
"""Red, green and blue, each from 0 to 1."""
Pixels = NDArray[np.float32]
Point = tuple[float, float]

WIDTH, HEIGHT = 1600, 1200
FINER = 2


# Signs the text face lacks, written as a hand would write them.
_PLAIN = str.maketrans({"♯": "#", "♭": "b", "⅗": "3/5"})


@dataclass(frozen=True)
class RegionBox:
    """A labelled part of a picture; left, top, width and height are fractions of the whole."""

    label: str
    x: float
    y: float
    width: float
    height: float


def region(label: str, left: float, top: float, right: float, bottom: float) -> RegionBox:
    """Make a region from pixel edges, kept inside the picture and rounded to four places."""
    left, right = sorted((min(max(left, 0), WIDTH), min(max(right, 0), WIDTH)))
    top, bottom = sorted((min(max(top, 0), HEIGHT), min(max(bottom, 0), HEIGHT)))
    x, y = round(left / WIDTH, 4), round(top / HEIGHT, 4)
    return RegionBox(label, x, y, round(right / WIDTH - x, 4), round(bottom / HEIGHT - y, 4))


@lru_cache(maxsize=64)
def font(size: int, face: str = "Regular") -> ImageFont.FreeTypeFont:
    """The catalogue's own text face in a size of the enlarged canvas."""
    files = pathlib.Path(font_source_serif_pro.__file__).parent / "files"
    return ImageFont.truetype(str(files / f"SourceSerifPro-{face}.ttf"), size)


def mix(one: Colour, two: Colour, share: float) -> Colour:
    """Mix two colours; share 0 is the first."""
    return tuple(a + (b - a) * share for a, b in zip(one, two, strict=True))  # type: ignore[return-value]


def _cloud(rng: np.random.Generator, width: int, height: int, across: int, down: int) -> Pixels:
    """Smooth noise with so many lumps across and down, from 0 to 1."""
    small = rng.random((max(2, down), max(2, across)), dtype=np.float32)
    image = Image.fromarray(small).resize((width, height), Image.Resampling.BICUBIC)
    return np.clip(np.asarray(image, dtype=np.float32), 0, 1)


def wood_grain(
    rng: np.random.Generator,
    width: int,
    height: int,
    colour: Colour,
    upright: bool = True,
    grain: float = 1.0,
) -> Pixels:
    """Paint a plank: fine streaks, slow bands and a few darker lines along the grain."""
    w, h = (width, height) if upright else (height, width)
    w, h = max(w, 2), max(h, 2)
    streaks = _cloud(rng, w, h, w // 3, max(2, h // 160)) * 0.5
    streaks += _cloud(rng, w, h, w // 12, max(2, h // 300)) * 0.3
    bands = _cloud(rng, w, h, max(2, w // 60), max(2, h // 500))
    x = np.linspace(0, w / 26, w, dtype=np.float32)[None, :]
    rings = 0.5 + 0.5 * np.sin(2 * np.pi * (x + 1.6 * bands))
    tone = 0.84 + 0.22 * streaks + 0.07 * rings * bands
    tone = 0.98 + (tone - 0.98) * grain
    plank = tone[..., None] * np.array(colour, dtype=np.float32)
    return plank if upright else np.ascontiguousarray(np.swapaxes(plank, 0, 1))


def metal_tone(u: Pixels) -> tuple[Pixels, Pixels]:
    """Brightness and white glint across a polished cylinder; u runs from -1 to 1."""
    body = 0.50 + 0.34 * np.exp(-(((u + 0.38) / 0.24) ** 2)) + 0.13 * np.exp(-(((u - 0.15) / 0.4) ** 2))
    body += 0.20 * np.exp(-(((u - 0.84) / 0.11) ** 2)) - 0.36 * np.abs(u) ** 5
    body -= 0.12 * np.exp(-(((u - 0.55) / 0.14) ** 2))
    glint = 0.34 * np.exp(-(((u + 0.40) / 0.085) ** 2))
    return body.astype(np.float32), glint.astype(np.float32)


class Canvas:
    """A picture under work: coordinates are those of the finished picture."""

    def __init__(self, ground: Colour) -> None:
        self.pixels: Pixels = np.empty((HEIGHT * FINER, WIDTH * FINER, 3), dtype=np.float32)
        self.pixels[:] = ground
        self.grain = 1.0

    def _mask(self, points: Sequence[Point]) -> tuple[slice, slice, Pixels] | None:
        xs, ys = [p[0] * FINER for p in points], [p[1] * FINER for p in points]
        left, right = max(int(min(xs)), 0), min(int(max(xs)) + 2, WIDTH * FINER)
        top, bottom = max(int(min(ys)), 0), min(int(max(ys)) + 2, HEIGHT * FINER)
        if left >= right or top >= bottom:
            return None
        image = Image.new("L", (right - left, bottom - top), 0)
        ImageDraw.Draw(image).polygon([(x - left, y - top) for x, y in zip(xs, ys, strict=True)], fill=255)
        return slice(top, bottom), slice(left, right), np.asarray(image, dtype=np.float32)[..., None] / 255

    def polygon(self, points: Sequence[Point], colour: Colour | Pixels, alpha: float = 1.0) -> None:
        """Fill a polygon with a colour, or with a texture that begins at its upper left corner."""
        made = self._mask(points)
        if made is None:
            return
        rows, columns, mask = made
        paint = np.asarray(colour, dtype=np.float32)
        if paint.ndim == 3:
            paint = paint[: mask.shape[0], : mask.shape[1]]
            mask = mask[: paint.shape[0], : paint.shape[1]]
            rows, columns = (
                slice(rows.start, rows.start + paint.shape[0]),
                slice(columns.start, columns.start + paint.shape[1]),
            )
        under = self.pixels[rows, columns]
        under += (paint - under) * (mask * alpha)

    def rect(
        self, left: float, top: float, right: float, bottom: float, colour: Colour, alpha: float = 1.0
    ) -> None:
        """Fill a rectangle."""
        part = self.pixels[self._span(top, bottom, HEIGHT), self._span(left, right, WIDTH)]
        part += (np.array(colour, dtype=np.float32) - part) * alpha

    @staticmethod
    def _span(low: float, high: float, limit: int) -> slice:
        return slice(max(0, round(low * FINER)), max(0, min(limit * FINER, round(high * FINER))))

    def plank(
        self, rng: np.random.Generator, left: float, top: float, right: float, bottom: float, colour: Colour,
        *, upright: bool = True, bevel: float = 2.5,
    ) -> None:  # fmt: skip
        """Lay a piece of wood with its edges catching the light from the upper left."""
        rows, columns = self._span(top, bottom, HEIGHT), self._span(left, right, WIDTH)
        part = self.pixels[rows, columns]
        if part.size == 0:
            return
        part[:] = wood_grain(rng, part.shape[1], part.shape[0], colour, upright, self.grain)
        if bevel:
            self.rect(left, top, right, top + bevel, (1, 1, 1), 0.22)
            self.rect(left, top, left + bevel, bottom, (1, 1, 1), 0.13)
            self.rect(left, bottom - bevel, right, bottom, (0, 0, 0), 0.32)
            self.rect(right - bevel, top, right, bottom, (0, 0, 0), 0.24)

    def line(self, points: Sequence[Point], colour: Colour, width: float, alpha: float = 1.0) -> None:
        """Draw a stroke with round joints."""
        xs, ys = [p[0] * FINER for p in points], [p[1] * FINER for p in points]
        edge = int(width * FINER) + 3
        left, right = max(int(min(xs)) - edge, 0), min(int(max(xs)) + edge, WIDTH * FINER)
        top, bottom = max(int(min(ys)) - edge, 0), min(int(max(ys)) + edge, HEIGHT * FINER)
        if left >= right or top >= bottom:
            return
        image = Image.new("L", (right - left, bottom - top), 0)
        moved = [(x - left, y - top) for x, y in zip(xs, ys, strict=True)]
        ImageDraw.Draw(image).line(moved, fill=255, width=max(1, round(width * FINER)), joint="curve")
        mask = np.asarray(image, dtype=np.float32)[..., None] / 255 * alpha
        part = self.pixels[top:bottom, left:right]
        part += (np.array(colour, dtype=np.float32) - part) * mask

    def ellipse(self, x: float, y: float, rx: float, ry: float, colour: Colour, alpha: float = 1.0) -> None:
        """Fill an ellipse."""
        turn = np.linspace(0, 2 * np.pi, max(16, int(3 * max(rx, ry))), endpoint=False)
        self.polygon([(x + rx * float(np.cos(t)), y + ry * float(np.sin(t))) for t in turn], colour, alpha)

    def ball(self, x: float, y: float, radius: float, colour: Colour, gloss: float = 0.5) -> None:
        """Draw a lit ball or knob."""
        self.ellipse(x, y, radius, radius, mix(colour, (0, 0, 0), 0.45))
        for step in range(1, 9):
            share = step / 9
            lit = mix(mix(colour, (0, 0, 0), 0.4), mix(colour, (1, 1, 1), 0.25), share)
            self.ellipse(
                x - radius * 0.3 * share,
                y - radius * 0.32 * share,
                radius * (1 - share * 0.85),
                radius * (1 - share * 0.85),
                lit,
            )
        self.ellipse(x - radius * 0.34, y - radius * 0.38, radius * 0.16, radius * 0.12, (1, 1, 1), gloss)

    def round_surface(
        self, centre: float, top: float, bottom: float, half_width: Callable[[Pixels], Pixels] | float, tint: Colour,
        *, dull: float = 0.0, texture: Pixels | None = None,
    ) -> None:  # fmt: skip
        """Shade a standing cylinder or cone of polished metal; `half_width` may depend on y from 0 to 1."""
        rows = self._span(top, bottom, HEIGHT)
        tall = rows.stop - rows.start
        if tall < 1:
            return
        along = np.linspace(0, 1, tall, dtype=np.float32)[:, None]
        half = half_width(along) if callable(half_width) else np.full_like(along, half_width)
        columns = self._span(centre - float(half.max()) - 1, centre + float(half.max()) + 1, WIDTH)
        x = (np.arange(columns.start, columns.stop, dtype=np.float32)[None, :] + 0.5) / FINER - centre
        u = x / half
        body, glint = metal_tone(np.clip(u, -1, 1))
        # Wood and leather turned round show the same light, but softer.
        body = (body + (0.66 - body) * 0.55 * dull) * (1 + dull * 0.2) * (1.04 - 0.14 * along)
        paint = body[..., None] * np.array(tint, dtype=np.float32) * 1.18 + (glint * (1 - dull))[..., None]
        mask = np.clip((1 - np.abs(u)) * half * FINER + 0.5, 0, 1)[..., None]
        part = self.pixels[rows, columns]
        part += (paint - part) * mask

    def shadow(
        self, points: Sequence[Point], blur: float, alpha: float, dx: float = 0, dy: float = 0
    ) -> None:
        """Cast a soft shadow of a polygon."""
        quarter = 4
        image = Image.new("L", (WIDTH // quarter, HEIGHT // quarter), 0)
        ImageDraw.Draw(image).polygon([((x + dx) / quarter, (y + dy) / quarter) for x, y in points], fill=255)
        image = image.filter(ImageFilter.GaussianBlur(blur / quarter))
        image = image.resize((WIDTH * FINER, HEIGHT * FINER), Image.Resampling.BILINEAR)
        self.pixels *= 1 - alpha * np.asarray(image, dtype=np.float32)[..., None] / 255

    def words(
        self,
        x: float,
        y: float,
        text: str,
        size: float,
        colour: Colour,
        *,
        face: str = "Regular",
        anchor: str = "mm",
        alpha: float = 1.0,
    ) -> None:
        """Write a line of text."""
        text = text.translate(_PLAIN)
        drawn = font(round(size * FINER), face)
        box = drawn.getbbox(text, anchor=anchor)
        left, top = round(x * FINER + box[0]) - 2, round(y * FINER + box[1]) - 2
        image = Image.new("L", (int(box[2] - box[0]) + 6, int(box[3] - box[1]) + 6), 0)
        ImageDraw.Draw(image).text(
            (x * FINER - left, y * FINER - top), text, font=drawn, fill=255, anchor=anchor
        )
        mask = np.asarray(image, dtype=np.float32)[..., None] / 255 * alpha
        rows = slice(max(top, 0), min(top + mask.shape[0], HEIGHT * FINER))
        columns = slice(max(left, 0), min(left + mask.shape[1], WIDTH * FINER))
        part = self.pixels[rows, columns]
        mask = mask[rows.start - top : rows.stop - top, columns.start - left : columns.stop - left]
        part += (np.array(colour, dtype=np.float32) - part) * mask

    def finish(self, light_x: float = 0.32, light_y: float = 0.25) -> Image.Image:
        """Let light fall from the upper left, sign the picture as drawn, and reduce it."""
        x = np.linspace(0, 1, WIDTH * FINER, dtype=np.float32)[None, :]
        y = np.linspace(0, 1, HEIGHT * FINER, dtype=np.float32)[:, None]
        fall = 1.07 - 0.42 * ((x - light_x) ** 2 + 0.9 * (y - light_y) ** 2)
        self.pixels *= fall[..., None]
        self.words(
            WIDTH - 18,
            HEIGHT - 16,
            "invented instrument, drawn",
            15,
            (1, 1, 1),
            face="It",
            anchor="rs",
            alpha=0.55,
        )
        whole = (np.clip(self.pixels, 0, 1) * 255 + 0.5).astype(np.uint8)
        return Image.fromarray(whole).reduce(FINER)
