"""The same pages in every language: each leads to the others, and none says in English what is translated."""

from __future__ import annotations

import gettext
from pathlib import Path

import pytest
from django.conf import settings as own_settings
from django.utils.translation import override
from lxml import html

from publishing.catalogue import statistics_pages
from publishing.catalogue.export import export_catalogue
from publishing.catalogue.languages import Languages, plain_path
from publishing.disclosure.values import When
from publishing.formats.addresses import read_address
from tests.publishing.catalogue.editing import RandomEditor

LANGUAGES = ("en", "fr", "es")


_made: list[Path] = []


@pytest.fixture
def site(request, db) -> Path:
    """A small collection in three languages, with an address; exported for the first test that asks."""
    if not _made:
        _made.append(request.getfixturevalue("exported"))
    return _made[0]


@pytest.fixture
def exported(house, people, settings, monkeypatch, tmp_path_factory) -> Path:
    """The export itself, at a place that outlives the test."""
    to = tmp_path_factory.mktemp("three-languages") / "site"
    settings.CATALOGUE_LANGUAGES = LANGUAGES
    monkeypatch.setattr(statistics_pages, "VIEWS", statistics_pages.VIEWS[:1])
    RandomEditor(people.keeper, seed=2)
    export_catalogue(to, address=read_address("https://organs.example/"))
    return to


def pages_of(site: Path) -> dict[str, html.HtmlElement]:
    return {
        path.relative_to(site).as_posix(): html.fromstring(path.read_bytes())
        for path in sorted(site.rglob("*.html"))
    }


def translated(language: str) -> set[str]:
    """English words that are said otherwise in a language."""
    found = set()
    for folder in own_settings.LOCALE_PATHS:
        words = gettext.translation("django", folder, [language])._catalog
        found |= {
            one
            for one, other in words.items()
            if isinstance(one, str) and one.strip() and other not in ("", one)
        }
    return found


def said(page: html.HtmlElement) -> set[str]:
    """Every piece of text a reader is given, as one piece: text between tags, and what attributes say."""
    of_another = "ancestor-or-self::*[@lang and not(self::html)]"
    unread = "ancestor::script or ancestor::code or ancestor::*[@lang and not(self::html)]"
    texts = page.xpath(f"//body//text()[not({unread})]")
    told = page.xpath(
        f"//body//*[not({of_another})]/@*[name()='aria-label' or name()='alt' or name()='title']"
    )
    return {" ".join(str(text).split()) for text in (*texts, *told)}


def test_every_page_stands_in_every_language_and_leads_to_the_same_page_in_each(site):
    pages = pages_of(site)
    for path, page in pages.items():
        language = path.partition("/")[0] if path.partition("/")[0] in LANGUAGES[1:] else "en"
        assert page.get("lang") == language
        same = {code: Languages(LANGUAGES, code).path(plain_path(path)) for code in LANGUAGES}
        assert set(same.values()) <= pages.keys()
        absolute = {one.get("hreflang"): one.get("href") for one in page.xpath("//head/link[@hreflang]")}
        root = "https://organs.example/"
        assert {code: href.removeprefix(root) or "index.html" for code, href in absolute.items()} == {
            **same, "x-default": same["en"]
        }  # fmt: skip
        ways = {one.get("lang"): one.get("href") for one in page.xpath("//nav[@class='tongues']//a")}
        assert {code: (site / path).parent.joinpath(way).resolve() for code, way in ways.items()} == {
            code: (site / other).resolve() for code, other in same.items() if code != language
        }
    names = pages["index.html"].xpath("//nav[@class='tongues']//li//text()")
    assert names == ["English", "Français", "Español"]


@pytest.mark.parametrize("language", LANGUAGES[1:])
def test_no_page_says_in_english_what_is_translated(site, language):
    words, english = translated(language), translated(language) & said(pages_of(site)["method.html"])
    assert len(english) > 5  # the same look at an English page does find such words
    leaking = {
        (path, text)
        for path, page in pages_of(site).items()
        if path.startswith(f"{language}/")
        for text in said(page) & words
    }
    assert leaking == set()


def test_the_sitemap_names_the_translations_of_every_page(site):
    text = (site / "sitemap.xml").read_text()
    assert text.count("<url>") == len(pages_of(site))
    assert text.count('hreflang="fr"') == len(pages_of(site))
    assert '<xhtml:link rel="alternate" hreflang="es" href="https://organs.example/es/method.html"/>' in text


def test_data_pictures_and_scripts_lie_once(site):
    assert not {path.suffix for path in (site / "fr").rglob("*") if path.is_file()} & {
        ".csv",
        ".json",
        ".jpg",
        ".css",
    }
    assert (site / "data" / "instruments.csv").exists() and not (site / "fr" / "data").exists()


def test_a_date_is_said_in_the_language_that_is_active():
    date = When("1850~", "about 1850", 1850)
    with override("fr"):
        french = date.words
    assert date.words == "about 1850" != french
