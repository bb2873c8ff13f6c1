"""The language a reader is spoken to in."""

from __future__ import annotations

from django.utils.translation import get_language


def active_language() -> str:
    """The code of the language that is active, without its country; English where none is."""
    return str(get_language() or "en").partition("-")[0]
