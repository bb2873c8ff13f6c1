"""Pictures and drawings for print: upright, small enough for paper, without anything they carried."""

from __future__ import annotations

import io
import warnings

from django.core.files.storage import default_storage
from PIL import Image, ImageOps

from publishing.catalogue.pictures import FORMATS
from publishing.disclosure.values import PictureValue

WIDEST = 1100


def print_picture(value: PictureValue) -> bytes | None:
    """The picture as a JPEG on a fresh canvas; None where its file is not there or cannot be read."""
    try:
        with default_storage.open(value.file) as file:
            original = file.read()
        with warnings.catch_warnings():
            warnings.simplefilter("error", Image.DecompressionBombWarning)
            with Image.open(io.BytesIO(original), formats=FORMATS) as opened:
                opened.draft("RGB", (WIDEST * 2, WIDEST * 2))
                flat = ImageOps.exif_transpose(opened).convert("RGBA")
    except (OSError, ValueError, Image.DecompressionBombError, Image.DecompressionBombWarning):
        return None
    size = (min(WIDEST, flat.width), max(1, round(flat.height * min(1, WIDEST / flat.width))))
    fresh = Image.new("RGB", size, "white")
    small = flat.resize(size, Image.Resampling.LANCZOS)
    fresh.paste(small, mask=small.getchannel("A"))
    out = io.BytesIO()
    fresh.save(out, "JPEG", quality=84, optimize=True)
    return out.getvalue()


class PrintPictures:
    """Pictures of one brief, each made once however often the pages are set."""

    def __init__(self) -> None:
        self._made: dict[str, bytes | None] = {}

    def make(self, value: PictureValue) -> bytes | None:
        """The picture for print, or None where there is none."""
        if value.file not in self._made:
            self._made[value.file] = print_picture(value)
        return self._made[value.file]
