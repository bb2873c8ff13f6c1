"""The templates, compiled once, and the words they use for closed lists of values."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Any, Protocol

from django.conf import settings
from django.utils.translation import gettext, ngettext, pgettext
from django.utils.translation import gettext_lazy as _
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from markupsafe import Markup, escape

from inventory.languages import active_language, said_later, say_once
from inventory.models import MakerTie, Tie, choices
from inventory.models.people import MakerKind
from inventory.models.places import PlaceKind
from inventory.punctuation import colon, in_figures, quoted, semicolon
from publishing.disclosure.door import without_control_signs
from publishing.formats.addresses import Address

from . import assets
from .end_tags import EndTagsLeftOut
from .language_templates import LanguageEnvironment
from .languages import Languages
from .record_texts import marked, marked_english, record_language

CHOICES: Mapping[str, Any] = {
    **{name: getattr(choices, name) for name in (
        "Attribution", "Certainty", "ChestKind", "Evidence", "HowCounted", "InstrumentStatus", "KeyboardKind",
        "Knowledge", "NonReturn", "SpecificationBasis", "StopState",
    )},
    "TieKind": Tie.Kind,
    "MakerTieKind": MakerTie.Kind,
    "MakerKind": MakerKind,
    "PlaceKind": PlaceKind,
}  # fmt: skip


@dataclass(frozen=True)
class Site:
    """What every page knows of the whole."""

    name: str
    licence: str
    stylesheet: str
    stylesheet_around: str
    """What pages have beside it that are no instrument's."""
    scripts: tuple[str, ...]
    """File names of the player's scripts; only pages with something to play ask for them."""
    sections: tuple[tuple[str, str], ...]


def open_site() -> Site:
    """The site's name, licence and sections, in the language that is active."""
    return Site(
        name=str(settings.COLLECTION_NAME),
        licence=settings.CATALOGUE_LICENCE,
        stylesheet=assets.stylesheet()[0],
        stylesheet_around=assets.stylesheet("around")[0],
        scripts=tuple(name for name, _content in assets.scripts()),
        sections=(
            ("instruments/index.html", gettext("Instruments")),
            ("makers/index.html", gettext("Makers")),
            ("map.html", gettext("Map")),
            ("shared-pipes.html", gettext("Shared pipes")),
            ("statistics.html", gettext("Statistics")),
            ("search.html", gettext("Search")),
        ),
    )


@say_once
def named(value: str, kind: str) -> str:
    """The words for a value of a closed list."""
    if not value:
        return ""
    return str(CHOICES[kind](value).label)


@say_once
def level(value: int) -> str:
    """The words for a recording level."""
    return str(choices.RecordingLevel(value).label)


def word(names: Mapping[str, str] | None) -> str:
    """A word of a vocabulary in the language that is active, else in English."""
    if not names:
        return ""
    language = active_language()
    return names.get(language) or names.get("en") or next(iter(names.values()))


@cache
def make_environment(language: str) -> Environment:
    """Templates of a language that escape everything, and stop on a name nobody gave them; compiled once."""
    environment = LanguageEnvironment(
        language,
        {"_": gettext, "pgettext": pgettext, "colon": colon, "semicolon": semicolon},
        loader=FileSystemLoader(str(files("publishing.catalogue") / "templates")),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        extensions=[EndTagsLeftOut],
    )
    environment.filters.update(
        in_figures=in_figures, english=marked_english, named=named, level=level, word=word, marked=marked
    )
    environment.globals.update(
        ngettext=ngettext, fill=fill, quoted=quoted_markup, record_language=record_language
    )
    return environment


def fill(template: str, **values: Any) -> Markup:
    """A sentence whose places take links and other pieces of a page; what is no piece is escaped."""
    return escape(template) % values


def quoted_markup(text: str) -> Markup:
    """A text, perhaps marked with its language, between the quotation marks of the page's language."""
    return fill(quoted("%(text)s"), text=text)


class WantedPage(Protocol):
    """A page that may be known to be unchanged before its context is made."""

    @property
    def template(self) -> str:
        """Name of the template."""

    @property
    def path(self) -> str:
        """Where it stands, below the root of its language."""

    @property
    def context(self) -> Callable[[], dict[str, Any]]:
        """Makes the context."""

    @property
    def made_from(self) -> bytes:
        """A digest of all that goes into it but the language; empty where only the context can tell."""


class PageNotMade(Exception):
    """A template failed; the message names the page and the template, and nothing was written over the old site."""


class Renderer:
    """Renders pages of one site in one language."""

    def __init__(
        self, site: Site, address: Address | None = None, languages: Languages | None = None
    ) -> None:
        self.site = site
        self.address = address
        self.languages = languages or Languages((active_language(),), active_language())
        self.environment = make_environment(self.languages.here)

    def page(self, template: str, path: str, **context: Any) -> bytes:
        """One page as bytes, at a path below the root of its language.

        `up` leads from its folder to that root, to pages; `root` to the root of the site, to assets, pictures, data.
        """
        up = "../" * path.count("/")
        languages = self.languages
        context.setdefault("section", path)
        context.setdefault("linked", "")
        context["canonical"] = self.address.of(languages.path(path)) if self.address else ""
        try:
            html = self.environment.get_template(template).render(
                site=self.site,
                up=up,
                root=languages.root(up),
                language=languages.here,
                tongues=languages.tongues(path),
                alternates=languages.alternates(path, self.address),
                **context,
            )
        except Exception as error:  # whatever a template does wrong, the person who exports is told where
            raise PageNotMade(
                said_later(
                    _(
                        "The page %(page)s could not be made: %(kind)s in the template %(template)s (%(problem)s). "
                        "This is a mistake of the program, not of the record; undo the last change of the templates "
                        "or report it. The old site was left as it was."
                    ),
                    page=languages.path(path),
                    kind=type(error).__name__,
                    template=template,
                    problem=" ".join(str(error).split())[:200],
                )
            ) from error
        return without_control_signs(html).encode()

    def wanted_page(self, wanted: WantedPage) -> bytes | None:
        """A page whose context is made when it is wanted."""
        return self.page(wanted.template, wanted.path, **wanted.context())
