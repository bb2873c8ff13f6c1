"""The frame round every page: rendered once for each language and role, with the reader's own words put in."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from django.template import Context
from django.template.loader import get_template
from django.urls import get_script_prefix
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language

_PLACE = re.compile("\ue000([a-z]+)\ue001")
"""Where a word of the reader's stands in a kept frame: signs of Unicode's private area, which no template has."""


def _place(name: str) -> str:
    return f"\ue000{name}\ue001"


@dataclass(frozen=True)
class _Anybody:
    """Whom a frame is made for: everybody with one role."""

    role: str
    is_superuser: bool
    is_authenticated: bool

    def __str__(self) -> str:
        return _place("person")


@dataclass(frozen=True)
class _Page:
    get_full_path: str = _place("path")


def render_frame(template: str, context: Any) -> SafeString:
    """One piece of the frame for who asks; the same as rendering its template with this context."""
    user, request = context.get("user"), context.get("request")
    is_known = user is not None and user.is_authenticated
    anybody = _Anybody(user.role, user.is_superuser, True) if is_known else _Anybody("", False, False)  # type: ignore[union-attr]
    token = context.get("csrf_token")
    pieces = _pieces(
        template,
        get_language(),
        get_script_prefix(),
        anybody,
        str(context.get("section") or ""),
        token is not None,
    )
    own = {
        "person": user,
        "asked": context.get("q") or "",
        "path": request.get_full_path() if request is not None else "",
        "token": token,
    }
    # Every second piece is the name of a place.
    return mark_safe(  # noqa: S308
        "".join(conditional_escape(own[piece]) if at % 2 else piece for at, piece in enumerate(pieces))
    )


@lru_cache(maxsize=256)
def _pieces(
    template: str, language: str | None, prefix: str, anybody: _Anybody, section: str, has_token: bool
) -> list[str]:
    """Text and names of places in turn: all that it depends on is asked for by name."""
    context = {
        "user": anybody,
        "q": _place("asked"),
        "section": section,
        "request": _Page(),
        **({"csrf_token": _place("token")} if has_token else {}),
    }
    return _PLACE.split(get_template(template).template.render(Context(context)))  # type: ignore[attr-defined]
