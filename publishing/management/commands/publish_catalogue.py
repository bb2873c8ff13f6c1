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

from publishing.catalogue.export import DeadLinks, export_catalogue
from publishing.catalogue.pictures import PictureMissing
from publishing.catalogue.swapping import SiteWriteError


class Command(BaseCommand):
    help = "Export the catalogue as plain files. Example: manage.py publish_catalogue --to site"

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", required=True, type=Path, help="the folder to write, replaced whole")

    def handle(self, *args: Any, to: Path, **options: Any) -> None:
        bar = tqdm(unit="page", disable=options["verbosity"] == 0 or not sys.stderr.isatty())

        def show(done: int, total: int) -> None:
            bar.total, bar.n = total, done
            bar.refresh()

        try:
            report = export_catalogue(to, progress=show)
        except (DeadLinks, PictureMissing, SiteWriteError) as error:
            raise CommandError(str(error)) from None
        finally:
            bar.close()
        for remark in report.remarks:
            self.stderr.write(remark)
        self.stdout.write(
            f"{report.written} pages written, {report.unchanged} unchanged, {report.removed} removed, "
            f"{report.seconds:.1f} seconds"
        )
