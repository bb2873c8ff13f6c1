"""Exports the catalogue as plain files.

Example: python manage.py publish_catalogue --to site
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

from django.core.management.base import CommandError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from tqdm import tqdm

from inventory.management.spoken import SpokenCommand
from inventory.roles import NotAllowed, person_at_the_console
from publishing.catalogue.beginning import workers_of
from publishing.catalogue.export import DeadLinks, NewEdition, export_catalogue
from publishing.catalogue.pictures import PictureMissing
from publishing.catalogue.rendering import PageNotMade
from publishing.catalogue.swapping import SiteWriteError
from publishing.editions import EditionRefused
from publishing.formats.addresses import BadAddress, read_address

MOST_WORKERS = 64


class Command(SpokenCommand):
    help = gettext_lazy(
        "Export the catalogue as plain files. Example: manage.py publish_catalogue --to site "
        '--address https://organs.example/ --edition "Spring 2031"'
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", required=True, type=Path, help=_("the folder to write, replaced whole"))
        parser.add_argument(
            "--address",
            default="",
            metavar="URL",
            help=_("where the site will stand: adds feed, sitemap and JSON-LD"),
        )
        parser.add_argument(
            "--edition", default="", metavar="NAME", help=_("first freeze the public data as a new edition")
        )
        parser.add_argument(
            "--changes", default="", metavar="TEXT", help=_("what changed, printed with the edition")
        )
        parser.add_argument(
            "--full",
            action="store_true",
            help=_("make every page anew, also what did not change since the last export to this folder"),
        )
        parser.add_argument(
            "--workers",
            type=int,
            default=1,
            metavar="N",
            help=_("processes that make pages of instruments (1: this one alone)"),
        )
        parser.add_argument("--by", default="", metavar="USER", help=_("the editor who makes the edition"))

    def handle(self, *args: Any, to: Path, **options: Any) -> None:
        try:
            address = read_address(options["address"]) if options["address"] else None
            edition = self._edition(**options)
        except (BadAddress, NotAllowed) as error:
            raise CommandError(str(error), returncode=2) from None
        bar = tqdm(unit="page", disable=options["verbosity"] == 0 or not sys.stderr.isatty())

        def show(done: int, total: int) -> None:
            bar.total, bar.n = total, done
            bar.refresh()

        workers = options["workers"]
        if not 1 <= workers <= MOST_WORKERS:
            raise CommandError(
                _("--workers %(given)d is not from 1 to %(most)d; give the processors to use.")
                % {"given": workers, "most": MOST_WORKERS},
                returncode=2,
            )
        try:
            with workers_of(workers) as executor:
                report = export_catalogue(
                    to,
                    progress=show,
                    address=address,
                    edition=edition,
                    full=options["full"],
                    executor=executor,
                    waiting=2 * workers,
                )
        except BrokenProcessPool:
            raise CommandError(
                _(
                    "A process that made pages was ended from outside (memory may have run out). The old site was "
                    "left as it was; export again with fewer --workers."
                ),
                returncode=2,
            ) from None
        except (DeadLinks, EditionRefused, NotAllowed, PageNotMade, PictureMissing, SiteWriteError) as error:
            raise CommandError(str(error), returncode=2) from None
        except OSError as error:
            raise CommandError(
                _(
                    "A file could not be read or written (%(problem)s). The old site was left as it was; free some "
                    "space or mend the permissions of the data folder, and export again."
                )
                % {"problem": error},
                returncode=2,
            ) from None
        finally:
            bar.close()
        for remark in report.remarks:
            self.stderr.write(remark)
        self.stdout.write(
            _(
                "%(written)d pages written, %(unchanged)d unchanged, %(removed)d removed, %(seconds).1f seconds"
            )
            % {
                "written": report.written,
                "unchanged": report.unchanged,
                "removed": report.removed,
                "seconds": report.seconds,
            }
        )

    def _edition(self, edition: str, changes: str, by: str, **options: Any) -> NewEdition | None:
        """The edition asked for, with the person who makes it."""
        if not edition:
            if changes or by:
                raise CommandError(
                    _("--changes and --by belong to an edition; name it with --edition NAME."), returncode=2
                )
            return None
        return NewEdition(person_at_the_console(by, "make edition"), edition, changes)
