"""The small signs between words and inside figures, as the reader's language writes them.

French puts a space before a colon and a semicolon, Spanish and French write a decimal comma, and each has its own
quotation marks. Data files keep points; only what people read comes through here.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache
from typing import Any

from django.utils.formats import get_format
from django.utils.translation import get_language, gettext, pgettext


def labelled(name: Any, value: Any) -> str:
    """A name, a colon and what it is: “Licence: CC BY”."""
    return f"{name}{colon()} {value}"


def colon() -> str:
    """The colon, with the space before it where the language has one."""
    return _sign("colon", str(get_language()))


def semicolon() -> str:
    """The semicolon, with the space before it where the language has one."""
    return _sign("semicolon", str(get_language()))


def semicolons(parts: Iterable[str]) -> str:
    """Parts of a sentence one after another."""
    return f"{semicolon()} ".join(parts)


def quoted(text: str) -> str:
    """A text between the quotation marks of the language."""
    return gettext("“%(text)s”") % {"text": text}


def in_figures(written: Any) -> str:
    """Digits as the language writes them: 1.15 becomes 1,15 in French and Spanish; every point must be a decimal one."""
    return str(written).replace(".", _decimal_sign(str(get_language())))


@cache
def _sign(which: str, _language: str) -> str:
    template = (
        pgettext("punctuation between a name and its value", "%(before)s: %(after)s")
        if which == "colon"
        else pgettext("punctuation between parts of a sentence", "%(before)s; %(after)s")
    )
    return (template % {"before": "", "after": ""}).rstrip(" ")


@cache
def _decimal_sign(language: str) -> str:
    return str(get_format("DECIMAL_SEPARATOR", lang=language, use_l10n=True))
