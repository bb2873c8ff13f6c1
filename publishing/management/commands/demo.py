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
from django.core.management.base import CommandError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from tqdm import tqdm

from inventory.management.spoken import SpokenCommand
from inventory.models import Instrument
from publishing.catalogue.export import DeadLinks, export_catalogue
from publishing.catalogue.pictures import PictureMissing
from publishing.catalogue.swapping import SiteWriteError
from publishing.demonstration import KEEPER, DemoRefused, load_demo, make_keeper, open_servers


class Command(SpokenCommand):
    help = gettext_lazy(
        "Make the database, load the invented collection, export its catalogue and serve both on this machine. "
        "Example: manage.py demo --to site"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument(
            "--to",
            type=Path,
            default=None,
            help=_("folder for the catalogue (default: site, beside manage.py)"),
        )
        parser.add_argument("--no-serve", action="store_true", help=_("end after the export"))
        parser.add_argument("--port", type=int, default=8000, help=_("first port to try for the workroom"))

    def handle(self, *args: Any, to: Path | None, no_serve: bool, port: int, **options: Any) -> None:
        site = to or settings.BASE_DIR / "site"
        try:
            self._step(_("Making the database"), lambda: call_command("migrate", verbosity=0))
            loaded = self._step(_("Loading the invented collection"), load_demo)
            if not loaded:
                self.stdout.write("  " + _("(it is here already and was left as it is)"))
            password = self._step(_("Making a keeper who may sign in"), make_keeper)
            report = self._step(_("Exporting the catalogue"), lambda: self._export(site))
        except (DemoRefused, DeadLinks, PictureMissing, SiteWriteError) as error:
            raise CommandError(str(error)) from None
        self.stdout.write(
            _(
                "%(all)d instruments in the record, %(public)d published: %(written)d pages written, "
                "%(unchanged)d unchanged, %(removed)d removed."
            )
            % {
                "all": Instrument.objects.count(),
                "public": Instrument.objects.public().count(),
                "written": report.written,
                "unchanged": report.unchanged,
                "removed": report.removed,
            }
        )
        self.stdout.write(_("The catalogue as files: %(file)s") % {"file": site.resolve() / "index.html"})
        if no_serve:
            self.stdout.write(
                _("To sign in later: name %(name)s, password %(password)s")
                % {"name": KEEPER, "password": password}
            )
            return
        served = open_servers(site, port)
        workroom, catalogue = served.addresses
        self.stdout.write(
            _(
                "\nThe catalogue:  %(catalogue)s\nThe workroom:   %(workroom)s\n"
                "Sign in there:  name %(name)s, password %(password)s\n\n"
                "Both answer on this machine only. Stop with Ctrl-C."
            )
            % {"catalogue": catalogue, "workroom": workroom, "name": KEEPER, "password": password}
        )
        self.stdout.flush()
        try:
            served.run()
        except KeyboardInterrupt:
            self.stdout.write(_("Stopped. Run the same command to go on; nothing is lost."))

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
