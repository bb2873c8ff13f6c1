"""What exports and kept rows rest on, told cheaply: the day, and what curators changed. Nothing of it is published.

Whoever keeps something made of a frozen instrument keeps such a text beside it, and makes it anew when the text is
another. Actions raise the version of the record they change, and that is what is looked at; loading fixtures leaves
a mark of its own; a database altered behind both is not noticed for records whose version stayed (`--full` makes
everything of an export anew).
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Iterable, Mapping

from django.apps import apps
from django.core.files.storage import default_storage
from django.db import connection, models
from django.db.migrations.recorder import MigrationRecorder
from django.db.models import Q
from django.utils.timezone import localdate

from inventory.fixture_loading import loading_marker
from inventory.models import (
    Consent,
    Criterion,
    Device,
    Event,
    Instrument,
    Layer,
    Maker,
    Photograph,
    Place,
    Root,
    Source,
    Term,
)
from inventory.models.base import Belonging
from inventory.past import latest_change_number
from publishing.models import Edition

from .door import in_chunks, published, read_roots, read_rows
from .instruments import Collection

Affected = dict[type[models.Model], set[int]]


def fingerprint() -> str:
    """Changes whenever anything does that an export reads from the database or the store of pictures."""
    told: list[object] = [localdate().isoformat(), str(connection.settings_dict["NAME"])]
    for model in apps.get_app_config("inventory").get_models():
        if issubclass(model, Root):
            told.append(list(model.objects.order_by("pk").values_list("pk", "version", "state", "audience")))
    told.append(latest_change_number())
    told.append(list(Edition.editions.order_by("number").values_list("number", "digest")))
    told.append(vocabularies_digest())
    told.append(sorted(_consents()))
    told.append([(pk, *_look(file)) for pk, file in _photographs()])
    return _digest(told)


def vocabularies_digest() -> str:
    """Changes with any word of the vocabularies, any criterion, a load of fixtures, and a database made anew."""
    terms = [tuple(map(str, row)) for row in Term.objects.order_by("pk").values_list()]
    devices = [tuple(map(str, row)) for row in Device.objects.order_by("pk").values_list()]
    criteria = [tuple(map(str, row)) for row in Criterion.objects.order_by("pk").values_list()]
    first = MigrationRecorder(connection).migration_qs.order_by("applied", "id").first()
    return _digest([terms, devices, criteria, first.applied.isoformat() if first else "", loading_marker()])


def instrument_stamps(collection: Collection) -> dict[int, str]:
    """Version of every public instrument, with the consents that stand today and how its pictures look."""
    versions = dict(published(Instrument).values_list("pk", "version"))
    stamps = {pk: [str(versions[pk])] for pk in collection.instruments}
    for pk, group in sorted(_consents()):
        if pk in stamps:
            stamps[pk].append(group)
    for pk, file in _photographs():
        if pk in stamps:
            stamps[pk].append(f"{file} {_look(file)}")
    return {pk: f"{pk} {_digest(told)}" for pk, told in stamps.items()}


def row_stamps(collection: Collection) -> dict[int, str]:
    """What the statistics' rows of every public instrument rest on, in order of reference: its version and links.

    Less than `instrument_stamps`: no consent and no picture puts anything into a row. A maker or place
    named in an instrument that is released, renamed or withdrawn changes its link.
    """
    ids = list(collection.instruments)
    common = vocabularies_digest()
    places = {pk: [place.link.reference, place.link.name, place.kind, [one.reference + one.name for one in place.within]]
              for pk, place in collection.places.items()}  # fmt: skip
    makers = {pk: [maker.link.reference, maker.link.name] for pk, maker in collection.makers.items()}
    stamps: dict[int, str] = {}
    for chunk in in_chunks(ids, 5_000):
        rows = read_roots(Instrument, chunk, "reference", "version", "place_id")
        layers, events = read_rows(Layer, chunk, "maker_id"), read_rows(Event, chunk, "maker_id")
        for pk, row in rows.items():
            named = {one["maker_id"] for one in (*layers.get(pk, ()), *events.get(pk, ()))}
            seen = [makers[maker] for maker in sorted(named & makers.keys())]
            stamps[pk] = _digest([common, pk, row["version"], places.get(row["place_id"]), seen])[:24]
    return stamps


def authority_digests(collection: Collection) -> dict[str, dict[str, str]]:
    """What an instrument shows of each record that it names, by kind and key: changes when that does."""
    makers = {pk: (maker.link, maker.kind) for pk, maker in collection.makers.items()}
    sources = {pk: source.link for pk, source in collection.sources.items()}
    kinds = (
        ("place", collection.places),
        ("maker", makers),
        ("source", sources),
        ("instrument", collection.instruments),
    )
    return {kind: {str(pk): _short(repr(value)) for pk, value in found.items()} for kind, found in kinds}


def instruments_naming(
    before: Mapping[str, Mapping[str, str]], now: Mapping[str, Mapping[str, str]]
) -> set[int]:
    """Keys of instruments that name a record which changed, came or went, by any field of any of their rows."""
    changed: Affected = {}
    for kind, model in (("place", Place), ("maker", Maker), ("source", Source), ("instrument", Instrument)):
        old, new = before.get(kind, {}), now[kind]
        keys = {int(pk) for pk in old.keys() | new.keys() if old.get(pk) != new.get(pk)}
        if keys:
            changed[model] = keys
    found: set[int] = set()
    if not changed:
        return found
    for model in apps.get_app_config("inventory").get_models():
        path = "pk" if model is Instrument else _way_to_instrument(model)
        for field in model._meta.concrete_fields:
            keys = changed.get(field.related_model, set())  # type: ignore[arg-type]
            if not path or not keys or field.name == path:
                continue
            for chunk in _chunks(sorted(keys)):
                rows = model._default_manager.filter(**{f"{field.attname}__in": chunk})
                found.update(rows.order_by().values_list(path, flat=True))
    return found


def _way_to_instrument(model: type[models.Model]) -> str:
    """The path from a row to the instrument it belongs to; empty where it belongs to another record."""
    if not issubclass(model, Belonging):
        return ""
    at: type[models.Model] = model
    for step in model.root_path.split("__"):
        at = at._meta.get_field(step).related_model  # type: ignore[assignment]
    return model.root_path if at is Instrument else ""


def _chunks(keys: list[int], size: int = 500) -> Iterable[list[int]]:
    return (keys[start : start + size] for start in range(0, len(keys), size))


def _consents() -> list[tuple[int, str]]:
    """Instrument and group of every consent that stands today."""
    today = Q(until_latest__isnull=True) | Q(until_latest__gte=localdate())
    rows = Consent.objects.filter(today, withdrawn=False).values_list("instrument_id", "group")
    return list(rows.order_by().distinct())


def _photographs() -> Iterable[tuple[int, str]]:
    return Photograph.objects.order_by("instrument_id", "pk").values_list("instrument_id", "file")


def _look(file: str) -> tuple[int, int]:
    """Size and last change of a stored file; noughts where there is none, or the store has no paths."""
    try:
        state = os.stat(default_storage.path(file))
    except (OSError, NotImplementedError, ValueError):
        return (0, 0)
    return (state.st_size, state.st_mtime_ns)


def _short(text: str) -> str:
    return hashlib.sha256(text.encode()).hexdigest()[:16]


def _digest(told: object) -> str:
    return hashlib.sha256(json.dumps(told, default=str).encode()).hexdigest()
