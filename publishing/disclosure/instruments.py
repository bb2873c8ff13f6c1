"""Public instruments as complete frozen values, in chunks."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from inventory.models import (
    Citation,
    Claim,
    Event,
    Instrument,
    Layer,
    Maker,
    Part,
    Photograph,
    Place,
    Region,
    Source,
    Survey,
    Tie,
)
from inventory.models.choices import Audience
from inventory.readers import shows_picture

from .about import may_be_told
from .condition import read_conditions
from .danger import read_dangers
from .door import CONSENT_GROUPS, Row, consenting, gone_ids, in_chunks, public_ids, read_roots, read_rows
from .parts import FOLDERS, Links, iso_day, link, other_languages, plain_number, when
from .roots import read_devices, read_makers, read_places, read_sources
from .specifications import read_specifications
from .values import (
    CitationValue,
    ClaimValue,
    DeviceValue,
    EventValue,
    Gone,
    LayerValue,
    Link,
    PartValue,
    PictureValue,
    PublicInstrument,
    PublicMaker,
    PublicPlace,
    PublicSource,
    RegionValue,
    SurveyValue,
)


@dataclass(frozen=True)
class Collection:
    """Everything public but the instruments themselves, which come in chunks."""

    places: Mapping[int, PublicPlace]
    makers: Mapping[int, PublicMaker]
    sources: Mapping[int, PublicSource]
    devices: Mapping[str, DeviceValue]
    instruments: Links
    gone: tuple[Gone, ...]

    def read_instruments(self, chunk: int = 200) -> Iterator[PublicInstrument]:
        """Complete public instruments, by reference."""
        for ids in in_chunks(list(self.instruments), chunk):
            yield from read_instruments(ids, self)


def open_collection() -> Collection:
    """Read what every page may link to."""
    places = read_places()
    makers = read_makers({pk: place.link for pk, place in places.items()})
    rows = read_roots(Instrument, public_ids(Instrument), "reference", "name")
    instruments = {pk: link("instrument", row) for pk, row in rows.items()}
    return Collection(
        places=places,
        makers=makers,
        sources=read_sources(),
        devices=read_devices(),
        instruments=instruments,
        gone=read_gone(instruments),
    )


def read_gone(instruments: Links) -> tuple[Gone, ...]:
    """Records of every kind that were published once: only reference and reason, and where it went."""
    found = []
    for kind, model in (("instrument", Instrument), ("maker", Maker), ("place", Place), ("source", Source)):
        columns = ("reference", "withdrawn_because", *(("merged_into_id",) if model is Instrument else ()))
        for row in read_roots(model, gone_ids(model), *columns).values():
            link_to = Link(FOLDERS[kind], row["reference"], row["reference"])
            found.append(Gone(link_to, row["withdrawn_because"], instruments.get(row.get("merged_into_id"))))
    return tuple(found)


def read_instruments(
    ids: Iterable[int], collection: Collection, evaluated: bool = True
) -> list[PublicInstrument]:
    """These public instruments, complete, by reference: about thirty queries however many there are.

    Not `evaluated`: without the answers of their schemes, for whoever evaluates only what is needed.
    """
    ids = list(ids)
    makers = {pk: maker.link for pk, maker in collection.makers.items()}
    places = {pk: place.link for pk, place in collection.places.items()}
    sources = {pk: source.link for pk, source in collection.sources.items()}
    rows = read_roots(
        Instrument, ids, "reference", "version", "released_on", "name", "status", "status_since", "place_id", "summary",
        "summary_fr", "summary_es",
        "action__names", "pitch_hz", "pitch_temperature_c", "temperament", "wind_pressure_mm",
    )  # fmt: skip
    layers = read_rows(
        Layer, ids, "code", "name", "when", "maker_id", "attribution", "certainty", "note",
        order=("when_sort", "code"),
    )  # fmt: skip
    events = read_rows(
        Event, ids, "code", "kind__code", "kind__names", "when", "when_sort", "maker_id", "role__names",
        "attribution", "place_id", "from_place_id", "text", "certainty", "silenced_by__names",
    )  # fmt: skip
    parts = read_rows(
        Part, ids, "code", "kind__names", "name", "layer__name", "looked_at", "certainty", "description"
    )
    citations = read_rows(Citation, ids, "about", "source_id", "locator", "certainty", "quote", "note")
    claims = read_rows(
        Claim, ids, "about", "value", "source_id", "locator", "certainty", "preferred", "because"
    )
    ties = read_rows(Tie, ids, "kind", "other_id", "certainty", "note")
    specifications = read_specifications(ids, evaluated)
    surveys = _read_surveys(ids)
    pictures = _read_pictures(ids)
    dangers = read_dangers(ids)
    conditions = read_conditions(ids)
    consents = {group: set(consenting(ids, group)) for group in CONSENT_GROUPS}

    def told(pk: int, statements: list[Row]) -> list[Row]:
        """Statements about what is public itself."""
        shown = {
            "event": {one["code"] for one in events[pk]},
            "photograph": {one.code for one in pictures.get(pk, ())},
        }
        consented = {group for group, those in consents.items() if pk in those}
        return [one for one in statements if may_be_told(one["about"], "instrument", shown, consented)]

    return [
        PublicInstrument(
            reference=row["reference"],
            version=row["version"],
            released_on=iso_day(row["released_on"]),
            name=row["name"],
            status=row["status"],
            status_since=when(row["status_since"]),
            place=collection.places.get(row["place_id"]),
            summary=row["summary"],
            action=row["action__names"],
            pitch=(plain_number(row["pitch_hz"]), plain_number(row["pitch_temperature_c"]))
            if row["pitch_hz"] is not None
            else None,
            temperament=row["temperament"],
            wind_pressure_mm=plain_number(row["wind_pressure_mm"]),
            layers=tuple(_layer(one, makers) for one in layers[pk]),
            events=tuple(_event(one, makers, places) for one in sorted(events[pk], key=_in_time)),
            parts=tuple(_part(one) for one in parts[pk]),
            specifications=specifications[pk],
            surveys=surveys.get(pk, ()),
            pictures=pictures.get(pk, ()),
            citations=tuple(
                _citation(one, sources) for one in told(pk, citations[pk]) if one["source_id"] in sources
            ),
            claims=tuple(_claim(one, sources) for one in told(pk, claims[pk])),
            ties=tuple(
                (one["kind"], collection.instruments[one["other_id"]], one["certainty"], one["note"])
                for one in ties[pk]
                if one["other_id"] in collection.instruments
            ),
            link=collection.instruments[pk],
            summary_in=other_languages(row, "summary"),
            danger=dangers.get(pk),
            condition=conditions.get(pk),
        )
        for pk, row in rows.items()
    ]


def _in_time(row: Row) -> tuple[bool, int, str]:
    return (row["when_sort"] is None, row["when_sort"] or 0, row["code"])


def _layer(row: Row, makers: Mapping[int, Link]) -> LayerValue:
    return LayerValue(
        row["code"],
        row["name"],
        when(row["when"]),
        makers.get(row["maker_id"]),
        row["attribution"],
        row["certainty"],
        row["note"],
    )


def _event(row: Row, makers: Mapping[int, Link], places: Mapping[int, Link]) -> EventValue:
    return EventValue(
        code=row["code"],
        kind=row["kind__names"],
        when=when(row["when"]),
        maker=makers.get(row["maker_id"]),
        role=row["role__names"],
        attribution=row["attribution"] if row["maker_id"] in makers else "",
        place=places.get(row["place_id"]),
        from_place=places.get(row["from_place_id"]),
        text=row["text"],
        certainty=row["certainty"],
        kind_code=row["kind__code"],
        silenced_by=row["silenced_by__names"],
    )


def _part(row: Row) -> PartValue:
    return PartValue(
        row["code"],
        row["kind__names"],
        row["name"],
        row["layer__name"] or "",
        row["looked_at"],
        row["certainty"],
        row["description"],
    )


def _citation(row: Row, sources: Mapping[int, Link]) -> CitationValue:
    return CitationValue(
        row["about"], sources[row["source_id"]], row["locator"], row["certainty"], row["quote"], row["note"]
    )


def _claim(row: Row, sources: Mapping[int, Link]) -> ClaimValue:
    return ClaimValue(
        row["about"],
        row["value"],
        sources.get(row["source_id"]),
        row["locator"],
        row["certainty"],
        row["preferred"],
        row["because"],
    )


SURVEY_MEASURES = ("temperature_c", "humidity_percent", "pressure_mm", "pitch_hz")


def _measure(told: Mapping[str, Any], name: str) -> float | None:
    return None if told.get(name) is None else float(told[name])


def _read_surveys(ids: list[int]) -> dict[int, tuple[SurveyValue, ...]]:
    """Surveys; what they found only where a consent for condition stands."""
    rows = read_rows(
        Survey, ids, "code", "when", "level", "limits", "printed_as", order=("when_sort", "code")
    )
    found = read_rows(
        Survey,
        consenting(ids, "condition"),
        "findings",
        "notes_heard",
        "notes_tried",
        *SURVEY_MEASURES,
        "playability",
        consented="condition",
        by="id",
    )
    made = {}
    for instrument, listed in rows.items():
        values = []
        for row in listed:
            told = (found.get(row["pk"]) or [{}])[0]
            heard, tried = told.get("notes_heard"), told.get("notes_tried")
            values.append(
                SurveyValue(
                    row["code"],
                    when(row["when"]),
                    row["level"],
                    row["limits"],
                    told.get("findings", ""),
                    (heard, tried) if heard is not None and tried is not None else None,
                    row["printed_as"],
                    *(_measure(told, name) for name in SURVEY_MEASURES),
                    playability=told.get("playability", ""),
                )
            )
        made[instrument] = tuple(values)
    return made


def _read_pictures(ids: list[int]) -> dict[int, tuple[PictureValue, ...]]:
    """Pictures for everybody, with a licence and nobody's consent outstanding."""
    rows = read_rows(
        Photograph, ids, "code", "file", "width", "height", "shows", "caption", "is_drawn", "when", "credit",
        "licence", "consent", order=("order", "code"),
    )  # fmt: skip
    regions = read_rows(
        Region,
        ids,
        "order",
        "x",
        "y",
        "width",
        "height",
        "label",
        by="photograph_id",
        order=("order", "code"),
    )
    return {
        instrument: tuple(
            PictureValue(
                code=row["code"],
                file=row["file"],
                width=row["width"],
                height=row["height"],
                shows=row["shows"],
                caption=row["caption"],
                is_drawn=row["is_drawn"],
                when=when(row["when"]),
                credit=row["credit"],
                licence=row["licence"],
                regions=tuple(
                    RegionValue(one["order"], one["x"], one["y"], one["width"], one["height"], one["label"])
                    for one in regions.get(row["pk"], [])
                ),
            )
            for row in listed
            if shows_picture(Audience.PUBLIC, row["licence"], row["consent"])
        )
        for instrument, listed in rows.items()
    }
