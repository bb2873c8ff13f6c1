"""The open data as a Data Package (version 2): CSV tables described by one descriptor, gathered in one pass."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import tempfile
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

from django.utils import translation

from publishing.disclosure.instruments import Collection
from publishing.disclosure.values import PublicInstrument, SpecificationValue

from . import authority_tables as authorities
from . import console_tables as console
from . import instrument_tables as instruments
from . import scheme_tables as schemes
from .citation import citation_file
from .columns import Column, Table
from .csv_text import cell
from .geojson import collection_text, feature_text
from .licences import licence_of
from .release import Release

OfInstrument = Callable[[PublicInstrument], Iterable[Sequence[Any]]]
OfSpecification = Callable[[PublicInstrument, SpecificationValue], Iterable[Sequence[Any]]]
OfCollection = Callable[[Collection], Iterable[Sequence[Any]]]

BY_INSTRUMENT: tuple[tuple[Table, OfInstrument], ...] = (
    (instruments.INSTRUMENTS, instruments.instrument_rows),
    (instruments.LAYERS, instruments.layer_rows),
    (instruments.EVENTS, instruments.event_rows),
    (instruments.PARTS, instruments.part_rows),
    (instruments.TIES, instruments.tie_rows),
    (instruments.CITATIONS, instruments.citation_rows),
    (instruments.CLAIMS, instruments.claim_rows),
    (instruments.SURVEYS, instruments.survey_rows),
    (instruments.PHOTOGRAPHS, instruments.photograph_rows),
    (instruments.REGIONS, instruments.region_rows),
)
BY_SPECIFICATION: tuple[tuple[Table, OfSpecification], ...] = (
    (schemes.SPECIFICATIONS, schemes.specification_rows),
    (schemes.KEYBOARDS, schemes.keyboard_rows),
    (schemes.DIVISIONS, schemes.division_rows),
    (schemes.RANKS, schemes.rank_rows),
    (schemes.RANK_RANGES, schemes.rank_range_rows),
    (schemes.STOPS, schemes.stop_rows),
    (schemes.CHESTS, schemes.chest_rows),
    (schemes.STOP_RANKS, schemes.stop_rank_rows),
    (console.CONTROLS, console.control_rows),
    (console.COUPLERS, console.coupler_rows),
    (console.ACCESSORIES, console.accessory_rows),
    (console.COUNTS, console.count_rows),
)
BY_COLLECTION: tuple[tuple[Table, OfCollection], ...] = (
    (authorities.MAKERS, authorities.maker_rows),
    (authorities.MAKER_NAMES, authorities.maker_name_rows),
    (authorities.MAKER_TIES, authorities.maker_tie_rows),
    (authorities.PLACES, authorities.place_rows),
    (authorities.SOURCES, authorities.source_rows),
    (authorities.DEVICES, authorities.device_rows),
    (authorities.WITHDRAWN, authorities.withdrawn_rows),
)
TABLES: tuple[Table, ...] = tuple(
    table for group in (BY_INSTRUMENT, BY_SPECIFICATION, BY_COLLECTION) for table, _rows in group
)
CHECKSUMS = "checksums-sha256.txt"
DIALECT = {"delimiter": ",", "lineTerminator": "\r\n", "quoteChar": '"', "doubleQuote": True, "header": True}
IN_MEMORY = 1_000_000  # bytes of a table before it goes to a temporary file


Part = tuple[int, str]
"""Some rows of a table: how many, and their text."""


def written(table: Table, rows: Iterable[Sequence[Any]]) -> Part:
    """Rows as the lines of the table's file."""
    wide, found = len(table.columns), list(rows)
    for row in found:
        if len(row) != wide:
            raise ValueError(f"{table.file}: a row of {len(row)} cells for {wide} columns: {row!r}")
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\r\n").writerows([list(map(cell, row)) for row in found])
    return len(found), text.getvalue()


@dataclass(frozen=True)
class PackagePart:
    """What one instrument gives to the package."""

    sheets: Mapping[str, Part]
    feature: str
    released_on: str


