"""Scripts of single pages (search, lists, pictures), each under a name that changes when it does."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from functools import cache
from importlib.resources import files

from .compact import compact_script

NAMES = ("searching", "search", "lists", "pictures")


@cache
def page_script(name: str) -> str:
    """The path of a script below the root of the site."""
    return _made(name)[0]


def page_script_files() -> Iterator[tuple[str, bytes]]:
    """Every script with its path."""
    for name in NAMES:
        yield _made(name)


def hashed_path(name: str, content: bytes) -> str:
    """Where a script of these bytes lies."""
    return f"assets/{name}.{hashlib.sha256(content).hexdigest()[:10]}.js"


@cache
def _made(name: str) -> tuple[str, bytes]:
    written = (files("publishing.catalogue") / "assets" / f"{name}.js").read_text(encoding="utf-8")
    content = compact_script(written).encode()
    return hashed_path(name, content), content
