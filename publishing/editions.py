"""Making an edition: the explicit act that freezes what is published, gives it a number and a hash."""

from __future__ import annotations

import hashlib
from collections import Counter
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
from inventory.organ.schemes import answered_calls
from inventory.roles import require
from publishing.disclosure.door import without_control_signs
from publishing.disclosure.instruments import Collection, open_collection
from publishing.disclosure.values import PublicInstrument, SpecificationValue
from publishing.formats.datapackage import CHECKSUMS, DataPackage
from publishing.formats.release import Release
from publishing.models import Edition, pack

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
    described: int
    """Instruments whose specification is known: the denominator of those that share."""
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
    name, changes = without_control_signs(" ".join(name.split())), without_control_signs(changes.strip())
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
        edition.made_by, edition.changes = by, changes
        edition.save(force_insert=True)
    return edition


def _frozen(number: int, name: str, made_on: date) -> Edition:
    """The edition with its data, not yet saved."""
    collection = open_collection()
    package, figures, versions = DataPackage(collection), CollectionFigures(), versions_of(collection)
    for organ in collection.read_instruments():
        package.add(organ)
        figures.add(organ)
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
        figures=figures.as_json(),
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


class CollectionFigures:
    """Counts over the whole collection, gathered while instruments pass by: whole numbers only, no estimates."""

    def __init__(self) -> None:
        self.sums: Counter[str] = Counter()
        self.patterns: Counter[str] = Counter()
        self.devices: Counter[str] = Counter()

    def add(self, organ: PublicInstrument) -> None:
        """Count one instrument, by its current specification."""
        self.sums["instruments"] += 1
        current = organ.current
        if current is None:
            return
        answer = current.answer
        self.sums["described"] += 1
        self.sums["stops"] += len(answer["stops"])
        for name in ("calls", "pipes_called", "pipes_shared"):
            self.sums[name] += answer[name]
        if answer["families"]:
            self.sums["sharing"] += 1
            self.patterns.update(
                {one["pattern"] for family in answer["families"] for one in family["patterns"]}
            )
            self.devices.update(_devices(current))

    def as_json(self) -> dict[str, Any]:
        """The counts, in an order that never changes."""
        names = ("instruments", "described", "sharing", "stops", "calls", "pipes_called", "pipes_shared")
        return {
            **{name: self.sums[name] for name in names},
            "patterns": dict(sorted(self.patterns.items())),
            "devices": dict(sorted(self.devices.items())),
        }


def _devices(specification: SpecificationValue) -> set[str]:
    """Devices recorded on rows that share pipes; the empty code where one was not seen."""
    callers: dict[tuple[str, int], set[str]] = {}
    for call in answered_calls(specification.scheme):
        callers.setdefault((call.rank, call.pipe), set()).add(call.stop)
    shared = {rank for (rank, _pipe), stops in callers.items() if len(stops) > 1}
    return {segment.device for segment in specification.segments if segment.rank in shared}


def last_edition_figures() -> EditionFigures | None:
    """What a record's page may quote of the whole collection; None before the first edition."""
    edition = Edition.editions.newest()
    if edition is None:
        return None
    found = edition.figures
    return EditionFigures(
        edition.number, edition.name, edition.made_on.isoformat(), found["instruments"], found["described"],
        found["sharing"], found["patterns"], found["devices"], found,
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
