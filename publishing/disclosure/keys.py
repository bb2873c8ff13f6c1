"""What the rows of each public instrument rest on, as a short text that changes when any of it does.

Whoever keeps something made of a frozen instrument keeps this beside it, and makes it anew when
the text is another. Reading it costs a few columns, not the instrument.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from typing import Any

from django.db import connection
from django.db.migrations.recorder import MigrationRecorder

from inventory.models import Event, Instrument, Layer, Term

from .door import in_chunks, read_roots, read_rows
from .instruments import Collection
from .roots import read_devices


def instrument_keys(collection: Collection) -> Mapping[int, str]:
    """The key of every public instrument, in order of reference: its version, and the links it shows.

    An action on an instrument raises its version; a maker or place named in it that is released,
    renamed or withdrawn changes its link; a word of a vocabulary changes every key, and so does
    another database.
    """
    ids = list(collection.instruments)
    common = _digest([_database(), _vocabularies()])
    places = {pk: [place.link.reference, place.link.name, [one.reference + one.name for one in place.within]]
              for pk, place in collection.places.items()}  # fmt: skip
    makers = {pk: [maker.link.reference, maker.link.name] for pk, maker in collection.makers.items()}
    keys: dict[int, str] = {}
    for chunk in in_chunks(ids, 5_000):
        rows = read_roots(Instrument, chunk, "reference", "version", "place_id")
        layers, events = read_rows(Layer, chunk, "maker_id"), read_rows(Event, chunk, "maker_id")
        for pk, row in rows.items():
            named = {one["maker_id"] for one in (*layers.get(pk, ()), *events.get(pk, ()))}
            seen = [makers[maker] for maker in sorted(named & makers.keys())]
            keys[pk] = _digest([common, pk, row["version"], places.get(row["place_id"]), seen])
    return keys


def _vocabularies() -> list[Any]:
    terms = Term.objects.order_by("vocabulary", "code").values_list("vocabulary", "code", "names")
    return [*map(list, terms), *([code, dict(device.names)] for code, device in read_devices().items())]


def _database() -> str:
    """Tells one database from another that was made later in the same place."""
    first = MigrationRecorder(connection).migration_qs.order_by("applied", "id").first()
    return first.applied.isoformat() if first else ""


def _digest(parts: list[Any]) -> str:
    text = json.dumps(parts, ensure_ascii=False, sort_keys=True)
    return hashlib.sha256(text.encode()).hexdigest()[:24]
