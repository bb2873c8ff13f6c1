"""The words in French and Spanish: whole, up to date, and safe to fill."""

from __future__ import annotations

import ast
from functools import cache
from pathlib import Path

import pytest
from babel.messages.mofile import read_mo
from django.conf import settings
from django.utils import translation

from inventory.word_catalogues import (
    APPLICATIONS,
    catalogue_path,
    compiled_path,
    gather_words,
    mo_bytes,
    other_languages,
    places_in,
    po_bytes,
    read_catalogue,
    words_missing,
)

gathered = cache(lambda application: tuple(gather_words(application)))
"""Reading all files takes seconds: once is enough."""
BOTH = [(application, language) for application in APPLICATIONS for language in other_languages()]


def test_french_and_spanish_are_the_other_languages():
    assert other_languages() == ["fr", "es"]
    assert {code for code, _name in settings.LANGUAGES} == {"en", "fr", "es"}


@pytest.mark.parametrize("application", APPLICATIONS)
def test_every_sentence_of_the_code_is_in_every_catalogue(application):
    said = {(words.context, words.text) for words in gathered(application)}
    for language in other_languages():
        kept = {
            (message.context or "", message.id[0] if isinstance(message.id, tuple) else message.id)
            for message in read_catalogue(application, language)
            if message.id
        }
        assert sorted(said - kept)[:5] == [], f"run manage.py gather_words ({language})"
        assert sorted(kept - said)[:5] == [], f"run manage.py gather_words ({language})"


@pytest.mark.parametrize("language", ["fr", "es"])
def test_nothing_is_left_in_english(language):
    assert [words.text for words in words_missing(language)][:10] == []


@pytest.mark.parametrize(("application", "language"), BOTH)
def test_translations_keep_placeholders_and_tags(application, language):
    wrong = []
    for message in read_catalogue(application, language):
        ids = message.id if isinstance(message.id, tuple) else (message.id,)
        strings = message.string if isinstance(message.string, (tuple, list)) else (message.string,)
        for string in strings if message.id and all(strings) else ():
            if set(places_in(string)) not in [set(places_in(one)) for one in ids]:
                wrong.append((ids[0], string))
    assert wrong == []


@pytest.mark.parametrize(("application", "language"), BOTH)
def test_what_the_program_reads_is_what_people_wrote(application, language):
    path = catalogue_path(application, language)
    catalogue = read_catalogue(application, language)
    assert compiled_path(path).read_bytes() == mo_bytes(catalogue), "run manage.py gather_words"
    assert path.read_bytes() == po_bytes(catalogue), "run manage.py gather_words"
    with compiled_path(path).open("rb") as file:
        assert len(read_mo(file)) > 500


def test_control_a_lost_placeholder_is_noticed():
    assert places_in("%(n)s of <b>%(all)s</b>") != places_in("%(n)s de <b>%(todo)s</b>")


@pytest.mark.parametrize("language", ["fr", "es"])
def test_django_finds_the_words(language):
    with translation.override(language):
        assert translation.gettext("Shared pipes") != "Shared pipes"
        assert translation.ngettext("%(n)s key", "%(n)s keys", 2) != "%(n)s keys"


WORD_CALLS = {"_", "gettext", "gettext_lazy", "gettext_noop", "ngettext", "ngettext_lazy", "pgettext",
              "pgettext_lazy", "npgettext", "say", "say_count"}  # fmt: skip


@cache
def code_that_speaks() -> tuple[tuple[str, ast.Module], ...]:
    return tuple(
        (path.name, ast.parse(code))
        for application in APPLICATIONS
        for path in sorted((Path(settings.BASE_DIR) / application).rglob("*.py"))
        if "gettext" in (code := path.read_text()) or "say(" in code
    )


def is_word_call(node: ast.AST) -> bool:
    return isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in WORD_CALLS


def words_inside_fstrings(code: ast.Module) -> list[int]:
    """Lines where a sentence is asked for inside an f-string, where nobody who gathers words can see it."""
    return [
        node.lineno
        for text in ast.walk(code)
        if isinstance(text, ast.JoinedStr)
        for node in ast.walk(text)
        if is_word_call(node)
    ]


def test_no_sentence_hides_inside_an_f_string():
    # Up to Python 3.11 an f-string is one token, and Babel reads tokens.
    hidden = [(name, line) for name, code in code_that_speaks() for line in words_inside_fstrings(code)]
    assert hidden == [], "say the whole as one sentence with named places"


def test_control_a_sentence_inside_an_f_string_is_noticed():
    assert words_inside_fstrings(ast.parse("""f"{name}: {_('silent')}" """)) == [1]
    assert words_inside_fstrings(ast.parse("""_("%(name)s: silent") % {"name": f"{name}"}""")) == []


def test_every_sentence_a_call_names_is_gathered():
    known = {form for app in APPLICATIONS for words in gathered(app) for form in (words.text, words.plural)}
    said = {
        (name, argument.value)
        for name, code in code_that_speaks()
        for call in ast.walk(code)
        if is_word_call(call)
        for argument in call.args[call.func.id.count("pgettext") :]
        if isinstance(argument, ast.Constant) and isinstance(argument.value, str) and argument.value
    }
    assert sorted(one for one in said if one[1] not in known) == []
