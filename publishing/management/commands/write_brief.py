"""write_brief REF --to FILE.pdf: the restoration brief of an instrument, for one reader, in one language."""

from pathlib import Path
from typing import Any

from django.core.management.base import CommandError, CommandParser
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy, ngettext

from inventory.management.spoken import SpokenCommand
from publishing.briefs.brief import count_pages, make_brief
from publishing.briefs.typesetting import TypesettingError
from publishing.briefs.words import LANGUAGES, READERS
from publishing.disclosure.briefs import NotForBrief


class Command(SpokenCommand):
    """Writes one PDF whole, or nothing."""

    help = gettext_lazy(
        "Write an instrument's brief. Example: manage.py write_brief ORG-0029 --to brief.pdf --for donor"
    )

    def add_arguments(self, parser: CommandParser) -> None:
        """Whose brief, where to, for whom."""
        parser.add_argument("reference", help=_("such as ORG-0029"))
        parser.add_argument("--to", required=True, help=_("the PDF to write"))
        parser.add_argument("--language", choices=LANGUAGES, default="en", help=_("language of the brief"))
        parser.add_argument(
            "--for", dest="reader", choices=READERS, default="owner", help=_("who is to read it")
        )
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
                _("%(file)s: %(problem)s; choose a folder you may write to")
                % {"file": to, "problem": failed.strerror},
                returncode=2,
            ) from None
        pages = count_pages(made)
        told = (
            ngettext(
                "%(file)s: %(count)d page, %(language)s, %(reader)s, %(reference)s, confidential",
                "%(file)s: %(count)d pages, %(language)s, %(reader)s, %(reference)s, confidential",
                pages,
            )
            if options["confidential"]
            else ngettext(
                "%(file)s: %(count)d page, %(language)s, %(reader)s, %(reference)s",
                "%(file)s: %(count)d pages, %(language)s, %(reader)s, %(reference)s",
                pages,
            )
        )
        self.stdout.write(
            told
            % {
                "file": to,
                "count": pages,
                "language": options["language"],
                "reader": options["reader"],
                "reference": reference,
            }  # fmt: skip
        )
