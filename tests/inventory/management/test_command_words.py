"""Every command of the house says what it is for, in the language that is active."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest
from django.conf import settings
from django.core.management import get_commands, load_command_class
from django.utils import translation

from inventory.languages import said_later
from inventory.management.spoken import SpokenCommand

OURS = sorted((name, app) for name, app in get_commands().items() if app in ("inventory", "publishing"))
DJANGOS_OWN_WORDS = {"loaddata"}
"""What only hands on to a command of Django's, with its words."""


def help_of(name: str, application: str, language: str) -> str:
    """What `manage.py NAME --help` prints, without blanks (lines break anywhere)."""
    with translation.override(language):
        printed = load_command_class(application, name).create_parser("manage.py", name).format_help()
    return "".join(printed.split())


@pytest.mark.parametrize(("name", "application"), OURS)
def test_every_command_prints_its_help_in_english_and_in_french(name, application):
    english, french = help_of(name, application, "en"), help_of(name, application, "fr")
    assert f"manage.py{name}" in english and f"manage.py{name}" in french
    if name in DJANGOS_OWN_WORDS:
        return
    command = load_command_class(application, name)
    assert isinstance(command, SpokenCommand) and not isinstance(command.help, str), "help has to be lazy"
    with translation.override("fr"):
        purpose = "".join(str(command.help).split())
    assert purpose in french and purpose not in english


def said_in_english_only(code: ast.Module) -> list[int]:
    """Lines where an argument's help, a refusal or a line of output is a bare text with a word in it."""
    found = []
    for node in ast.walk(code):
        if not isinstance(node, ast.Call):
            continue
        called = getattr(node.func, "attr", getattr(node.func, "id", ""))
        given = [one.value for one in node.keywords if one.arg == "help"]
        if called in ("write", "CommandError", "_step"):
            given += node.args[:1]
        found += [one.lineno for one in given if _has_words(one)]
    return found


def _has_words(node: ast.AST) -> bool:
    parts = node.values if isinstance(node, ast.JoinedStr) else [node]
    texts = [one.value for one in parts if isinstance(one, ast.Constant) and isinstance(one.value, str)]
    return any(len(word) > 1 and word.isalpha() for text in texts for word in text.split())


def test_no_command_speaks_past_the_catalogue_of_words():
    bare = {
        path.name: lines
        for application in ("inventory", "publishing")
        for path in (Path(settings.BASE_DIR) / application / "management" / "commands").glob("*.py")
        if path.stem not in DJANGOS_OWN_WORDS and (lines := said_in_english_only(ast.parse(path.read_text())))
    }
    assert bare == {}


def test_control_a_bare_sentence_is_noticed():
    wrong = 'p.add_argument("x", help="how many")\nself.stdout.write(f"{n} pages written")\nCommandError("no such")'
    assert said_in_english_only(ast.parse(wrong)) == [1, 2, 3]
    right = 'p.add_argument("x", help=_("how many"))\nself.stdout.write(f"{name}: {n}")\nCommandError(_("no such"))'
    assert said_in_english_only(ast.parse(right)) == []


def test_an_error_of_the_export_is_said_in_the_language_of_whoever_reads_it():
    with translation.override("en"):
        told = said_later(translation.gettext_lazy("Shared pipes"))
    with translation.override("fr"):
        assert str(told) == translation.gettext("Shared pipes") != "Shared pipes"
