"""Making an edition: the explicit act that freezes what is published, gives it a number and a hash."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Max
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.models import User
from inventory.roles import require
from publishing.disclosure.instruments import Collection, open_collection
from publishing.formats.datapackage import CHECKSUMS, DataPackage
from publishing.formats.release import Release
from publishing.models import Edition, pack
from publishing.statistics import measures
from publishing.statistics.frames import FrameBuilder, Frames

Versions = Mapping[str, Mapping[str, int]]
"""Version of every published record, by kind (folder) and reference."""


class EditionRefused(Exception):
    """The edition was not made; the message says what to do."""


@dataclass(frozen=True)
class EditionFigures:
    """Figures over the whole collection as the last edition has them: a record's page quotes these and says so."""

    number: int
    name: str
    made_on: str
    instruments: int
    sharing: int
    """Instruments in which some pipe is called by two stops."""
    patterns: Mapping[str, int]
    """Instruments by pattern."""
    devices: Mapping[str, int]
    """Sharing instruments by device recorded; the empty code is: not known."""
    all: Mapping[str, Any]


@dataclass(frozen=True)
class Differences:
    """Records that are new, of another version, or no longer there, by kind and reference."""

    new: tuple[tuple[str, str], ...]
    changed: tuple[tuple[str, str], ...]
    gone: tuple[tuple[str, str], ...]

    def __bool__(self) -> bool:
        return bool(self.new or self.changed or self.gone)


def make_edition(*, by: User, name: str, changes: str = "", day: date | None = None) -> Edition:
    """Freeze everything public as the next edition."""
    require(by, "make edition")
    name = name.strip()
    if not 1 <= len(name) <= 100:
        raise EditionRefused(_("Give the edition a name of 1 to 100 letters, such as “Spring 2031”."))
    with transaction.atomic():
        if Edition.editions.filter(name=name).exists():
            raise EditionRefused(
                _("There is an edition “%(name)s” already; editions are never replaced. Choose another name.")
                % {"name": name}
            )
        number = (Edition.editions.aggregate(last=Max("number"))["last"] or 0) + 1
        made_on = day or timezone.localdate()
        edition = _frozen(number, name, made_on)
        edition.made_by, edition.changes = by, changes.strip()
        edition.save(force_insert=True)
    return edition


def _frozen(number: int, name: str, made_on: date) -> Edition:
    """The edition with its data, not yet saved."""
    collection = open_collection()
    package, frames, versions = DataPackage(collection), FrameBuilder(), versions_of(collection)
    for organ in collection.read_instruments():
        package.add(organ)
        frames.add(organ)
        versions["instruments"][organ.reference] = organ.version
    # No address: frozen bytes must not depend on where a site happens to stand.
    release = Release(
        str(settings.COLLECTION_NAME),
        settings.CATALOGUE_LICENCE,
        str(number),
        made_on.isoformat(),
        edition=name,
    )
    files = list(package.files(release))
    return Edition(
        number=number,
        name=name,
        made_on=made_on,
        digest=hashlib.sha256(dict(files)[CHECKSUMS]).hexdigest(),
        counts=package.counts(),
        figures=figures_of(frames.finish()),
        records=versions,
        archive=pack(files),
    )


def versions_of(collection: Collection) -> dict[str, dict[str, int]]:
    """Versions of makers, places and sources; instruments are added as they pass by."""
    return {
        "instruments": {},
        "makers": {one.reference: one.version for one in collection.makers.values()},
        "places": {one.reference: one.version for one in collection.places.values()},
        "sources": {one.reference: one.version for one in collection.sources.values()},
    }


def figures_of(frames: Frames) -> dict[str, Any]:
    """Figures over the whole collection, each a count with what it is a count of."""
    sharing = measures.sharing_share(frames)
    table = frames.instruments
    return {
        "instruments": sharing.of,
        "sharing": sharing.count,
        "stops": int(table["stops"].sum()),
        "calls": int(table["calls"].sum()),
        "pipes_called": int(table["pipes_called"].sum()),
        "pipes_shared": int(table["pipes_shared"].sum()),
        "patterns": {share.key: share.count for share in measures.instruments_by_pattern(frames)},
        "devices": {share.key: share.count for share in measures.devices_recorded(frames)},
    }


def last_edition_figures() -> EditionFigures | None:
    """What a record's page may quote of the whole collection; None before the first edition."""
    edition = Edition.editions.newest()
    if edition is None:
        return None
    found = edition.figures
    return EditionFigures(
        edition.number, edition.name, edition.made_on.isoformat(), found["instruments"], found["sharing"],
        found["patterns"], found["devices"], found,
    )  # fmt: skip


def differences(before: Versions, after: Versions) -> Differences:
    """What changed from one state of the collection to a later one."""
    new, changed, gone = [], [], []
    for kind in sorted({*before, *after}):
        old, now = before.get(kind, {}), after.get(kind, {})
        new += [(kind, reference) for reference in sorted(now.keys() - old.keys())]
        gone += [(kind, reference) for reference in sorted(old.keys() - now.keys())]
        changed += [(kind, one) for one in sorted(now.keys() & old.keys()) if now[one] != old[one]]
    return Differences(tuple(new), tuple(changed), tuple(gone))
