"""Typesets a document as PDF: tagged, with its language, title and bookmarks; same data, same bytes.

A template is a Typst file of `templates/` and says only how things stand on the page. All
words come with the data, already translated. Data travels as JSON, never as markup, so no
text of a record can become a command.
"""

from __future__ import annotations

import json
import re
import tempfile
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from pathlib import Path
from typing import Any

import typst

from publishing.disclosure.door import without_control_signs

HOUSE = "house.typ"
"""What all templates share: the sheet, its head and foot, tables, notes, pictures."""
FAMILY = "Source Serif Pro"
FACES = ("Regular", "It", "Semibold", "SemiboldIt", "Bold", "BoldIt")
A_FILE = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,80}")
# Signs the face has no form for, and what stands for them as well.
STAND_INS = str.maketrans({"\u2011": "-", "\u202f": "\u00a0", "\u2002": " ", "\u2003": " "})
_LONG, _PIECE = re.compile(r"\w{20,}"), re.compile(r"\w{1,10}")
_VARIABLE = re.compile(r"var\(--[\w-]+,\s*([^()]*)\)")


class TypesettingError(RuntimeError):
    """A document could not be typeset; the message says which and what to do."""


def typeset(
    template: str, data: Mapping[str, Any], language: str, *, pictures: Mapping[str, bytes] | None = None
) -> bytes:
    """Return the PDF of a template filled with data.

    `template` is the name of a file in `templates/`, without its ending. `data` holds what
    JSON can hold, `title` among it. `language` is a code such as ``fr``: it chooses the
    hyphens and tells a screen reader how to read. `pictures` are files the template asks for
    by name, such as ``rank.svg`` (pass drawings through `flat_svg`).
    """
    given = {HOUSE: _template("house"), "main.typ": _template(template)}
    for name, content in (pictures or {}).items():
        if name in given or not A_FILE.fullmatch(name):
            raise TypesettingError(f"picture {name!r}: give it a plain name of its own, such as rank-1.svg")
        given[name] = content
    if not str(data.get("title", "")).strip():
        raise TypesettingError(f"{template}: a document needs a title; add one to its data")
    filled = json.dumps(_printable({**data, "language": language}), ensure_ascii=False, sort_keys=True)
    try:
        with tempfile.TemporaryDirectory(prefix="sheet-") as folder:
            # Pictures are no text, and only text can be handed over without a file.
            for name, content in given.items():
                (Path(folder) / name).write_bytes(content)
            made, warnings = typst.compile_with_warnings(
                str(Path(folder) / "main.typ"),
                root=folder,
                font_paths=_fonts(),
                sys_inputs={"data": filled},
                timestamp=0,
            )
    except RuntimeError as failed:
        why = getattr(failed, "message", "") or str(failed)
        raise TypesettingError(
            f"{template}: cannot be typeset ({why}); "
            "this is a fault of the template or of a picture in it, please report it"
        ) from failed
    missing = [str(warning) for warning in warnings if "unknown font family" in str(warning)]
    if missing:
        raise TypesettingError(
            f"{template}: {missing[0]}; install the packages of requirements.txt again, "
            "font-source-serif-pro among them"
        )
    return bytes(made)


def may_break(text: str) -> str:
    """A text whose very long words may be broken with a hyphen: for narrow columns, in any language."""
    return _LONG.sub(lambda found: "\u00ad".join(_PIECE.findall(found.group())), text)


def flat_svg(svg: str) -> bytes:
    """A drawing of `inventory.drawings` for print: its colours as they are without a page's theme."""
    return _VARIABLE.sub(lambda found: found.group(1), svg).encode()


def template_source(name: str) -> bytes:
    """Everything a template is made of, so that what was made by it can be known again."""
    return _template("house") + _template(name)


def _printable(value: Any) -> Any:
    """The same value, with only signs that can be printed; anything JSON has no form for is refused."""
    if isinstance(value, str):
        return without_control_signs(value).translate(STAND_INS)
    if isinstance(value, Mapping):
        return {str(key): _printable(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_printable(one) for one in value]
    if value is None or isinstance(value, bool | int | float):
        return value
    raise TypesettingError(
        f"{value!r} is a {type(value).__name__}; give texts, numbers, lists and mappings only"
    )


@cache
def _template(name: str) -> bytes:
    path = files("publishing.briefs") / "templates" / f"{name}.typ"
    if not A_FILE.fullmatch(name) or not path.is_file():
        raise TypesettingError(f"there is no template {name!r} in publishing/briefs/templates")
    return path.read_bytes()


@cache
def _fonts() -> typst.Fonts:
    """The faces, and Typst's own for signs they lack (♯ ♭ ⅗); never those of the machine.

    The package holds each face in two formats; only one may be found, or the machine's order
    of files would choose, and the bytes would differ from machine to machine.
    """
    folder = tempfile.TemporaryDirectory(prefix="faces-")
    _KEPT.append(folder)
    source = Path(str(files("font_source_serif_pro"))) / "files"
    for face in FACES:
        name = f"SourceSerifPro-{face}.ttf"
        (Path(folder.name) / name).write_bytes((source / name).read_bytes())
    return typst.Fonts(include_system_fonts=False, include_embedded_fonts=True, font_paths=[folder.name])


_KEPT: list[tempfile.TemporaryDirectory[str]] = []
"""Folders of faces, kept as long as the program runs and removed when it ends."""
