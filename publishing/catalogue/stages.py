"""A stage of an export: pages and files that are made from the same things, and are left alone together."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any


def _nothing() -> None:
    return None


def _forget(_result: Any) -> None:
    return None


@dataclass(frozen=True)
class Stage:
    """What it is called, what it is made from (by name: parts, records, other stages), and how."""

    name: str
    inputs: tuple[str, ...]
    make: Callable[[], Iterator[tuple[str, bytes | None]]]
    result: Callable[[], Any] = _nothing
    """What it leaves for other stages once made; plain enough for JSON."""
    recall: Callable[[Any], None] = _forget
    """Takes what it left when last made, where it is not made now."""
