"""What the templates of the desk look up."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import template

register = template.Library()


@register.filter
def of(table: Mapping[str, Any], key: str) -> Any:
    """The value of a key, empty where there is none."""
    return table.get(key, "")
