"""What no text of the record may hold: signs that cannot be seen, printed, kept or exported everywhere."""

from __future__ import annotations

import re
from typing import Any

from django.core.exceptions import ValidationError
from django.db import models
from django.utils.translation import gettext as _

UNSEEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\x80-\x9f\ud800-\udfff\ufffe\uffff]")
"""Control characters but tabs and ends of lines, halves of characters, what is no character."""
LONGEST_TEXT = 200_000
"""Characters of a text without a limit of its own: about 80 printed pages, more than any contract or survey has."""


def check_texts(row: models.Model) -> None:
    """Raise `ValidationError` beside the field that holds such a sign, or far more text than anybody reads."""
    faults = {}
    for field in row._meta.concrete_fields:
        value = getattr(row, field.attname)
        if isinstance(field, models.FileField) or not value or not isinstance(value, str | list | dict):
            continue
        length = len(value) if isinstance(value, str) else _length_inside(value)
        most = field.max_length if isinstance(field, models.TextField) and field.max_length else LONGEST_TEXT
        if length > most:
            faults[field.name] = _(
                "This is too long: %(length)d characters, of %(most)d at most. Keep the whole as a file and write here "
                "where it is."
            ) % {"length": length, "most": most}
            continue
        found = find_unseen(value)
        if found is not None:
            faults[field.name] = _(
                "A sign that cannot be shown (U+%(code)04X) stands in the text; type it again without it."
            ) % {"code": ord(found)}
    if faults:
        raise ValidationError(faults)


def find_unseen(value: Any) -> str | None:
    """The first such sign in a text, or in the texts of a structure."""
    if isinstance(value, str):
        found = UNSEEN.search(value)
        return found.group() if found else None
    inside = (
        [*value, *value.values()] if isinstance(value, dict) else value if isinstance(value, list) else []
    )
    return next((found for one in inside if (found := find_unseen(one)) is not None), None)


def _length_inside(value: Any) -> int:
    """Characters of all texts in a structure together."""
    if isinstance(value, str):
        return len(value)
    inside = (
        [*value, *value.values()] if isinstance(value, dict) else value if isinstance(value, list) else []
    )
    return sum(_length_inside(one) for one in inside)


def plain_line(text: str) -> str:
    """A reason for the history without such signs: it is no reason to refuse a save."""
    return UNSEEN.sub("", text)
