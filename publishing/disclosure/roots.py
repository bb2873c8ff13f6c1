"""Places, makers and sources that everybody may read, as frozen values by key."""

from __future__ import annotations

from collections.abc import Mapping

from inventory.models import Device, Maker, MakerName, MakerTie, Place, Source

from .door import check_column, public_ids, read_roots, read_rows
from .parts import Links, iso_day, link, other_languages, shown_position, when
from .values import DeviceValue, Link, MakerTieValue, PublicMaker, PublicPlace, PublicSource


def read_places() -> dict[int, PublicPlace]:
    """Public places; the exact position is read only to find its square, and goes no further."""
    ids = public_ids(Place)
    rows = read_roots(
        Place,
        ids,
        "reference",
        "version",
        "released_on",
        "name",
        "other_names",
        "kind",
        "note",
        "note_fr",
        "note_es",
        "parent_id",
        "grid_degrees",
    )
    positions = Place.objects.filter(pk__in=ids).values_list("pk", "latitude", "longitude")
    exact = {pk: (latitude, longitude) for pk, latitude, longitude in positions}
    links = {pk: link("place", row) for pk, row in rows.items()}
    parents = {pk: row["parent_id"] for pk, row in rows.items()}
    return {
        pk: PublicPlace(
            reference=row["reference"],
            version=row["version"],
            released_on=iso_day(row["released_on"]),
            name=row["name"],
            other_names=tuple(name.strip() for name in row["other_names"].split(";") if name.strip()),
            kind=row["kind"],
            note=row["note"],
            within=_outwards(pk, parents, links),
            position=shown_position(*exact[pk], row["grid_degrees"]),
            link=links[pk],
            note_in=other_languages(row, "note"),
        )
        for pk, row in rows.items()
    }


def _outwards(pk: int, parents: Mapping[int, int | None], links: Links) -> tuple[Link, ...]:
    """Public places around a place, nearest first; a private one in between hides those beyond it."""
    found: list[Link] = []
    at = parents.get(pk)
    while at is not None and at in links and links[at] not in found:
        found.append(links[at])
        at = parents.get(at)
    return tuple(found)


def read_makers(places: Links) -> dict[int, PublicMaker]:
    """Public makers with their names and their ties to other public makers."""
    ids = public_ids(Maker)
    rows = read_roots(
        Maker, ids, "reference", "version", "released_on", "name", "sort_name", "kind", "began", "ended", "active",
        "workshop_place_id", "note", "note_fr", "note_es",
    )  # fmt: skip
    links = {pk: link("maker", row) for pk, row in rows.items()}
    names = read_rows(MakerName, ids, "name", "where_found")
    ties = read_rows(MakerTie, ids, "kind", "other_id", "when", "certainty", "said_by")
    return {
        pk: PublicMaker(
            reference=row["reference"],
            version=row["version"],
            released_on=iso_day(row["released_on"]),
            name=row["name"],
            sort_name=row["sort_name"],
            kind=row["kind"],
            began=when(row["began"]),
            ended=when(row["ended"]),
            active=when(row["active"]),
            workshop=places.get(row["workshop_place_id"]),
            note=row["note"],
            variants=tuple((name["name"], name["where_found"]) for name in names[pk]),
            ties=tuple(
                MakerTieValue(
                    tie["kind"], links[tie["other_id"]], when(tie["when"]), tie["certainty"], tie["said_by"]
                )
                for tie in ties[pk]
                if tie["other_id"] in links
            ),
            link=links[pk],
            note_in=other_languages(row, "note"),
        )
        for pk, row in rows.items()
    }


def read_sources() -> dict[int, PublicSource]:
    """Public sources."""
    rows = read_roots(
        Source, public_ids(Source), "reference", "version", "released_on", "name", "kind__names", "author", "when",
        "held_at", "shelfmark", "quality",
    )  # fmt: skip
    return {
        pk: PublicSource(
            reference=row["reference"],
            version=row["version"],
            released_on=iso_day(row["released_on"]),
            name=row["name"],
            kind=row["kind__names"],
            author=row["author"],
            when=when(row["when"]),
            held_at=row["held_at"],
            shelfmark=row["shelfmark"],
            quality=row["quality"],
            link=link("source", row),
        )
        for pk, row in rows.items()
    }


def read_devices() -> dict[str, DeviceValue]:
    """The devices of the vocabulary by code: words, which are nobody's secret."""
    columns = ("code", "names", "non_return", "explanation")
    for column in columns:
        check_column(Device, column)
    return {row["code"]: DeviceValue(**row) for row in Device.objects.order_by("code").values(*columns)}
