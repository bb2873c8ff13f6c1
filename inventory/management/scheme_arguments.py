"""What the commands on schemes share: reading FILE, - or REF, and refusing in one line."""

import json
import re
import sys
from pathlib import Path
from typing import Any, TextIO

from django.core.management.base import CommandError, CommandParser
from django.db import DatabaseError
from django.utils.translation import gettext as _

from inventory.organ.errors import OrganError, SchemeError
from inventory.organ.json_text import LARGEST_FILE_BYTES, shown
from inventory.organ.scheme_files import read_scheme
from inventory.organ.schemes import Scheme

EXIT_UNREADABLE = 2
MOST_NOTES = 20
_REFERENCE = re.compile(r"[\w.-]{1,64}(?:/[\w.-]{1,64})?")


def add_scheme_arguments(parser: CommandParser, nargs: str | None = None) -> None:
    """Add the scheme and --json."""
    what = _("scheme file, - for standard input, or a reference")
    parser.add_argument("scheme", metavar="FILE|REF", nargs=nargs, help=what)
    parser.add_argument("--json", action="store_true", help=_("print one JSON document and nothing else"))


def refuse(place: str, error: object) -> CommandError:
    """The one line that ends a command which cannot read its input."""
    line = " ".join(f"{place}: {error}".split())
    return CommandError(line, returncode=EXIT_UNREADABLE)


def read_bytes(argument: str, stdin: Any = None) -> tuple[str, bytes]:
    """Read a file or standard input, at most a byte over the limit; return its name and content."""
    if argument == "-":
        source = stdin or sys.stdin
        source = getattr(source, "buffer", source)
        content = source.read(LARGEST_FILE_BYTES + 1)
        return _("standard input"), content.encode("utf-8", "surrogatepass") if isinstance(
            content, str
        ) else content
    try:
        with Path(argument).open("rb") as file:
            return argument, file.read(LARGEST_FILE_BYTES + 1)
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) else str(error)
        raise refuse(shown(argument, 200), _("cannot be read (%s): check the path") % reason)


def load_scheme(argument: str, stderr: TextIO, stdin: Any = None) -> Scheme:
    """The scheme an argument stands for: an existing file, `-`, or the reference of a record.

    Notes go to `stderr`. Raises CommandError with exit status 2 and one line.
    """
    if argument != "-" and not _is_path(argument):
        return _scheme_of_record(argument)
    name, content = read_bytes(argument, stdin)
    try:
        scheme, notes = read_scheme(content)
    except SchemeError as error:
        raise refuse(name, error)
    print_notes(name, notes, stderr)
    return scheme


def print_notes(name: str, notes: list[str], stderr: TextIO) -> None:
    """Print notes of a reader, the first twenty of them."""
    for note in notes[:MOST_NOTES]:
        stderr.write(f"{name}: {note}\n")
    if len(notes) > MOST_NOTES:
        stderr.write(
            _("%(file)s: and %(count)d more notes\n") % {"file": name, "count": len(notes) - MOST_NOTES}
        )


def _is_path(argument: str) -> bool:
    try:
        return Path(argument).exists()
    except (OSError, ValueError):
        return False


def _scheme_of_record(reference: str) -> Scheme:
    # REFERENCE or REFERENCE/specification; anything else can only have been meant as a path.
    if not _REFERENCE.fullmatch(reference) or reference.lower().endswith(".json"):
        raise refuse(shown(reference, 200), _("no such file: check the path"))
    # Only here, so that schemes in files can be read without a database.
    from inventory.schemes import scheme_of_record

    try:
        return scheme_of_record(reference)
    except LookupError as error:
        raise refuse(shown(reference, 200), str(error))
    except OrganError as error:
        raise refuse(shown(reference, 200), error)
    except DatabaseError:
        raise refuse(
            shown(reference, 200), _("no such file, and no records here yet: run `manage.py migrate`")
        )


def print_json(document: Any, stdout: TextIO) -> None:
    """One document and nothing else."""
    stdout.write(json.dumps(document, ensure_ascii=False, allow_nan=False))
