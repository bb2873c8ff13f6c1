"""Boxes of forms written as text: a template for every choice of a list cost more than the list of records."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe


def _attributes(values: Mapping[str, Any]) -> str:
    """Attributes as Django's own templates write them: None and False are left out, True stands alone."""
    return "".join(
        f" {name}" if value is True else f' {name}="{conditional_escape(value)}"'
        for name, value in values.items()
        if value is not None and value is not False
    )


class PlainSelect(forms.Select):
    """A list to choose from, the same to the letter as Django's."""

    def render(
        self, name: str, value: Any, attrs: dict[str, Any] | None = None, renderer: Any = None
    ) -> SafeString:
        choices = list(self.choices)
        if any(isinstance(label, list | tuple) for _value, label in choices):
            return super().render(name, value, attrs, renderer)
        chosen = self.format_value(value)[:1]
        lines = []
        for one, label in choices:
            text = "" if one is None else str(one)
            mark = " selected" if text in chosen else ""
            chosen = [] if mark else chosen
            lines.append(
                f'  <option value="{conditional_escape(text)}"{mark}>{conditional_escape(label)}</option>\n\n'
            )
        own = _attributes(self.build_attrs(self.attrs, attrs))
        return mark_safe(  # noqa: S308
            f'<select name="{conditional_escape(name)}"{own}>\n{"".join(lines)}</select>'
        )
