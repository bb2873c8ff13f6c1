"""A drawing as a sheet for print: vector, its words in the catalogue's face, tagged; made once for its content."""

from __future__ import annotations

import hashlib
import json
import os
from pathlib import Path

import typst
from django.conf import settings

from inventory.drawings.svg import Drawing
from publishing.briefs.typesetting import flat_svg, template_source, typeset

TEMPLATE = "drawing"
KEPT = "derived-drawings"
"""Folder of sheets already made, in the data folder: an export takes them from there by their hash."""


def printed(drawing: Drawing, source_line: str, language: str) -> bytes:
    """The sheet of one drawing; the same drawing, words and program give the same bytes."""
    data = {
        "title": drawing.title,
        "caption": drawing.caption,
        "alt": drawing.description,
        "foot": source_line,
        "page_word": "",
    }
    picture = flat_svg(drawing.svg)
    kept = _kept_file(data, picture, language)
    if kept.exists():
        return kept.read_bytes()
    made = typeset(TEMPLATE, data, language, pictures={"drawing.svg": picture})
    kept.parent.mkdir(parents=True, exist_ok=True)
    part = kept.with_suffix(f".{os.getpid()}.part")  # workers may make the same sheet at the same time
    part.write_bytes(made)
    part.replace(kept)
    return made


def _kept_file(data: dict[str, str], picture: bytes, language: str) -> Path:
    told = json.dumps(data, ensure_ascii=False, sort_keys=True).encode()
    parts = (typst.__version__.encode(), template_source(TEMPLATE), told, picture, language.encode())
    digest = hashlib.sha256(b"\0".join(hashlib.sha256(part).digest() for part in parts)).hexdigest()
    return Path(settings.DATA_DIR) / KEPT / f"{digest[:32]}.pdf"
