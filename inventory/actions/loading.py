"""Records that came from a fixture get a first line of history and their place in the search index."""

from __future__ import annotations

from django.db import transaction

from inventory.models import Change, Instrument, Maker, Place, Source, User
from inventory.roles import require

from .searching import rebuild_index

ROOTS = (Place, Maker, Source, Instrument)


def remember_loaded(*, by: User, why: str) -> int:
    """Write the first line of history of every record that has none; returns how many."""
    require(by, "change people")
    with transaction.atomic():
        known = set(Change.objects.values_list("root_kind", "reference"))
        lines = [
            Change(
                root_kind=model.kind_name(),
                reference=reference,
                version=version,
                action="load",
                who=by,
                why=why,
            )
            for model in ROOTS
            for reference, version in model.objects.order_by("reference").values_list("reference", "version")
            if (model.kind_name(), reference) not in known
        ]
        Change.objects.bulk_create(lines)
        if lines:
            rebuild_index()
    return len(lines)
