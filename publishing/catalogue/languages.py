"""The same pages in several languages: where each stands, and the ways from one to the others.

The first language stands at the root of the site, so that no address moves when another is added; every other
in a folder of its name. Pictures, data and scripts lie once, at the root.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.conf import settings
from django.utils.translation import get_language_info

from publishing.formats.addresses import Address


@dataclass(frozen=True)
class Tongue:
    """A page in one language: the language's code and own name, the way there, and whether it is this page."""

    code: str
    name: str
    href: str
    here: bool


@dataclass(frozen=True)
class Languages:
    """The languages of a site, and the one whose pages are made."""

    all: tuple[str, ...]
    here: str

    @property
    def folder(self) -> str:
        """What comes before every path of this language; empty for the first."""
        return "" if self.here == self.all[0] else f"{self.here}/"

    def path(self, path: str) -> str:
        """Where a page stands in the site."""
        return self.folder + path

    def root(self, up: str) -> str:
        """From a page to the root of the site, given the way to the root of its language."""
        return up if self.here == self.all[0] else f"{up}../"

    def tongues(self, path: str) -> list[Tongue]:
        """The same page in every language, by relative ways; nothing where there is one language only."""
        if len(self.all) < 2:
            return []
        root = self.root("../" * path.count("/"))
        return [
            Tongue(
                code,
                own_name(code),
                root + Languages(self.all, code).path(path),
                code == self.here,
            )
            for code in self.all
        ]

    def alternates(self, path: str, address: Address | None) -> list[Tongue]:
        """What programs are told: every language, and the one for all others; absolute where the site has an address."""
        found = self.tongues(path)
        if address is not None:
            found = [
                Tongue(one.code, one.name, address.of(Languages(self.all, one.code).path(path)), one.here)
                for one in found
            ]
        return [*found, *(Tongue("x-default", "", one.href, False) for one in found[:1])]


def site_languages() -> tuple[Languages, ...]:
    """Every language of the site, the first first."""
    codes = tuple(settings.CATALOGUE_LANGUAGES)
    return tuple(Languages(codes, code) for code in codes)


def plain_path(path: str) -> str:
    """The path of a page without its language."""
    folder, _stroke, rest = path.partition("/")
    return rest if folder in settings.CATALOGUE_LANGUAGES[1:] else path


def own_name(code: str) -> str:
    """What a language calls itself, with a capital: it stands alone."""
    name = str(get_language_info(code)["name_local"])
    return name[:1].upper() + name[1:]
