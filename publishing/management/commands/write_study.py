"""Writes a study: a chosen subset of the published records as tables, figures, methods and a script.

Example: python manage.py write_study --to study --pattern "octave extension"
"""

from __future__ import annotations

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import CommandError
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from inventory.management.spoken import SpokenCommand
from inventory.organ.patterns import PAIR_PATTERNS, STOP_PATTERNS
from publishing.disclosure.instruments import open_collection
from publishing.formats.release import Release
from publishing.statistics.frames import frames_of
from publishing.statistics.study import Subset, study_files, view_of


class Command(SpokenCommand):
    help = gettext_lazy(
        "Write a study as a folder: tables (CSV) with a Data Package descriptor, code-book, figures, methods, citation "
        "and a script that recomputes the headline figures. Example: manage.py write_study --to study --view as-built"
    )

    def add_arguments(self, parser: ArgumentParser) -> None:
        parser.add_argument("--to", required=True, type=Path, metavar="DIR", help=_("a new or empty folder"))
        parser.add_argument(
            "--maker", default="", metavar="REF", help=_("only instruments counted for this maker")
        )
        parser.add_argument(
            "--pattern", default="", metavar="NAME", help=_("only instruments with this pattern")
        )
        parser.add_argument("--view", default="as-found", help=_("as-found (usual), as-built, or a year"))

    def handle(self, *args: Any, to: Path, maker: str, pattern: str, view: str, **options: Any) -> None:
        if to.exists() and (not to.is_dir() or any(to.iterdir())):
            raise CommandError(
                _("%(folder)s is there and not empty; give a new folder.") % {"folder": to}, returncode=2
            )
        if pattern and pattern not in (*PAIR_PATTERNS, *STOP_PATTERNS):
            known = ", ".join((*PAIR_PATTERNS, *STOP_PATTERNS))
            raise CommandError(
                _("pattern “%(pattern)s” is not known; give one of: %(known)s.")
                % {"pattern": pattern, "known": known},
                returncode=2,
            )
        collection = open_collection()
        if maker and maker not in {one.reference for one in collection.makers.values()}:
            raise CommandError(
                _("maker “%(maker)s” is not published; give a reference such as those of makers/.")
                % {"maker": maker},
                returncode=2,
            )
        try:
            frames = frames_of(collection.read_instruments(), view_of(view))
        except ValueError as error:
            raise CommandError(str(error), returncode=2) from None
        release = Release(str(settings.COLLECTION_NAME), settings.CATALOGUE_LICENCE, "", "")
        written = 0
        for path, content in study_files(frames, Subset(maker, pattern), release):
            target = to / path
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(content)
            written += 1
        self.stdout.write(
            _("%(count)d files in %(folder)s; python %(script)s checks the figures")
            % {"count": written, "folder": to, "script": to / "recompute.py"}
        )