class _Sheet:
    """One table being written; a long one lies on disk, not in memory."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self.file = tempfile.SpooledTemporaryFile(  # noqa: SIM115  closed by `content`
            max_size=IN_MEMORY, mode="w+", encoding="utf-8", newline=""
        )
        csv.writer(self.file, lineterminator="\r\n").writerow([column.name for column in table.columns])
        self.rows = 0

    def add(self, rows: Iterable[Sequence[Any]]) -> None:
        self.take(written(self.table, rows))

    def take(self, part: Part) -> None:
        self.rows += part[0]
        self.file.write(part[1])

    def content(self) -> bytes:
        self.file.seek(0)
        with self.file as file:
            return file.read().encode("utf-8")


class DataPackage:
    """Takes instruments as they pass by and yields the files at the end."""

    def __init__(self, collection: Collection) -> None:
        self.collection = collection
        self.sheets = {table.name: _Sheet(table) for table in TABLES}
        self.features: list[str] = []
        self.release: Release | None = None
        """What the package calls itself, once its files are made."""
        roots = (*collection.makers.values(), *collection.places.values(), *collection.sources.values())
        self.latest_day = max((one.released_on for one in roots), default="")
        """The last day on which any of the records was released, as YYYY-MM-DD."""

    def add(self, organ: PublicInstrument) -> None:
        """Take the rows of one instrument."""
        self.take(part_of(organ))

    def take(self, part: PackagePart) -> None:
        """Take what one instrument gives."""
        for name, rows in part.sheets.items():
            self.sheets[name].take(rows)
        self.features.append(part.feature)
        self.latest_day = max(self.latest_day, part.released_on)

    def counts(self) -> dict[str, int]:
        """Rows of each table so far."""
        return {name: sheet.rows for name, sheet in self.sheets.items()}

    def files(self, release: Release) -> Iterator[tuple[str, bytes]]:
        """Every file of the package, the checksums of all others last; ends the package."""
        for table, rows in BY_COLLECTION:
            self.sheets[table.name].add(rows(self.collection))
        resources, sums = [], {}
        for name in sorted(self.sheets):
            sheet = self.sheets[name]
            content = sheet.content()
            sums[sheet.table.file] = hashlib.sha256(content).hexdigest()
            resources.append(_resource(sheet.table, content, sums[sheet.table.file]))
            yield sheet.table.file, content
        self.release = release = self._completed(release, sums)
        rest = {
            "datapackage.json": json.dumps(_descriptor(release, resources), ensure_ascii=False, indent=1)
            + "\n",
            "instruments.geojson": collection_text(self.features),
            "CITATION.cff": citation_file(release),
        }
        for path, text in rest.items():
            content = text.encode("utf-8")
            sums[path] = hashlib.sha256(content).hexdigest()
            yield path, content
        # In the form that sha256sum -c reads.
        yield CHECKSUMS, "".join(f"{sums[path]}  {path}\n" for path in sorted(sums)).encode("utf-8")

    def _completed(self, release: Release, sums: dict[str, str]) -> Release:
        """Between editions the version is a hash of the tables: same data, same version, whatever the clock says."""
        if release.version:
            return release
        state = hashlib.sha256("".join(f"{path}{sums[path]}" for path in sorted(sums)).encode()).hexdigest()
        return replace(release, version=f"state-{state[:12]}", day=release.day or self.latest_day)


def part_of(organ: PublicInstrument) -> PackagePart:
    """What one instrument gives to the package; tables it has no row in are left out."""
    sheets = {table.name: written(table, rows(organ)) for table, rows in BY_INSTRUMENT}
    for table, rows_of in BY_SPECIFICATION:
        rows = [row for specification in organ.specifications for row in rows_of(organ, specification)]
        sheets[table.name] = written(table, rows)
    return PackagePart(
        {name: part for name, part in sheets.items() if part[0]}, feature_text(organ), organ.released_on
    )


def _descriptor(release: Release, resources: list[dict[str, Any]]) -> dict[str, Any]:
    licence = licence_of(release.licence)
    named = {"name": licence.spdx or "other", "title": licence.words}
    document: dict[str, Any] = {
        "$schema": "https://datapackage.org/profiles/2.0/datapackage.json",
        "name": "pipe-organs" + (f"-edition-{release.version}" if release.edition else ""),
        "title": release.title,
        "description": release.about,
        "version": release.version,
        "licenses": [named | ({"path": licence.address} if licence.address else {})],
        "contributors": [{"title": release.publisher, "roles": ["publisher"]}],
        "keywords": ["pipe organs", "organ building", "inventory", "shared pipes"],
        "resources": resources,
    }
    if release.edition:
        document["created"] = f"{release.day}T00:00:00Z"
    if release.address is not None:
        document["homepage"] = release.address.of("data.html")
    return document


def _resource(table: Table, content: bytes, digest: str) -> dict[str, Any]:
    # The descriptor is for programs and stays in one language, whatever the pages speak.
    with translation.override("en"):
        schema: dict[str, Any] = {
            "fields": [_field(column) for column in table.columns],
            "primaryKey": list(table.key),
        }
        if table.references:
            schema["foreignKeys"] = [
                {
                    "fields": list(one.columns),
                    "reference": {"resource": one.table.replace("_", "-"), "fields": list(one.there)},
                }
                for one in table.references
            ]
        return {
            "name": table.name.replace("_", "-"),
            "type": "table",
            "profile": "tabular-data-resource",
            "path": table.file,
            "title": str(table.title),
            "description": str(table.meaning),
            "format": "csv",
            "mediatype": "text/csv",
            "encoding": "utf-8",
            "bytes": len(content),
            "hash": f"sha256:{digest}",
            "dialect": {
                "delimiter": ",",
                "lineTerminator": "\r\n",
                "quoteChar": '"',
                "doubleQuote": True,
                "header": True,
            },
            "schema": schema,
        }


def _field(column: Column) -> dict[str, Any]:
    unit = f" Unit: {column.unit}." if column.unit else ""
    field: dict[str, Any] = {
        "name": column.name,
        "type": column.kind,
        "description": f"{column.meaning}{unit}",
    }
    limits: dict[str, Any] = {}
    if column.required:
        limits["required"] = True
    if column.pattern:
        limits["pattern"] = column.pattern
    if column.values:
        limits["enum"] = list(column.values)
    if column.lowest is not None:
        limits["minimum"] = column.lowest
    return field | ({"constraints": limits} if limits else {})
