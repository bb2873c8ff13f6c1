"""Rules about things: where parts are, and whether work on them was written down first."""

from __future__ import annotations

from collections.abc import Iterator

from django.utils.translation import gettext as _

from inventory.models import Instrument
from inventory.models.choices import InstrumentStatus, Knowledge

Said = tuple[str, str, str, str]

WORKS = frozenset({"restored", "conserved", "reconstructed", "electrified"})
"""Events that change the evidence for good: what was there should have been written down before."""


def place_name(text: str) -> str:
    """A place of the movement register for comparison: what stands before the first comma, in small letters."""
    return text.split(",")[0].strip().casefold()


def check_movements(instrument: Instrument) -> Iterator[Said]:
    """A part that left without a destination, from a place it was not in, or without a line at all."""
    away = instrument.status in (InstrumentStatus.STORED, InstrumentStatus.DISPERSED)
    for part in instrument.parts.all():
        movements = sorted(part.movements.all(), key=lambda row: (row.when_sort or 0, row.code))
        if away and not movements:
            yield (
                "movement-missing", "warning", f"part:{part.code}",
                _("the instrument is %(status)s, and no movement says where this part went; ask, and write it down")
                % {"status": instrument.get_status_display()},
            )  # fmt: skip
        for before, movement in zip([None, *movements], movements, strict=False):
            where = f"movement:{part.code}/{movement.code}"
            if not movement.went_to.strip():
                yield (
                    "movement-without-destination", "error", where,
                    _("the part left, and nobody wrote where to; ask whoever ordered it"),
                )  # fmt: skip
            if (
                before is not None
                and before.went_to
                and place_name(before.went_to) != place_name(movement.came_from)
            ):
                yield (
                    "part-in-two-places", "error", where,
                    _("it left a place that the line before does not bring it to; a line is missing or wrong"),
                )  # fmt: skip


def check_work_documented(instrument: Instrument) -> Iterator[Said]:
    """Restorations of which nobody asked whether the state before was written down."""
    for event in instrument.events.all():
        if event.kind.code in WORKS and event.documented_before == Knowledge.NOT_LOOKED_AT:
            yield (
                "documentation-not-asked", "note", f"event:{event.code}",
                _("nobody has asked whether the state before was documented; look for the file"),
            )  # fmt: skip
