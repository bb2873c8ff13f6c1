"""Gifts for single pipes: a shared pipe is one pipe with several voices, and one gift."""

from __future__ import annotations

from dataclasses import dataclass

from inventory.estimates.funding import given_pipes
from inventory.models import Gift, Instrument, Rank, Stop
from inventory.organ.errors import OrganError
from inventory.organ.notes import note_name
from inventory.organ.schemes import Scheme, answered_calls
from inventory.schemes import scheme_of


@dataclass(frozen=True)
class GivenPipe:
    """A pipe somebody gave: where it stands, the note, and the stops it speaks for."""

    gift: Gift
    note: str
    """Empty where the row's notes are not known."""
    voices: tuple[str, ...]
    printed_as: str
    """The giver as they agreed to be printed; empty: not at all."""


def read_given_pipes(instrument: Instrument) -> tuple[GivenPipe, ...]:
    """Every pipe given, with its voices in the stoplist it was given in."""
    gifts = list(
        Gift.objects.filter(rank__specification__instrument=instrument)
        .select_related("rank__specification", "funding")
        .order_by("rank__order", "rank__code", "pipe")
    )
    found: list[GivenPipe] = []
    schemes: dict[int, Scheme | None] = {}
    labels = {
        (stop.specification_id, stop.code): stop.label
        for stop in Stop.objects.filter(specification__in={gift.rank.specification_id for gift in gifts})
    }
    for gift in gifts:
        key = gift.rank.specification_id
        if key not in schemes:
            try:
                schemes[key] = scheme_of(gift.rank.specification)
            except OrganError:
                schemes[key] = None
        scheme = schemes[key]
        place = (gift.rank.code, gift.pipe)
        voices: tuple[str, ...] = ()
        if scheme is not None:
            calls = ((c.rank, c.pipe, labels.get((key, c.stop), c.stop)) for c in answered_calls(scheme))
            voices = given_pipes([place], calls)[place]
        found.append(GivenPipe(gift, note_of(scheme, gift.rank, gift.pipe), voices, gift.funding.printed_as))
    return tuple(found)


def note_of(scheme: Scheme | None, rank: Rank, pipe: int) -> str:
    """Name of the note of a pipe, or nothing."""
    if scheme is None or rank.code not in scheme.rank:
        return ""
    note = scheme.rank[rank.code].note_of(pipe)
    return "" if note is None else note_name(note)
