"""Exports the catalogue as plain files.

Example: python manage.py publish_catalogue --to site
"""

from __future__ import annotations

import sys
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError
from tqdm import tqdm

from inventory.roles import NotAllowed, person_at_the_console
from publishing.catalogue.export import DeadLinks, NewEdition, export_catalogue
from publishing.catalogue.pictures import PictureMissing
from publishing.catalogue.swapping import SiteWriteError
from publishing.editions import EditionRefused
from publishing.formats.addresses import BadAddress, read_address


class Command(BaseCommand):
    help = (
        "Export the catalogue as plain files. Example: manage.py publish_catalogue --to site "
        '--address https://organs.example/ --edition "Spring 2031"'
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", required=True, type=Path, help="the folder to write, replaced whole")
        parser.add_argument(
            "--address",
            default="",
            metavar="URL",
            help="where the site will stand: adds feed, sitemap and JSON-LD",
        )
        parser.add_argument(
            "--edition", default="", metavar="NAME", help="first freeze the public data as a new edition"
        )
        parser.add_argument(
            "--changes", default="", metavar="TEXT", help="what changed, printed with the edition"
        )
        parser.add_argument(
            "--full", action="store_true", help="render every page anew (for now every export does so)"
        )
        parser.add_argument(
            "--workers",
            type=int,
            default=1,
            metavar="N",
            help="processes to render with (for now always one)",
        )
        parser.add_argument("--by", default="", metavar="USER", help="the editor who makes the edition")

    def handle(self, *args: Any, to: Path, **options: Any) -> None:
        try:
            address = read_address(options["address"]) if options["address"] else None
            edition = self._edition(**options)
        except (BadAddress, NotAllowed) as error:
            raise CommandError(str(error)) from None
        bar = tqdm(unit="page", disable=options["verbosity"] == 0 or not sys.stderr.isatty())

        def show(done: int, total: int) -> None:
            bar.total, bar.n = total, done
            bar.refresh()

        try:
            report = export_catalogue(to, progress=show, address=address, edition=edition)
        except (DeadLinks, EditionRefused, NotAllowed, PictureMissing, SiteWriteError) as error:
            raise CommandError(str(error)) from None
        finally:
            bar.close()
        for remark in report.remarks:
            self.stderr.write(remark)
        self.stdout.write(
            f"{report.written} pages written, {report.unchanged} unchanged, {report.removed} removed, "
            f"{report.seconds:.1f} seconds"
        )

    def _edition(self, edition: str, changes: str, by: str, **options: Any) -> NewEdition | None:
        """The edition asked for, with the person who makes it."""
        if not edition:
            if changes or by:
                raise CommandError("--changes and --by belong to an edition; name it with --edition NAME.")
            return None
        return NewEdition(person_at_the_console(by, "make edition"), edition, changes)
