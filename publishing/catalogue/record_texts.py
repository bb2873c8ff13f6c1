"""Texts of the record on a page: in the page's language where there is one, else marked with their own."""

from __future__ import annotations

from collections.abc import Iterable

from django.conf import settings
from markupsafe import Markup

from inventory.languages import active_language


def told(text: str, others: Iterable[tuple[str, str]] = ()) -> str:
    """A text in the page's language, else in the record's own: for titles and descriptions."""
    return dict(others).get(active_language(), text)


def marked(text: str, others: Iterable[tuple[str, str]] = ()) -> str:
    """The same for the body of a page, where a text in another language says which it is."""
    found = dict(others).get(active_language())
    if found or not text or active_language() == settings.RECORD_LANGUAGE:
        return found or text
    return Markup('<span lang="{}">{}</span>').format(settings.RECORD_LANGUAGE, text)


def marked_english(text: str) -> str:
    """An explanation that exists in English only, marked as such on pages of other languages."""
    return text if not text or active_language() == "en" else Markup('<span lang="en">{}</span>').format(text)


def record_language() -> Markup:
    """The attribute of an element whose texts are the record's, where the page has another language."""
    if active_language() == settings.RECORD_LANGUAGE:
        return Markup("")
    return Markup(' lang="{}"').format(settings.RECORD_LANGUAGE)
