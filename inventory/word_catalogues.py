"""The words the tool itself says, gathered from code and templates into catalogues that people translate.

English is what the code says. For each other language a folder holds `django.po`, which people write, and
`django.mo`, which the program reads. Both are made without any tool of the system.
"""

from __future__ import annotations

import ast
import io
import re
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path
from typing import Any

from babel.messages import Catalog
from babel.messages.extract import DEFAULT_KEYWORDS, extract
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po
from django.conf import settings
from django.utils.translation.template import templatize

APPLICATIONS = ("inventory", "publishing")
KEYWORDS = DEFAULT_KEYWORDS | {
    "gettext_lazy": None,
    "gettext_noop": None,
    "ngettext_lazy": (1, 2),
    "pgettext_lazy": ((1, "c"), 2),
    "pgettext_noop": ((1, "c"), 2),
    # The pure code's own: inventory/organ/sentences.py.
    "say": None,
    "say_count": (2, 3),
}
_CALL = re.compile(r"\b(n?p?gettext)\(")
_LITERAL = re.compile(r"""\s*u?('(?:[^'\\]|\\.)*'|"(?:[^"\\]|\\.)*")\s*,?""", re.DOTALL)
_PLACE = re.compile(r"%\(\w+\)[#0\- +]?\d*(?:\.\d+)?[sdf]|\{\w*\}|<[^>]+>")


@dataclass(frozen=True)
class Words:
    """One sentence of the tool: its English form or forms, its context, and the file that says it."""

    text: str
    plural: str
    context: str
    said_in: str


def gather_words(application: str) -> Iterator[Words]:
    """Every sentence that code and templates of an application ask a translation of, by file and place."""
    base = Path(settings.BASE_DIR)
    for path in sorted((base / application).rglob("*")):
        if "migrations" in path.parts or not path.is_file():
            continue
        said_in = path.relative_to(base).as_posix()
        if path.suffix == ".py":
            found = _extracted("python", path)
        elif path.suffix in (".html", ".txt") and "templates" in path.parts:
            # Templates of the published pages are Jinja's, those of the workroom Django's.
            found = (
                _extracted("jinja2", path)
                if application == "publishing" and _is_jinja(path)
                else _django(path)
            )
        else:
            continue
        for text, plural, context in found:
            if text:
                yield Words(text, plural, context, said_in)


def _is_jinja(path: Path) -> bool:
    return "catalogue" in path.parts


def _extracted(method: str, path: Path) -> Iterator[tuple[str, str, str]]:
    options = {"encoding": "utf-8", "silent": "false", "trim_blocks": "true", "lstrip_blocks": "true"}
    with path.open("rb") as file:
        for _line, message, _comments, context in extract(method, file, KEYWORDS, (), options):
            forms = message if isinstance(message, tuple) else (message,)
            yield forms[0] or "", (forms[1] if len(forms) > 1 else "") or "", context or ""


def _django(path: Path) -> Iterator[tuple[str, str, str]]:
    """Words of a template of Django, whose own reader turns it into calls; we read the calls."""
    calls = templatize(path.read_text(), origin=str(path))
    for call in _CALL.finditer(calls):
        place, literals = call.end(), []
        while found := _LITERAL.match(calls, place):
            literals.append(ast.literal_eval(found[1]))
            place = found.end()
        context = literals.pop(0) if "p" in call[1].removesuffix("gettext") else ""
        yield literals[0], (literals[1] if call[1].startswith("n") else ""), context


def catalogue_path(application: str, language: str) -> Path:
    """Where people write the words of an application in a language."""
    return Path(settings.BASE_DIR) / application / "locale" / language / "LC_MESSAGES" / "django.po"


def other_languages() -> list[str]:
    """The languages the tool is translated into."""
    return [code for code, _name in settings.LANGUAGES if code != "en"]


def renew_catalogue(application: str, language: str) -> Catalog:
    """Bring a catalogue up to date with the code: what is new is untranslated, what nobody says is gone."""
    path = catalogue_path(application, language)
    kept = read_catalogue(application, language)
    catalogue = Catalog(locale=language, header_comment="# The words of Upperboard.", fuzzy=False)
    for words in gather_words(application):
        key: Any = (words.text, words.plural) if words.plural else words.text
        context = words.context or None
        old = kept.get(words.text, context)
        # Babel joins the files of one sentence.
        entry = catalogue.add(key, locations=[(words.said_in, None)], context=context)
        if old is not None and old.string and _same_shape(old.string, entry):
            entry.string = old.string
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(po_bytes(catalogue))
    compiled_path(path).write_bytes(mo_bytes(catalogue))
    return catalogue


def compiled_path(path: Path) -> Path:
    """The file the program reads, beside the one people write."""
    return path.with_suffix(".mo")


def read_catalogue(application: str, language: str) -> Catalog:
    """The catalogue as it is on the disk; an empty one where there is none yet."""
    path = catalogue_path(application, language)
    if not path.exists():
        return Catalog(locale=language)
    with path.open("rb") as file:
        return read_po(file, locale=language)


def po_bytes(catalogue: Catalog) -> bytes:
    """A catalogue as people read it: sorted, without dates, so that a change shows as what it is."""
    out = io.BytesIO()
    write_po(out, catalogue, width=110, sort_output=True, omit_header=True, include_lineno=False)
    plural = f'"Language: {catalogue.locale_identifier}\\n"\n"Plural-Forms: {catalogue.plural_forms}\\n"\n'
    header = f'# The words of Upperboard.\nmsgid ""\nmsgstr ""\n"Content-Type: text/plain; charset=utf-8\\n"\n{plural}\n'
    return header.encode() + out.getvalue()


def mo_bytes(catalogue: Catalog) -> bytes:
    """A catalogue as the program reads it."""
    out = io.BytesIO()
    # A date of today would make other bytes each day.
    moment = datetime(2000, 1, 1, tzinfo=UTC)
    plain = Catalog(
        locale=catalogue.locale_identifier, fuzzy=False, creation_date=moment, revision_date=moment
    )
    for message in catalogue:
        if message.id and _is_whole(message.string):
            plain.add(message.id, message.string, context=message.context)
    write_mo(out, plain)
    return out.getvalue()


def _is_whole(string: Any) -> bool:
    return all(string) if isinstance(string, (tuple, list)) else bool(string)


def _same_shape(string: Any, entry: Any) -> bool:
    return isinstance(string, (tuple, list)) == isinstance(entry.id, tuple)


def places_in(text: str) -> list[str]:
    """What a translation must keep: placeholders and tags, sorted."""
    return sorted(_PLACE.findall(text))


@cache
def words_missing(language: str) -> tuple[Words, ...]:
    """Sentences without a translation into a language, as editors are shown them."""
    return tuple(words for application in APPLICATIONS for words in _untranslated(application, language))


def _untranslated(application: str, language: str) -> Iterator[Words]:
    for message in read_catalogue(application, language):
        if message.id and not _is_whole(message.string):
            forms = message.id if isinstance(message.id, tuple) else (message.id, "")
            said_in = message.locations[0][0] if message.locations else ""
            yield Words(forms[0], forms[1], message.context or "", said_in)
