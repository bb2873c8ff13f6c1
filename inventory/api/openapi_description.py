"""What one operation of the interface is, and the parts of it that other packages bring."""

from __future__ import annotations

from dataclasses import dataclass, field
from importlib import import_module
from typing import Any

from django.conf import settings

from .openapi_schemas import Schema


@dataclass(frozen=True)
class Operation:
    """One method of one address."""

    method: str
    path: str
    summary: str
    answer: Schema
    status: int = 200
    body: Schema | None = None
    query: tuple[str, ...] = ()
    errors: tuple[int, ...] = ()
    if_match: bool = False
    headers: dict[str, Schema] = field(default_factory=dict)
    sent_as: str = "application/json"


def described_parts() -> list[Any]:
    """Modules with `operations`, `schemas` and `QUERY`, as the settings name them: this package imports none."""
    return [import_module(f"{part}_description") for part in settings.API_PARTS]
