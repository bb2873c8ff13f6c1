"""The export in one readable function: gather, render, check every link, write a new folder, swap it whole."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.utils import translation

from inventory.models import User
from publishing.editions import make_edition
from publishing.formats.addresses import Address
from publishing.snapshot import reading_snapshot

from .link_reading import PageLinks, collect_links
from .links import LinkReport, join_links
from .pages import Catalogue, Page
from .pictures import PictureMaker
from .writing import WriteReport, write_site

Progress = Callable[[int, int], None]


class DeadLinks(Exception):
    """Links of the new site lead nowhere; nothing was written over the old one."""

    def __init__(self, report: LinkReport) -> None:
        shown = "; ".join(str(problem) for problem in report.problems[:5])
        more = len(report.problems) - 5
        super().__init__(
            f"{len(report.problems)} links lead nowhere: {shown}"
            + (f"; and {more} more" if more > 0 else "")
            + ". The old site was left as it was; mend the records or the templates and export again."
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
) -> WriteReport:
    """Make the whole site at `to`: replaced whole, or left untouched when anything fails, and then no edition made."""
    pictures = PictureMaker(keep=Path(settings.DATA_DIR) / "derived-pictures")
    # Every page tells of the same moment, whatever curators save meanwhile. Making an edition writes,
    # and is undone when the export fails; an export alone only reads and holds nobody up.
    moment = reading_snapshot() if edition is None else transaction.atomic()
    with translation.override(settings.CATALOGUE_LANGUAGES[0]), moment:
        if edition is not None:
            make_edition(by=edition.by, name=edition.name, changes=edition.changes)
        catalogue = Catalogue(pictures, address)
        return write_site(_checked(catalogue, progress), to)


def _checked(catalogue: Catalogue, progress: Progress | None) -> Iterator[Page]:
    """Pages as they are made; after the last one every link is checked, before anything is swapped."""
    collected: list[PageLinks] = []
    paths: set[str] = set()
    total, done = len(catalogue), 0
    for path, content in catalogue.pages():
        paths.add(path)
        if path.endswith((".html", ".css", ".svg")):
            collected.append(collect_links(path, content))
        if path.endswith(".html"):
            done += 1
            if progress is not None:
                progress(done, total)
        yield path, content
    report = join_links(collected, paths)
    if report.problems:
        raise DeadLinks(report)
