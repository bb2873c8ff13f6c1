"""What the pure code told in English, in the language that is active."""

from __future__ import annotations

from django.utils.translation import gettext, ngettext

from inventory.organ.sentences import say_anew


def in_words(text: str) -> str:
    """A message of the organ's code in the reader's language; texts of people stay as they are."""
    return say_anew(text, _translate)


def _translate(template: str, plural: str, number: int) -> str:
    return ngettext(template, plural, number) if plural else gettext(template)
