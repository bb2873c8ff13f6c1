"""The history of a record as far as one person may read the fields it tells of."""

from __future__ import annotations

from typing import Any

from inventory.models import Change, Root
from inventory.past import Past
from inventory.readers import Reader


def read_history(root: Root, reader: Reader, before: int, limit: int) -> tuple[list[dict[str, Any]], bool]:
    """Changes before a version, newest first; of fields that may not be read, only that they changed."""
    found = list(Change.objects.of(root).filter(version__lt=before).select_related("who")[: limit + 1])
    past = Past(
        root,
        reader.user,
        ((entry["path"], (entry["old"], entry["new"])) for change in found for entry in change.fields),
    )
    changes = []
    for change in found[:limit]:
        told = [
            {"where": entry["path"], "old": entry["old"], "new": entry["new"]}
            for entry in change.fields
            if past.may_tell(entry["path"], (entry["old"], entry["new"]))
        ]
        changes.append(
            {
                "version": change.version,
                "action": change.action,
                "who": change.who.username if change.who else None,
                "when": change.when.isoformat(),
                "why": change.why,
                "fields": told,
                "withheld": len(change.fields) - len(told),
            }
        )
    return changes, len(found) > limit
