"""What is wrong with a date, as a sentence that can be translated."""

from typing import Any


def gettext_noop(text: str) -> str:
    """Mark a text for translators; the pages translate it when they show it."""
    return text


CONTEXT_ENDS = "\x04"
"""What catalogues of words put between the context of a sentence and the sentence."""


def pgettext_noop(context: str, text: str) -> str:
    """Mark a text whose translation depends on where it stands; catalogues keep it under both joined."""
    return f"{context}{CONTEXT_ENDS}{text}"


class EdtfError(ValueError):
    """A text is no EDTF date: `template` and `values` make the sentence, in any language."""

    def __init__(self, template: str, **values: Any) -> None:
        self.template = template
        self.values = {name: shorten(value) for name, value in values.items()}
        super().__init__(template % self.values)


def shorten(value: Any, longest: int = 60) -> Any:
    """Cut a long text so that an error stays one readable line."""
    if isinstance(value, str) and len(value) > longest:
        return value[: longest - 1] + "…"
    return value
