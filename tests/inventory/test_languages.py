"""Words that are said once for each language."""

from __future__ import annotations

from django.utils import translation
from django.utils.translation import gettext as _

from inventory.languages import say_once


def test_words_are_made_once_for_each_language_and_each_thing():
    asked: list[tuple[str, bool]] = []

    @say_once
    def shelf(word: str, loud: bool = False) -> str:
        asked.append((word, loud))
        return f"{_('Statistics')}: {word}{'!' if loud else ''}"

    said = []
    for language in ("en", "fr", "en", "fr"):
        with translation.override(language):
            said.append((shelf("a"), shelf("a", loud=True)))
    assert said[0] == ("Statistics: a", "Statistics: a!") and said[0] == said[2]
    assert said[1] == said[3] != said[0]
    assert len(asked) == 4
