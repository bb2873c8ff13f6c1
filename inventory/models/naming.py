"""What other pages say of records they name, and whether the words of the vocabularies are still the same."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from django.db import connection

from .base import Root
from .vocabularies import Device, Term

Naming = tuple[str, int, str, str, str, str]
"""Kind, key, reference, name, state and audience: all that the page of another record says or asks of one."""


def naming_of(root: Root) -> Naming:
    """How a record, as it was read, is named elsewhere."""
    name: str = getattr(root, "name", "")
    return root.kind_name(), root.pk, root.reference, name, root.state, root.audience


def read_namings(wanted: Mapping[type[Root], Collection[int]]) -> tuple[int, frozenset[Naming]]:
    """How often a word of the vocabularies was changed, and how these records are named now: one query."""
    words = [str(model._meta.model_name) for model in (Term, Device)]
    # The history only grows, and its index begins with the kind: counting a few lines tells of any change.
    asked = [
        "SELECT '' AS kind, COUNT(*) AS id, '' AS reference, '' AS name, '' AS state, '' AS audience"  # noqa: S608
        f" FROM inventory_change WHERE root_kind IN ({_places(words)})"
    ]
    values: list[str | int] = [*words]
    for model, keys in wanted.items():
        if not keys:
            continue
        asked.append(
            f"SELECT '{model.kind_name()}', id, reference, name, state, audience"  # noqa: S608
            f" FROM {model._meta.db_table} WHERE id IN ({_places(keys)})"
        )
        values += sorted(keys)
    with connection.cursor() as cursor:
        cursor.execute(" UNION ALL ".join(asked), values)
        rows = cursor.fetchall()
    changes = next(row[1] for row in rows if not row[0])
    return changes, frozenset(tuple(row) for row in rows if row[0])


def _places(values: Collection[object]) -> str:
    return ", ".join(["%s"] * len(values))
