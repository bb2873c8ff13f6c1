"""Reads printed documents back."""

import io
import re

from pypdf import PdfReader


def text_of(pdf: bytes) -> str:
    """All text, with plain spaces, lines joined."""
    text = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    return re.sub(r"\s+", " ", text.replace("\u00a0", " "))


def pages_of(pdf: bytes) -> int:
    """How many pages."""
    return len(PdfReader(io.BytesIO(pdf)).pages)
