"""The catalogue's address on the web: what needs one (feed, sitemap, JSON-LD) is written only when it is given."""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote, urlsplit

from django.utils.translation import gettext as _

_HOST = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]*[A-Za-z0-9])?|[0-9A-Fa-f:.]+")


class BadAddress(ValueError):
    """The address given is none a catalogue can have."""


@dataclass(frozen=True)
class Address:
    """Where the root of the site will stand; always ends with a stroke."""

    root: str
    host: str

    def of(self, path: str) -> str:
        """Absolute address of a file of the site; the front page is the root itself."""
        page, _sign, fragment = path.partition("#")
        page = "" if page == "index.html" else page
        return self.root + quote(page) + (f"#{fragment}" if fragment else "")


def read_address(text: str) -> Address:
    """Read what was typed for --address.

    >>> read_address("https://organs.example/catalogue").of("makers/MKR-1.html")
    'https://organs.example/catalogue/makers/MKR-1.html'
    """
    text = text.strip()
    problem = _problem(text)
    if problem:
        raise BadAddress(
            _(
                "“%(text)s” is no address of a site: %(problem)s. Write the address the site will have, such as "
                "https://organs.example/catalogue/."
            )
            % {"text": text, "problem": problem}
        )
    return Address(text.rstrip("/") + "/", urlsplit(text).hostname or "")


def _problem(text: str) -> str:
    """What is wrong with an address; empty if nothing is."""
    if any(not 33 <= ord(sign) <= 126 or sign in '<>"\\^`{|}' for sign in text):
        return _("it holds a sign no address may hold (write accents and spaces in their encoded form)")
    if "?" in text or "#" in text:
        return _("it must not hold ? or #")
    try:
        parts = urlsplit(text)
        _port = parts.port
    except ValueError as error:
        return str(error)
    if parts.scheme not in ("http", "https"):
        return _("it must begin with https:// or http://")
    if parts.username is not None or parts.password is not None:
        return _("it holds a name or password, which would be published")
    if not parts.hostname or not _HOST.fullmatch(parts.hostname):
        return _("it names no host")
    return ""
