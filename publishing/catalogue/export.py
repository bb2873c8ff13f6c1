"""The export in one readable function: gather, render, check every link, write a new folder, swap it whole.

What an earlier export to the same folder kept beside the data spares most of the work; the bytes are those of an
export that makes everything anew (`full`).
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils import translation
from django.utils.translation import gettext_lazy as _

from inventory.languages import said_later
from inventory.models import User
from publishing.disclosure.stamps import fingerprint
from publishing.editions import make_edition
from publishing.formats.addresses import Address
from publishing.snapshot import reading_snapshot

from .collecting import collecting_less
from .kept import Kept, KeptDamaged, forget, kept_path
from .links import LinkReport, join_links
from .manifest import Mark, looks_untouched, site_digest
from .pages import Catalogue, Page
from .pictures import PictureMaker
from .program import version_of_kept
from .swapping import Places, SiteWriteError
from .writing import NotHeld, WriteReport, write_site

Progress = Callable[[int, int], None]


class DeadLinks(Exception):
    """Links of the new site lead nowhere; nothing was written over the old one."""

    def __init__(self, report: LinkReport) -> None:
        super().__init__(
            said_later(
                _(
                    "Links that lead nowhere: %(count)s, such as %(some)s. The old site was left as it was; mend the "
                    "records or the templates and export again."
                ),
                count=len(report.problems),
                some="; ".join(str(problem) for problem in report.problems[:5]),
            )
        )
        self.report = report


@dataclass(frozen=True)
class NewEdition:
    """The edition to make with an export: by whom, its name, what changed."""

    by: User
    name: str
    changes: str = ""


def export_catalogue(
    to: Path,
    *,
    progress: Progress | None = None,
    address: Address | None = None,
    edition: NewEdition | None = None,
    full: bool = False,
    executor: Executor | None = None,
    waiting: int = 2,
) -> WriteReport:
    """Make the whole site at `to`: replaced whole, or left untouched when anything fails, and then no edition made.

    `full` makes every page anew. With an `executor` instruments are made by it, `waiting` tasks at a time; the
    bytes are the same.
    """
    path = kept_path(Path(settings.DATA_DIR), to)
    if full:
        forget(path)
    # Every page tells of the same moment, whatever curators save meanwhile. Making an edition writes,
    # and is undone when the export fails; an export alone only reads and holds nobody up.
    moment = reading_snapshot() if edition is None else transaction.atomic()
    with translation.override(settings.CATALOGUE_LANGUAGES[0]), moment:
        if edition is not None:
            make_edition(by=edition.by, name=edition.name, changes=edition.changes)
        # What was kept is worth nothing if damaged; where nothing can be kept, everything is made anew each time.
        for attempt in (path, path, None):
            try:
                return _Export(to, attempt, address, progress, executor, waiting).run()
            except (KeptDamaged, NotHeld):
                forget(path)
    raise SiteWriteError(
        said_later(
            _(
                "The site at %(place)s was not written: no room for working files in the folder for temporary ones. "
                "What stood there is as it was; free some space and try again."
            ),
            place=to,
        )
    )


class _Export:
    """One export, with what was kept of the last."""

    def __init__(
        self,
        to: Path,
        path: Path | None,
        address: Address | None,
        progress: Progress | None,
        executor: Executor | None,
        waiting: int,
    ) -> None:
        self.to, self.path, self.address, self.progress = to, path, address, progress
        self.executor, self.waiting = executor, waiting
        self.kept: Kept | None = None
        self.trusted: dict[str, Mark] = {}

    def run(self) -> WriteReport:
        """Do nothing where nothing changed; else make what did, and write the site."""
        started = time.perf_counter()
        version, state = version_of_kept(self.address), fingerprint()
        try:
            count = self._untouched(version, state)
            if count:
                return WriteReport(0, count, 0, time.perf_counter() - started)
            with collecting_less():
                report = write_site(self._pages(version), self.to, self.trusted)
            if self.kept is not None:
                self.kept.put_marks(report.fresh, report.gone)
                self.kept.commit(site_digest(self.to), fingerprint=state)
                self.kept = None
        finally:
            if self.kept is not None:
                self.kept.close()
        return report

    def _untouched(self, version: str, state: str) -> int:
        """How many files a site has that is as it was left, and as it would be made now; 0 if it is not."""
        places = Places(self.to)
        if (
            self.path is None
            or not self.path.exists()
            or any(leftover.exists() for leftover in (places.new, places.old, places.journal))
        ):
            return 0
        kept = Kept(self.path, version, site_digest(self.to))
        try:
            marks = {} if kept.is_new or kept.told("fingerprint") != state else kept.marks()
        finally:
            kept.close()
        return len(marks) if marks and looks_untouched(places.target, marks) else 0

    def _pages(self, version: str) -> Iterator[Page]:
        """Pages as they are made; after the last one every link is checked, before anything is swapped."""
        # Opened when the first page is asked for: the target is locked by then, and with it this file.
        kept = self.kept = Kept(self.path, version, site_digest(self.to))
        self.trusted |= kept.marks()
        pictures = PictureMaker(keep=Path(settings.DATA_DIR) / "derived-pictures")
        catalogue = Catalogue(pictures, self.address, kept=kept, executor=self.executor, waiting=self.waiting)
        done = 0
        for path, content in catalogue.pages():
            if path.endswith(".html"):
                done += 1
                if self.progress is not None:
                    self.progress(done, len(catalogue))
            yield path, content
        self._check_links(catalogue, kept)

    def _check_links(self, catalogue: Catalogue, kept: Kept) -> None:
        """Every link of pages made anew, and of those that lead to a page, or an id in one, that is no longer there."""
        lost = (self.trusted.keys() - catalogue.seen.keys()) | catalogue.lost
        leading = None if kept.is_new else kept.pages_leading_to(lost)
        if leading is None:
            pages = (one for one in kept.all_links() if one.path in catalogue.seen)
        else:
            wanted = sorted(catalogue.fresh | (leading & catalogue.seen.keys()))
            pages = (found for path in wanted if (found := kept.links(path)) is not None)

        def ids_of(path: str) -> frozenset[str]:
            found = kept.links(path)
            return frozenset() if found is None else found.ids

        report = join_links(pages, catalogue.seen.keys(), ids_of)
        if report.problems:
            raise DeadLinks(report)
