"""What may be said in public about a field or row: no more than may be known of it.

A claim “value_estimate: 40,000” would tell what the field withholds. So a statement is public
only where what it speaks of is; what we do not know, or cannot read, is private.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist

from inventory.models.choices import Audience
from inventory.visibility import group_of

ROWS_SPOKEN_OF = frozenset(
    "event layer part specification keyboard division stop control rank rankrange coupler accessory count chest "
    "segment tie photograph".split()
)
"""Rows that a public statement may be about as a whole; of all others only their public fields."""
NEVER = frozenset(
    "hazard judgement danger decision costline funding gift package phase rate worksplan passage consent confidence "
    "change user".split()
)


def may_be_told(
    about: str, root: str, shown: Mapping[str, Collection[str]], consented: Collection[str] = ()
) -> bool:
    """Whether a statement about this path is public, in a record of the kind `root`.

    `shown` names, for kinds of rows with an audience of their own, the codes that are public;
    `consented` names the groups a consent stands for.
    """
    if not about:
        return True
    row, _hash, field = about.partition("#")
    kind, colon, code = row.partition(":")
    if not colon:
        return _field_is_public(root, kind, consented)
    if kind in NEVER or (kind in shown and code not in shown[kind]):
        return False
    return _field_is_public(kind, field, consented) if field else kind in ROWS_SPOKEN_OF


def _field_is_public(kind: str, field: str, consented: Collection[str]) -> bool:
    try:
        model = apps.get_model("inventory", kind)
        model._meta.get_field(field)
    except (LookupError, FieldDoesNotExist):
        return False
    group = group_of(model, field)
    return group.audience == Audience.PUBLIC and (not group.needs_consent or group.name in consented)
