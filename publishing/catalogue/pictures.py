"""Pictures as the catalogue shows them: made anew from the original, without any of its metadata."""

from __future__ import annotations

import hashlib
import io
import json
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.files.storage import default_storage
from django.utils.html import escape
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from PIL import Image, ImageOps

from inventory.languages import said_later, say_once
from publishing.disclosure.values import PictureValue
from publishing.formats.licences import licence_of

WIDTHS = {"large": 1400, "medium": 960, "small": 640}
ENDINGS: dict[str, dict[str, Any]] = {
    "jpg": {"format": "JPEG", "quality": 84, "optimize": True, "progressive": True},
    "webp": {"format": "WEBP", "quality": 82, "method": 3},
}
BETTER: dict[str, Any] = {"format": "AVIF", "quality": 60, "speed": 8, "max_threads": 1}
"""At this quality as like the original as WebP above (by structural similarity over the demo's pictures)."""
PAYS_BELOW = 0.85
"""AVIF is kept where its three sizes together are less than this part of WebP's; else it is one request for nothing."""
Image.MAX_IMAGE_PIXELS = 60_000_000
FORMATS = ("JPEG", "PNG", "WEBP", "TIFF")


class PictureMissing(Exception):
    """A record names a picture that is not in the store or cannot be read."""


@dataclass(frozen=True)
class Shot:
    """A picture ready for a page."""

    src: str
    thumbnail: str
    sources: tuple[tuple[str, tuple[tuple[str, int], ...]], ...]
    """Form (jpg, webp, avif where it pays) with the path and width of each size, widest first."""
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

    @property
    def better(self) -> tuple[str, ...]:
        """The forms a browser is to try before JPEG, the smallest first."""
        return tuple(form for form, _sizes in reversed(self.sources) if form != "jpg")

    def srcset(self, form: str, up: str) -> str:
        """What a browser chooses from, in one form; a picture narrower than a size is named once."""
        sizes = {width: path for path, width in reversed(dict(self.sources)[form])}
        return ", ".join(f"{up}{path} {width}w" for width, path in sorted(sizes.items()))


def derive(original: bytes, rights: bytes = b"") -> dict[str, bytes]:
    """The picture in every width and form, by the end of its file name.

    Turned upright, on a fresh canvas that carries nothing along but the rights, as XMP.
    """
    widest = max(WIDTHS.values())
    with warnings.catch_warnings():
        warnings.simplefilter("error", Image.DecompressionBombWarning)
        with Image.open(io.BytesIO(original), formats=FORMATS) as opened:
            opened.draft("RGB", (widest * 2, widest * 2))
            upright = ImageOps.exif_transpose(opened)
            flat = upright.convert("RGBA")
    forms = ENDINGS | ({"avif": BETTER} if settings.CATALOGUE_AVIF else {})
    made = {}
    for name, width in WIDTHS.items():
        height = max(1, round(flat.height * min(1, width / flat.width)))
        size = (min(width, flat.width), height)
        fresh = Image.new("RGB", size, "white")
        small = flat.resize(size, Image.Resampling.LANCZOS)
        fresh.paste(small, mask=small.getchannel("A"))
        for ending, form in forms.items():
            out = io.BytesIO()
            fresh.save(out, **form, **({"xmp": rights} if rights else {}))
            made[f"{name}.{ending}"] = out.getvalue()
    if settings.CATALOGUE_AVIF and _bytes_of(made, "avif") >= PAYS_BELOW * _bytes_of(made, "webp"):
        made = {name: content for name, content in made.items() if not name.endswith(".avif")}
    return made


def _bytes_of(made: dict[str, bytes], ending: str) -> int:
    return sum(len(content) for name, content in made.items() if name.endswith(f".{ending}"))


def rights_packet(credit: str, licence: str) -> bytes:
    """Whose picture it is and what may be done with it, as XMP (ISO 16684-1): no date, no place, no program."""
    known = licence_of(licence)
    words = escape(" · ".join(filter(None, [credit, licence])))
    address = f' xmpRights:WebStatement="{escape(known.address)}"' if known.address else ""
    return (
        '<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">'
        '<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" '
        f'xmlns:xmpRights="http://ns.adobe.com/xap/1.0/rights/" xmpRights:Marked="True"{address}>'
        f'<dc:rights><rdf:Alt><rdf:li xml:lang="x-default">{words}</rdf:li></rdf:Alt></dc:rights>'
        f"<dc:creator><rdf:Seq><rdf:li>{escape(credit)}</rdf:li></rdf:Seq></dc:creator>"
        "</rdf:Description></rdf:RDF></x:xmpmeta>"
    ).encode()


