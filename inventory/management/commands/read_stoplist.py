"""read_stoplist FILE: what a typed stoplist says, and what must be asked."""

from typing import Any

from django.core.management.base import CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.management.scheme_arguments import print_json, read_bytes, refuse
from inventory.management.spoken import SpokenCommand
from inventory.management.stoplist_tables import stoplist_lines
from inventory.organ.json_text import LARGEST_FILE_BYTES
from inventory.organ.stoplists import read_stoplist
from inventory.organ.stoplists.vocabulary import LANGUAGES


class Command(SpokenCommand):
    """Proposals with reasons for a person to accept, and questions; nothing is stored."""

    help = gettext_lazy("Read a typed stoplist: what was understood, and what is asked.")
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: CommandParser) -> None:
        """FILE or -, the language and --json."""
        parser.add_argument("file", metavar="FILE", help=_("text file in UTF-8, or - for standard input"))
        parser.add_argument("--json", action="store_true", help=_("print one JSON document and nothing else"))
        parser.add_argument(
            "--language",
            choices=LANGUAGES,
            help=_("language of the source; it settles B and H and short words"),
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, understand, print; questions never change the exit status."""
        name, content = read_bytes(options["file"])
        document = read_stoplist(_decoded(name, content), options["language"])
        if options["json"]:
            print_json(document.as_json(), self.stdout)
        else:
            self.stdout.write("\n".join(stoplist_lines(document)))


def _decoded(name: str, content: bytes) -> str:
    """The text of a file; the command ends where it is too large or no text."""
    if len(content) > LARGEST_FILE_BYTES:
        raise refuse(name, _("more than 8 MB: a stoplist is a few pages; split the file"))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise refuse(name, _("line %d: not UTF-8 text; save the file as UTF-8") % line)
    if "\0" in text:
        line = text[: text.index("\0")].count("\n") + 1
        raise refuse(name, _("line %d: a zero byte, so this is no text file") % line)
    return text
