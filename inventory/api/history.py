"""The history of a record as far as one person may read the fields it tells of."""

from __future__ import annotations

from typing import Any

from inventory.models import Change, Root
from inventory.readers import Reader
from inventory.visibility import includes

from .kinds import fields_of, row_kinds
from .preconditions import TellableFields

STEPS = frozenset({"state", "version", "released_version", "released_on", "withdrawn_because", "merged_into"})
"""Fields of a record that only the editorial way sets."""


def read_history(root: Root, reader: Reader, before: int, limit: int) -> tuple[list[dict[str, Any]], bool]:
    """Changes before a version, newest first; of fields that may not be read, only that they changed."""
    every = Change.objects.of(root)
    found = list(every.filter(version__lt=before).select_related("who")[: limit + 1])
    told = TellableFields(root, reader, _hidden_rows(root, reader, every))
    changes = [
        {
            "version": change.version,
            "action": change.action,
            "who": change.who.username if change.who else None,
            "when": change.when.isoformat(),
            "why": change.why,
            "fields": [
                {"where": entry["path"], "old": entry["old"], "new": entry["new"]}
                for entry in change.fields
                if entry["path"] in STEPS or told.may_tell(entry["path"])
            ],
            "withheld": sum(
                not (entry["path"] in STEPS or told.may_tell(entry["path"])) for entry in change.fields
            ),
        }
        for change in found[:limit]
    ]
    return changes, len(found) > limit


def _hidden_rows(root: Root, reader: Reader, every: Any) -> frozenset[str]:
    """Rows that are, or ever were, for others: what they said then stays withheld."""
    audience = reader.audience_for(root.kind_name(), root.reference)
    hidden = set()
    for kind in row_kinds(type(root)).values():
        if "audience" in fields_of(kind.model):
            rows = kind.model.objects.filter(**{kind.to_root: root}).values_list("audience", *kind.columns)
            hidden |= {kind.path(tuple(key)) for own, *key in rows if not includes(audience, own)}
    for entries in every.values_list("fields", flat=True):
        for entry in entries:
            row, _hash, field = str(entry["path"]).partition("#")
            if field == "audience":
                said = [value for value in (entry["old"], entry["new"]) if value]
                hidden |= {row for value in said if not includes(audience, value)}
    return frozenset(hidden)
