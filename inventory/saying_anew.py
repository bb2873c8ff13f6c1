"""What the pure code told in English, in the language that is active."""

from __future__ import annotations

from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext, ngettext

from inventory.organ.sentences import say_anew


def in_words(text: str) -> str:
    """A message of the organ's code in the reader's language; texts of people stay as they are."""
    return say_anew(text, _translate)


def field_in_words(field: Any) -> str:
    """The name of a model's field; a link without a name of its own is called after what it leads to."""
    related = field.related_model if field.is_relation else None
    if (
        related is not None
        and field.name == related._meta.model_name
        and not isinstance(field.verbose_name, Promise)
    ):
        return str(related._meta.verbose_name)
    return str(getattr(field, "verbose_name", field.name))


def _translate(template: str, plural: str, number: int) -> str:
    return ngettext(template, plural, number) if plural else gettext(template)
