"""Pages without the end tags that HTML lets one leave out: a twentieth of a page of tables, read alike by all."""

from __future__ import annotations

import re

from jinja2.ext import Extension

_NEEDLESS = re.compile(r"</(?:td|th|tr|li|option)>")


class EndTagsLeftOut(Extension):
    """Takes the end tags of cells, rows, entries and choices out of the templates when they are compiled.

    Each of these ends where the next begins or its parent ends (HTML, 13.1.2.4 Optional tags), and in a valid page
    nothing else can follow one.
    """

    def preprocess(self, source: str, name: str | None, filename: str | None = None) -> str:
        """The template without them."""
        return _NEEDLESS.sub("", source)
