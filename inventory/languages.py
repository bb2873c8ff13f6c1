"""The language a reader is spoken to in."""

from __future__ import annotations

from typing import TYPE_CHECKING

from django.utils.functional import Promise, lazy
from django.utils.translation import get_language

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise


def active_language() -> str:
    """The code of the language that is active, without its country; English where none is."""
    return str(get_language() or "en").partition("-")[0]


def said_later(sentence: Promise | str, **places: object) -> _StrPromise:
    """A lazy sentence with its places filled, in the language that is active when it is read.

    For errors raised while the catalogue's language is active and read by a person of another.
    """
    return _said(sentence, {name: _as_text(value) for name, value in places.items()})


def _as_text(value: object) -> object:
    """What may be said anew later and sent to another process; everything else as it reads now."""
    return value if isinstance(value, int | float | str | Promise) else str(value)


def _fill(sentence: Promise | str, places: dict[str, object]) -> str:
    return str(sentence) % places


_said = lazy(_fill, str)
