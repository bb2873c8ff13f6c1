"""No word of blame in anything a brief says by itself, in the three languages."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest
from django.utils import translation
from django.utils.translation import gettext

ROOT = Path(__file__).resolve().parents[3]
SOURCES = [
    *sorted((ROOT / "publishing" / "briefs").glob("*.py")),
    *sorted((ROOT / "inventory" / "planning").glob("*.py")),
]
BLAME = {
    "en": r"blam\w*|fault\w*|guilt\w*|neglect\w*|careless\w*|incompeten\w*|botch\w*|ruin\w*|vandal\w*|mistreat\w*|"
    r"shame\w*|bad|wrong\w*|error\w*|deception|deceiv\w*|lost voices?|must",
    "fr": r"coupable\w*|faute\w*|négligen\w*|négligé\w*|incompéten\w*|bâcl\w*|ruin\w*|vandal\w*|maltrait\w*|honte\w*|"
    r"mauvais\w*|erreur\w*|tromper\w*|massacr\w*",
    "es": r"culp\w*|neglig\w*|descuid\w*|incompeten\w*|chapuz\w*|ruin\w*|vándal\w*|maltrat\w*|vergüenza\w*|mal[oa]s?|"
    r"error\w*|engañ\w*",
}  # fmt: skip


def sentences():
    """Every text wrapped for translation in what briefs and budgets say."""
    found = set()
    for path in SOURCES:
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if (
                isinstance(node, ast.Call)
                and isinstance(node.func, ast.Name)
                and node.func.id in ("_", "ngettext")
            ):
                found |= {
                    arg.value
                    for arg in node.args
                    if isinstance(arg, ast.Constant) and isinstance(arg.value, str)
                }
    return sorted(found)


def test_there_are_sentences_to_look_at():
    assert len(sentences()) > 150


@pytest.mark.parametrize("language", sorted(BLAME))
def test_no_sentence_blames(language):
    word = re.compile(rf"\b(?:{BLAME[language]})\b", re.IGNORECASE)
    with translation.override(language):
        told = [text if language == "en" else gettext(text) for text in sentences()]
    assert not [text for text in told if word.search(text)]


def test_the_list_finds_a_blaming_sentence():
    assert re.search(BLAME["en"], "The fault is the builder's.") and re.search(BLAME["es"], "por negligencia")
