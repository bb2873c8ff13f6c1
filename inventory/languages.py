"""The language a reader is spoken to in."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from functools import lru_cache, wraps
from typing import TYPE_CHECKING, ParamSpec, TypeVar

from django.utils.functional import Promise, lazy
from django.utils.translation import get_language

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise


def active_language() -> str:
    """The code of the language that is active, without its country; English where none is."""
    return str(get_language() or "en").partition("-")[0]


Places = ParamSpec("Places")
Said = TypeVar("Said")


def say_once(function: Callable[Places, Said]) -> Callable[Places, Said]:
    """Words that depend on nothing but few short arguments and the language that is active, made once for each.

    Whoever asks must not change what is said.
    """

    @lru_cache(maxsize=2048)
    def kept(_language: str, *given: Places.args, **named: Places.kwargs) -> Said:
        return function(*given, **named)

    @wraps(function)
    def said(*given: Places.args, **named: Places.kwargs) -> Said:
        return kept(get_language() or "", *given, **named)

    return said


def in_language(text: str, others: Mapping[str, str] | Iterable[tuple[str, str]]) -> str:
    """A text of the record as it is put in the language that is active, or as it was written."""
    return dict(others).get(active_language()) or text


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
