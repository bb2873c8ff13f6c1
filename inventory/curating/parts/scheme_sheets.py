"""The tables of a scheme: ranks, chests, and the segments that say which pipes a stop asks."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import Chest, Rank, Segment
from inventory.models.choices import ChestKind, Evidence, HowCounted

from ..cells import Column
from ..grids import Sheet

RANKS = Sheet(
    "rank",
    Rank,
    _("Ranks"),
    _("rank"),
    (
        Column("name", _("Name"), size=16),
        Column("pipes", _("Pipes"), "number", 4),
        Column("counted", _("How counted"), "choice", choices=[("", "–"), *HowCounted.choices]),
        Column("low_note", _("Lowest pipe"), "note", 5),
        Column("missing", _("Missing pipes"), "numbers", 8),
    ),
)
CHESTS = Sheet(
    "chest",
    Chest,
    _("Chests"),
    _("chest"),
    (Column("name", _("Name"), size=16), Column("kind", _("Kind"), "choice", choices=ChestKind.choices)),
)
SEGMENTS = Sheet(
    "segment",
    Segment,
    _("Which pipes each stop asks"),
    _("segment"),
    (
        Column("stop", _("Stop"), "row"),
        Column("first_key", _("From key"), "number", 4),
        Column("last_key", _("To key"), "number", 4),
        Column("rank", _("Rank"), "row"),
        Column("interval", _("Semitones up"), "number", 4),
        Column("shift", _("or pipe = key +"), "number", 4),
        Column("pipes", _("or pipe by pipe"), "numbers", 8),
        Column("device", _("Device"), "row"),
        Column("chest", _("Chest"), "row"),
        Column("evidence", _("Evidence"), "choice", choices=Evidence.choices),
    ),
)
SCHEME_SHEETS = (RANKS, CHESTS, SEGMENTS)
