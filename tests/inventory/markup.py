"""What a browser would take as markup in a page: anything that pages of ours never have is told."""

from __future__ import annotations

import re
from html.parser import HTMLParser

HARMFUL = {"iframe", "object", "embed", "base", "math", "video", "animate", "body2"}
ADDRESSES = ("href", "src", "action", "hx-get", "hx-post")


class Markup(HTMLParser):
    """What a browser would take as markup: anything a page of ours never has."""

    def __init__(self) -> None:
        super().__init__()
        self.wrong: list[str] = []
        self.bodies = 0
        self.text: list[str] = []
        self.values: list[str] = []
        """Values of attributes: what stands in the boxes of forms among them."""

    def handle_starttag(self, tag, attributes):
        self.bodies += tag == "body"
        for name, value in attributes:
            value = value or ""
            self.values.append(value)
            focus = name == "autofocus" and bool(
                value
            )  # a bare one stands in Django's form for a new password
            if name.startswith("on") or focus or name in ("srcdoc", "style", "formaction"):
                self.wrong.append(f"<{tag} {name}={value[:40]}>")
            # An address on another site, or one that runs: ours all begin with / ? or #.
            if name in ADDRESSES and not re.match(r"[/?#]", value or "#"):
                if not value.startswith("data:image/svg+xml,"):
                    self.wrong.append(f"<{tag} {name}={value[:40]}>")
            if name in ADDRESSES and value.startswith("//"):
                self.wrong.append(f"<{tag} {name}={value[:40]}>")
        names = dict(attributes)
        if tag in HARMFUL or self.bodies > 1 or (tag == "script" and not names.get("src")):
            if names.get("type") != "application/json":
                self.wrong.append(f"<{tag}>")
        if tag in ("style", "meta") and (tag == "style" or "http-equiv" in names):
            self.wrong.append(f"<{tag}>")

    def handle_data(self, data):
        self.text.append(data)
