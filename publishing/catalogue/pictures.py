"""Pictures as the catalogue shows them: made anew from the original, without any of its metadata."""

from __future__ import annotations

import hashlib
import io
import warnings
from dataclasses import dataclass
from pathlib import Path

from django.core.files.storage import default_storage
from django.utils.html import escape
from PIL import Image, ImageOps

from publishing.disclosure.values import PictureValue

WIDTHS = {"large": 1400, "small": 640}
Image.MAX_IMAGE_PIXELS = 60_000_000
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")


class PictureMissing(Exception):
    """A record names a picture that is not in the store or cannot be read."""


@dataclass(frozen=True)
class Shot:
    """A picture ready for a page."""

    src: str
    thumbnail: str
    width: int
    height: int
    shows: str
    caption: str
    is_drawn: bool
    when: object
    credit: str
    licence: str
    regions: tuple[object, ...]
    marks: str
    """Numbers of the regions as an SVG laid over the picture."""


def derive(original: bytes, width: int) -> bytes:
    """A JPEG of at most this width: turned upright, in sRGB, on a fresh canvas that carries nothing along."""
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        with Image.open(io.BytesIO(original), formats=FORMATS) as opened:
            opened.draft("RGB", (width * 2, width * 2))
            upright = ImageOps.exif_transpose(opened)
            flat = upright.convert("RGBA")
    height = max(1, round(flat.height * min(1, width / flat.width)))
    size = (min(width, flat.width), height)
    fresh = Image.new("RGB", size, "white")
    small = flat.resize(size, Image.Resampling.LANCZOS)
    fresh.paste(small, mask=small.getchannel("A"))
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=84, optimize=True, progressive=True)
    return out.getvalue()


class PictureMaker:
    """Derives each picture once for an export and remembers it by the hash of its original."""

    def __init__(self, keep: Path | None = None) -> None:
        self.files: dict[str, bytes] = {}
        self.keep = keep

    def make(self, value: PictureValue) -> Shot:
        """The picture's files (added to `files`) and what a page prints beside it."""
        try:
            with default_storage.open(value.file) as file:
                original = file.read()
            digest = hashlib.sha256(original).hexdigest()[:20]
            paths = {name: f"pictures/{digest}-{name}.jpg" for name in WIDTHS}
            for name, width in WIDTHS.items():
                if paths[name] not in self.files:
                    self.files[paths[name]] = self._kept(paths[name], original, width)
        except (OSError, Image.DecompressionBombError, Image.DecompressionBombWarning, ValueError) as error:
            raise PictureMissing(
                f"The picture {value.file} ({value.shows}) cannot be read: {error}. Put the file back into the "
                "media folder, or take the picture out of the record; nothing was published."
            ) from None
        scale = min(1, WIDTHS["large"] / value.width)
        return Shot(
            src=paths["large"],
            thumbnail=paths["small"],
            width=round(value.width * scale),
            height=round(value.height * scale),
            shows=value.shows,
            caption=value.caption,
            is_drawn=value.is_drawn,
            when=value.when,
            credit=value.credit,
            licence=value.licence,
            regions=value.regions,
            marks=region_marks(value),
        )

    def _kept(self, path: str, original: bytes, width: int) -> bytes:
        """The derived bytes: from an earlier export's store where it has them, else made now."""
        if self.keep is None:
            return derive(original, width)
        stored = self.keep / Path(path).name
        if stored.exists():
            return stored.read_bytes()
        made = derive(original, width)
        self.keep.mkdir(parents=True, exist_ok=True)
        part = stored.with_suffix(".part")
        part.write_bytes(made)
        part.replace(stored)
        return made


def region_marks(value: PictureValue) -> str:
    """Frames and numbers over a picture; the list below it carries the words."""
    if not value.regions:
        return ""
    width, height = 1000.0, 1000.0 * value.height / value.width
    parts = [
        f'<svg class="over" viewBox="0 0 {width:.0f} {height:.0f}" aria-hidden="true" focusable="false">'
    ]
    for region in value.regions:
        x, y = region.x * width, region.y * height
        w, h = region.width * width, region.height * height
        parts.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{w:.1f}" height="{h:.1f}" rx="3" class="mark"/>'
            f'<circle cx="{x + 20:.1f}" cy="{y + 20:.1f}" r="17" class="number-ring"/>'
            f'<text x="{x + 20:.1f}" y="{y + 27:.1f}" text-anchor="middle" class="number-text">'
            f"{escape(region.order)}</text>"
        )
    parts.append("</svg>")
    return "".join(parts)