class PictureMaker:
    """Derives each picture once for an export and remembers it by the hash of its original."""

    def __init__(self, keep: Path | None = None) -> None:
        self._fresh: dict[str, bytes] = {}
        self._seen: dict[str, tuple[str, ...]] = {}
        """The forms each picture has, by how its paths begin."""
        self._stems: dict[tuple[str, str, str], str] = {}
        """Pictures made already, by file, credit and licence: every language shows the same."""
        self.keep = keep

    def make(self, value: PictureValue) -> Shot:
        """The picture's files (given by `fresh_files`) and what a page prints beside it."""
        asked = (value.file, value.credit, value.licence)
        try:
            if asked not in self._stems:
                self._stems[asked] = self._derived(value)
        except (OSError, Image.DecompressionBombError, Image.DecompressionBombWarning, ValueError) as error:
            raise PictureMissing(
                said_later(
                    gettext_lazy(
                        "The picture %(file)s (%(shows)s) cannot be read: %(problem)s. Put the file back into the "
                        "media folder, or take the picture out of the record; nothing was published."
                    ),
                    file=value.file,
                    shows=value.shows,
                    problem=error,
                )
            ) from None
        stem = self._stems[asked]
        scale = min(1, WIDTHS["large"] / value.width)
        return Shot(
            src=f"{stem}large.jpg",
            thumbnail=f"{stem}small.jpg",
            sources=tuple(
                (
                    ending,
                    tuple(
                        (f"{stem}{name}.{ending}", min(width, value.width)) for name, width in WIDTHS.items()
                    ),
                )
                for ending in self._seen[stem]
            ),
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

    def fresh_files(self) -> list[tuple[str, bytes]]:
        """Files made since the last call, each once in an export: they are not all held in memory."""
        made = sorted(self._fresh.items())
        self._fresh.clear()
        return made

    def _derived(self, value: PictureValue) -> str:
        """How the paths of a picture's files begin; its files are made unless another value has made them."""
        with default_storage.open(value.file) as file:
            original = file.read()
        rights = rights_packet(value.credit, value.licence)
        digest = hashlib.sha256(hashlib.sha256(original).digest() + rights).hexdigest()[:20]
        stem = f"pictures/{digest}-"
        if stem not in self._seen:
            made = self._kept(digest, original, rights)
            self._seen[stem] = tuple(
                ending for ending in (*ENDINGS, "avif") if any(name.endswith(f".{ending}") for name in made)
            )
            self._fresh |= {f"{stem}{name}": content for name, content in made.items()}
        return stem

    def _kept(self, digest: str, original: bytes, rights: bytes) -> dict[str, bytes]:
        """The derived files: from an earlier export's store where it has them all, else made now."""
        if self.keep is None:
            return derive(original, rights)
        # Written last: with it every form that pays is there, and no other was ever wanted.
        mark = "whole" if settings.CATALOGUE_AVIF else "without-avif"
        whole = self.keep / f"{digest}-{mark}"
        if whole.exists():
            names = whole.read_text().split()
            stored = {name: self.keep / f"{digest}-{name}" for name in names}
            if names and all(path.exists() for path in stored.values()):
                return {name: path.read_bytes() for name, path in stored.items()}
        made = derive(original, rights)
        self.keep.mkdir(parents=True, exist_ok=True)
        for name, content in (*made.items(), (mark, "\n".join(made).encode())):
            path = self.keep / f"{digest}-{name}"
            part = path.with_name(path.name + ".part")
            part.write_bytes(content)
            part.replace(path)
        return made


@say_once
def picture_words() -> str:
    """What the script `pictures.js` says beside an enlarged picture."""
    words = {
        "label": _("Picture, enlarged"), "close": _("Close"), "earlier": _("Earlier"), "later": _("Later"),
        "place": _("{n} of {all}"),
    }  # fmt: skip
    return json.dumps(words, ensure_ascii=False)


def region_marks(value: PictureValue) -> str:
    """Frames and numbers over a picture; the list below it carries the words."""
    if not value.regions:
        return ""
    width, height = 1000.0, 1000.0 * value.height / value.width
    frames, rings, numbers = [], [], []
    for region in value.regions:
        x, y = round(region.x * width), round(region.y * height)
        frames.append(f"M{x} {y}h{round(region.width * width)}v{round(region.height * height)}H{x}z")
        rings.append(f"M{x + 20} {y + 20}h0")
        numbers.append(f'<text x="{x + 20}" y="{y + 27}">{escape(region.order)}</text>')
    # Rings are the round ends of strokes without length: a white disc under a red one.
    return (
        f'<svg class="over" viewBox="0 0 {width:.0f} {height:.0f}" aria-hidden="true" focusable="false">'
        f'<path class="mark" d="{"".join(frames)}"/><path class="disc" d="{"".join(rings)}"/>'
        f'<path class="disc inner" d="{"".join(rings)}"/><g class="number-text" text-anchor="middle">'
        f"{''.join(numbers)}</g></svg>"
    )
