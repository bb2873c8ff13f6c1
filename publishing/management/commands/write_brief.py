"""write_brief REF --to FILE.pdf: the restoration brief of an instrument, for one reader, in one language."""

from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError, CommandParser
from django.utils.translation import gettext_lazy as _

from publishing.briefs.brief import count_pages, make_brief
from publishing.briefs.typesetting import TypesettingError
from publishing.briefs.words import LANGUAGES, READERS
from publishing.disclosure.briefs import NotForBrief


class Command(BaseCommand):
    """Writes one PDF whole, or nothing."""

    help = _(
        "Write an instrument's brief. Example: manage.py write_brief ORG-0029 --to brief.pdf --for donor"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Whose brief, where to, for whom."""
        parser.add_argument("reference", help=_("such as ORG-0029"))
        parser.add_argument("--to", required=True, help=_("the PDF to write"))
        parser.add_argument("--language", choices=LANGUAGES, default="en")
        parser.add_argument("--for", dest="reader", choices=READERS, default="owner")
        parser.add_argument(
            "--confidential",
            action="store_true",
            help=_("print condition, works and costs in full even without consent; every page is marked"),
        )

    def handle(self, *args: Any, reference: str, to: str, **options: Any) -> None:
        """Typeset, then write beside and move into place."""
        target = Path(to)
        try:
            made = make_brief(
                reference, reader=options["reader"], language=options["language"],
                confidential=options["confidential"],
            )  # fmt: skip
            part = target.with_name(target.name + ".part")
            part.write_bytes(made)
            part.replace(target)
        except (NotForBrief, TypesettingError) as refused:
            raise CommandError(str(refused), returncode=2) from None
        except OSError as failed:
            raise CommandError(
                f"{to}: {failed.strerror}; choose a folder you may write to", returncode=2
            ) from None
        pages = count_pages(made)
        self.stdout.write(
            f"{to}: {pages} pages, {options['language']}, {options['reader']}, {reference}"
            + (", confidential" if options["confidential"] else "")
        )
