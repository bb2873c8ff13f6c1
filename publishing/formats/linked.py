"""schema.org JSON-LD: an ItemPage about a VisualArtwork for each instrument, and the Dataset once.

There is no type for an organ in schema.org, so the instrument is a visual artwork of the
form "pipe organ"; where it stands is said of the page (contentLocation), because a work
has no property for it. All addresses are absolute, so this is made only with --address.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import Any

from publishing.disclosure.values import EventValue, Position, PublicInstrument

from .addresses import Address
from .licences import licence_of
from .release import Release

CONTEXT = "https://schema.org"
DATASET = "data.html#dataset"
BUILT = "built"
SURE = ("signed", "firm", "attributed")
Node = dict[str, Any]


def instrument_page(
    organ: PublicInstrument,
    address: Address,
    *,
    licence: str,
    language: str,
    maker_kinds: Mapping[str, str],
    picture: str = "",
) -> Node:
    """The page of one instrument and what it is about; `picture` is the path of its first picture in the site."""
    page = address.of(f"instruments/{organ.reference}.html")
    node: Node = {
        "@context": CONTEXT,
        "@type": "ItemPage",
        "@id": page,
        "url": page,
        "name": organ.name,
        "inLanguage": language,
        "license": licence_of(licence).address,
        "version": str(organ.version),
        "dateModified": organ.released_on,
        "isPartOf": {"@id": address.of(DATASET)},
        "contentLocation": _place(organ, address),
        "mainEntity": _artwork(organ, address, page, maker_kinds, picture),
    }
    return _filled(node)


def _artwork(
    organ: PublicInstrument, address: Address, page: str, kinds: Mapping[str, str], picture: str
) -> Node:
    built = _building(organ)
    year = built.when.earliest_year if built and built.when else None
    creators = [
        {
            "@type": "Organization" if kinds.get(one.maker.reference) == "firm" else "Person",
            "@id": address.of(f"makers/{one.maker.reference}.html"),
            "name": one.maker.name,
        }
        for one in organ.events
        if one.kind_code == BUILT and one.maker and one.attribution in SURE
    ]
    return _filled(
        {
            "@type": "VisualArtwork",
            "@id": f"{page}#instrument",
            "name": organ.name,
            "artform": "pipe organ",
            "description": organ.summary,
            "identifier": {"@type": "PropertyValue", "name": "reference", "value": organ.reference},
            # One year only where the date is no wider than that: schema.org knows no uncertainty.
            "dateCreated": f"{year:04d}"
            if year is not None and built and built.when and year == built.when.latest_year
            else None,
            "creator": creators,
            "image": _picture(organ, address, picture),
        }
    )


def _building(organ: PublicInstrument) -> EventValue | None:
    """The first event in which the instrument was built."""
    for one in organ.events:
        if one.kind_code == BUILT:
            return one
    return None


def _place(organ: PublicInstrument, address: Address) -> Node | None:
    if organ.place is None:
        return None
    return _filled(
        {
            "@type": "Place",
            "@id": address.of(f"places/{organ.place.reference}.html"),
            "name": organ.place.name,
            "geo": _middle(organ.place.position),
        }
    )


def _middle(at: Position | None) -> Node | None:
    """The middle of the published square with its radius, as a circle."""
    if at is None:
        return None
    middle = {
        "@type": "GeoCoordinates",
        "latitude": round(at.latitude, 6),
        "longitude": round(at.longitude, 6),
    }
    return {"@type": "GeoCircle", "geoMidpoint": middle, "geoRadius": at.radius_m}


def _picture(organ: PublicInstrument, address: Address, path: str) -> Node | None:
    if not path or not organ.pictures:
        return None
    first = organ.pictures[0]
    return _filled(
        {
            "@type": "ImageObject",
            "contentUrl": address.of(path),
            "caption": first.caption or first.shows,
            "creditText": first.credit,
            "license": licence_of(first.licence).address,
        }
    )


def dataset(
    release: Release,
    address: Address,
    *,
    language: str,
    bytes_of: Mapping[str, int],
    years: tuple[int, int] | None,
) -> Node:
    """The open data as a whole; `bytes_of` gives the size of every file by its path in the site."""
    kinds = {"csv": "text/csv", "json": "application/json", "geojson": "application/geo+json"}
    publisher = {"@type": "Organization", "name": release.publisher, "url": address.root}
    downloads = [
        {
            "@type": "DataDownload",
            "contentUrl": address.of(path),
            "encodingFormat": kinds[path.rpartition(".")[2]],
            "contentSize": f"{size} B",
        }
        for path, size in sorted(bytes_of.items())
        if path.rpartition(".")[2] in kinds
    ]
    return _filled(
        {
            "@context": CONTEXT,
            "@type": "Dataset",
            "@id": address.of(DATASET),
            "url": address.of("data.html"),
            "name": release.title,
            "description": release.about,
            "license": licence_of(release.licence).address,
            "version": release.version,
            "datePublished": release.day,
            "inLanguage": language,
            "isAccessibleForFree": True,
            "creator": publisher,
            "publisher": publisher,
            "temporalCoverage": f"{years[0]:04d}/{years[1]:04d}" if years else None,
            "distribution": downloads,
        }
    )


def years_of(organ: PublicInstrument) -> list[int]:
    """Years that bound its dated events, where they have bounds."""
    bounds = [
        year for one in organ.events if one.when for year in (one.when.earliest_year, one.when.latest_year)
    ]
    return [year for year in bounds if year is not None]


def _filled(node: Node) -> Node:
    return {name: value for name, value in node.items() if value not in (None, "", [], {})}


def script_text(node: Node) -> str:
    """As the content of a script element: no sign in it can end that element."""
    text = json.dumps(node, ensure_ascii=False, sort_keys=True)
    return text.replace("&", "\\u0026").replace("<", "\\u003c").replace(">", "\\u003e")
