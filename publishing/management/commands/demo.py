"""Sets up the invented collection, publishes it and serves it on this machine.

Example: python manage.py demo
"""

from __future__ import annotations

import sys
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from tqdm import tqdm

from inventory.models import Instrument
from publishing.catalogue.export import DeadLinks, export_catalogue
from publishing.catalogue.pictures import PictureMissing
from publishing.catalogue.swapping import SiteWriteError
from publishing.demonstration import KEEPER, DemoRefused, load_demo, make_keeper, open_servers


class Command(BaseCommand):
    help = (
        "Make the database, load the invented collection, export its catalogue and serve both on this machine. "
        "Example: manage.py demo --to site"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to", type=Path, default=None, help="folder for the catalogue (default: site, beside manage.py)"
        )
        parser.add_argument("--no-serve", action="store_true", help="end after the export")
        parser.add_argument("--port", type=int, default=8000, help="first port to try for the workroom")

    def handle(self, *args: Any, to: Path | None, no_serve: bool, port: int, **options: Any) -> None:
        site = to or settings.BASE_DIR / "site"
        try:
            self._step("Making the database", lambda: call_command("migrate", verbosity=0))
            loaded = self._step("Loading the invented collection", load_demo)
            if not loaded:
                self.stdout.write("  (it is here already and was left as it is)")
            password = self._step("Making a keeper who may sign in", make_keeper)
            report = self._step("Exporting the catalogue", lambda: self._export(site))
        except (DemoRefused, DeadLinks, PictureMissing, SiteWriteError) as error:
            raise CommandError(str(error)) from None
        self.stdout.write(
            f"{Instrument.objects.count()} instruments in the record, {Instrument.objects.public().count()} published: "
            f"{report.written} pages written, {report.unchanged} unchanged, {report.removed} removed."
        )
        self.stdout.write(f"The catalogue as files: {site.resolve() / 'index.html'}")
        if no_serve:
            self.stdout.write(f"To sign in later: name {KEEPER}, password {password}")
            return
        served = open_servers(site, port)
        workroom, catalogue = served.addresses
        self.stdout.write(
            f"\nThe catalogue:  {catalogue}\nThe workroom:   {workroom}\n"
            f"Sign in there:  name {KEEPER}, password {password}\n\nBoth answer on this machine only. "
            "Stop with Ctrl-C."
        )
        self.stdout.flush()
        try:
            served.run()
        except KeyboardInterrupt:
            self.stdout.write("Stopped. Run the same command to go on; nothing is lost.")

    def _step(self, words: str, work: Any) -> Any:
        started = time.perf_counter()
        self.stdout.write(f"{words} …", ending=" ")
        self.stdout.flush()
        result = work()
        self.stdout.write(f"{time.perf_counter() - started:.1f} s")
        return result

    def _export(self, site: Path) -> Any:
        bar = tqdm(unit=" pages", leave=False, disable=not sys.stderr.isatty())

        def show(done: int, total: int) -> None:
            bar.total, bar.n = total, done
            bar.refresh()

        try:
            return export_catalogue(site, progress=show)
        finally:
            bar.close()
