"""Amounts and plain figures in the pages of works."""

from __future__ import annotations

from typing import Any

from django import template
from django.urls import reverse

from inventory.models import Root
from inventory.planning.money import say_amount

register = template.Library()


@register.filter
def amount(value: int, currency: str = "") -> str:
    """Whole units of currency in groups of three."""
    return say_amount(value, currency)


@register.filter
def plain(value: Any) -> str:
    """A figure without trailing noughts."""
    return f"{float(value):.2f}".rstrip("0").rstrip(".")


@register.simple_tag
def works_row_url(root: Root, rows: str, *codes: str) -> str:
    """Where a row of the works is edited."""
    address = {"kind": "instruments", "reference": root.reference, "rows": rows, "code": "/".join(codes)}
    return reverse("row-edit", kwargs=address)
