"""What the desk's printed things share: the language asked for, and a PDF that no store between keeps."""

from __future__ import annotations

from collections.abc import Mapping

from django.http import HttpResponse

from inventory.languages import active_language
from publishing.briefs.words import LANGUAGES


def language_asked(given: Mapping[str, str]) -> str:
    """A language of printed things; the reader's own, else English, where none is asked for."""
    asked = given.get("language") or active_language()
    return asked if asked in LANGUAGES else "en"


def private_pdf(content: bytes, name: str) -> HttpResponse:
    """A PDF to keep under a name, for this reader alone."""
    response = HttpResponse(content, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{name}"'
    response["Cache-Control"] = "private, no-store"
    return response
