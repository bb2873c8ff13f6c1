"""Amounts of money as people read them."""

from __future__ import annotations


def say_amount(amount: int, currency: str = "") -> str:
    """Whole units in groups of three, held together by spaces that do not break.

    >>> say_amount(1234567, "XTS").replace(chr(160), "_")
    '1_234_567_XTS'
    """
    figure = f"{amount:,}".replace(",", "\u00a0")
    return f"{figure}\u00a0{currency}" if currency else figure
