"""Forms as pages offer them: where they are sent, what may be typed in them."""

from __future__ import annotations

from dataclasses import dataclass, field
from html.parser import HTMLParser
from urllib.parse import urlsplit

from django.urls import resolve

TYPED = {"", "text", "search", "email", "password", "url", "tel"}


@dataclass
class Form:
    """One form: its address, how it is sent, what it is filled with, and which of its controls take text."""

    address: str
    method: str
    values: dict[str, list[str]] = field(default_factory=dict)
    typed: dict[str, int | None] = field(default_factory=dict)
    """Names of controls people type in, with the length the page allows."""
    choices: dict[str, list[str]] = field(default_factory=dict)
    """What can be chosen, by the name of the control."""

    @property
    def name(self) -> str:
        """The name of the address it is sent to."""
        return str(resolve(urlsplit(self.address).path).view_name)


class FormReader(HTMLParser):
    """The forms of one page."""

    def __init__(self, address: str) -> None:
        super().__init__()
        self.address = address
        self.forms: list[Form] = []
        self._open: Form | None = None
        self._choice = ""
        self._area = ""
        self._button = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        known = {name: value or "" for name, value in attrs}
        if tag == "form":
            self._open = Form(known.get("action") or self.address, known.get("method", "get").lower())
            self._button = False
            self.forms.append(self._open)
        form, name = self._open, known.get("name", "")
        if form is None:
            return
        if tag == "input" and name:
            self._take_input(form, name, known)
        elif tag == "textarea" and name:
            self._area = name
            form.typed[name] = int(known["maxlength"]) if "maxlength" in known else None
            form.values[name] = [""]
        elif tag == "select":
            self._choice = name
        elif tag == "option" and self._choice:
            form.choices.setdefault(self._choice, []).append(known.get("value", ""))
            if "selected" in known or self._choice not in form.values:
                form.values[self._choice] = [known.get("value", "")]
        elif tag == "button" and name and not self._button:
            form.values[name] = [known.get("value", "")]
            self._button = True

    def _take_input(self, form: Form, name: str, known: dict[str, str]) -> None:
        kind = known.get("type", "")
        if kind in ("checkbox", "radio"):
            if "checked" in known or name not in form.values:
                form.values[name] = [known.get("value", "on")]
        elif kind not in ("file", "submit", "button"):
            form.values.setdefault(name, []).append(known.get("value", ""))
            if kind in TYPED:
                form.typed[name] = int(known["maxlength"]) if "maxlength" in known else None

    def handle_endtag(self, tag: str) -> None:
        if tag == "form":
            self._open = None
        elif tag == "select":
            self._choice = ""
        elif tag == "textarea":
            self._area = ""

    def handle_data(self, data: str) -> None:
        if self._open is not None and self._area:
            self._open.values[self._area][-1] += data


def forms_on(address: str, html: str) -> list[Form]:
    """The forms of a page that have something to type in."""
    reader = FormReader(address)
    reader.feed(html)
    return [form for form in reader.forms if form.typed]
