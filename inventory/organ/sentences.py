"""English sentences that remember how they were made, so that another language can say them.

The pure code knows one language. What it tells people are texts like any other; beside the text they carry the
sentence with its places and what stood there, and the side that knows languages says it anew.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

Translate = Callable[[str, str, int], str]
"""From a sentence, its plural ("" if none) and the number that decides, to the sentence of another language."""


class Sentence(str):
    """A text with the sentence it was made from."""

    template: str
    plural: str
    number: int
    values: dict[str, Any]

    def __new__(
        cls, template: str, values: Mapping[str, Any] | None = None, plural: str = "", number: int = 1
    ) -> Sentence:
        """The text, with every place filled; shapes as ``%`` formatting has them."""
        values = dict(values or {})
        chosen = plural if plural and number != 1 else template
        made = super().__new__(cls, chosen % values if values else chosen)
        made.template, made.plural, made.number, made.values = template, plural, number, values
        return made

    def __getnewargs__(self) -> tuple[str, dict[str, Any], str, int]:  # type: ignore[override]
        return self.template, self.values, self.plural, self.number


class Joined(str):
    """Sentences one behind the other, each kept."""

    parts: tuple[str, ...]
    between: str

    def __new__(cls, parts: Iterable[str], between: str) -> Joined:
        """The text, its parts divided by a sign."""
        parts = tuple(parts)
        made = super().__new__(cls, between.join(parts))
        made.parts, made.between = parts, between
        return made

    def __getnewargs__(self) -> tuple[tuple[str, ...], str]:  # type: ignore[override]
        return self.parts, self.between


def say(template: str, **values: Any) -> Sentence:
    """A sentence with named places, such as ``%(keys)s``; a bare ``%`` is written ``%%`` if there are places.

    >>> told = say("ends at %(note)s", note="f³")
    >>> told, told.template
    ('ends at f³', 'ends at %(note)s')
    """
    return Sentence(template, values)


def say_count(number: int, one: str, many: str, **values: Any) -> Sentence:
    """A sentence with a form for one and a form for several; the number stands in the place ``%(n)s``.

    >>> say_count(1, "%(n)s key", "%(n)s keys"), say_count(12, "%(n)s key", "%(n)s keys")
    ('1 key', '12 keys')
    """
    return Sentence(one, {"n": number, **values}, many, number)


def with_values(text: str, **values: Any) -> str:
    """The same sentence with other values in the places it has; a text that is no sentence stays as it is.

    >>> with_values(say("ends at %(note)s", note="f³"), note="g³", key=56)
    'ends at g³'
    """
    if not isinstance(text, Sentence):
        return text
    given = {name: values.get(name, value) for name, value in text.values.items()}
    return Sentence(text.template, given, text.plural, text.number)


def join_sentences(parts: Iterable[str], between: str = "; ") -> Joined:
    """Several sentences as one text.

    >>> join_sentences([say("ditto"), say("as written")])
    'ditto; as written'
    """
    return Joined(parts, between)


def say_anew(text: str, translate: Translate) -> str:
    """The text in another language, with everything that stands in its places; a plain text stays as it is.

    >>> say_anew(say("ends at %(note)s", note="f³"), lambda one, many, n: {"ends at %(note)s": "jusqu’à %(note)s"}[one])
    'jusqu’à f³'
    """
    if isinstance(text, Joined):
        return text.between.join(say_anew(part, translate) for part in text.parts)
    if not isinstance(text, Sentence):
        return text
    values = {
        name: say_anew(value, translate) if isinstance(value, str) else value
        for name, value in text.values.items()
    }
    said = translate(text.template, text.plural, text.number)
    return said % values if values else said
