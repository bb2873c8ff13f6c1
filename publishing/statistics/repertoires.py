"""The repertoire view: which registrations of a sharing instrument coincide most, and at which intervals."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from inventory.organ.calls import CalledPipes
from inventory.organ.meetings import Meetings, coincidence_of, meetings_of
from inventory.organ.registrations import MOST_STOPS_FOR_ALL, places_of, play, rates_of_all
from inventory.organ.repertoire import chorales
from inventory.organ.schemes import Scheme

MOST_SHOWN = 12


@dataclass(frozen=True)
class RegistrationRow:
    """One registration of a family on one keyboard, with weighted sums over the repertoire."""

    stops: tuple[str, ...]
    calls: float
    coincide: float
    intervals: Mapping[int, float]
    """Semitones between neighbouring calls of a pipe (0: the same key) -> weight."""

    @property
    def rate(self) -> float:
        """Share of calls that coincide (0..1); there are calls, or there is no row."""
        return self.coincide / self.calls


@dataclass(frozen=True)
class KeyboardView:
    """All registrations of one family on one keyboard."""

    keyboard: str
    stops: tuple[str, ...]
    registrations: int
    """Registrations of two stops or more that were compared."""
    dropped: float
    """Weighted notes that lie outside the compass, and are left out."""
    notes: float
    """Weighted notes of the whole repertoire."""
    rows: tuple[RegistrationRow, ...]
    """Those that coincide most, first the most; equal ones with fewer stops first."""
    meetings: Meetings
    """Of all stops of the family on this keyboard: from it follows any registration."""


def keyboard_families(
    scheme: Scheme, families: Sequence[Mapping[str, Any]]
) -> list[tuple[str, tuple[str, ...]]]:
    """Each keyboard with the stops of each family on it, where there are two or more.

    >>> from publishing.statistics.examples import example_instrument
    >>> current = example_instrument().current
    >>> keyboard_families(current.scheme, current.answer["families"])
    [('I', ('a', 'b'))]
    """
    found = []
    for family in families:
        for board in scheme.keyboards:
            stops = tuple(s for s in family["stops"] if scheme.stop[s].keyboard == board.id)
            if len(stops) > 1:
                found.append((board.id, stops))
    return found


def full_registration(called: CalledPipes, families: Sequence[Mapping[str, Any]]) -> tuple[float, float]:
    """Weighted calls and coincidences with all stops of each family drawn, one keyboard at a time.

    The one figure by which instruments are compared; (0, 0) where no keyboard has two stops
    of a family.

    >>> from publishing.statistics.examples import example_scheme
    >>> full_registration(CalledPipes(example_scheme()), [])
    (0.0, 0.0)
    """
    calls = coincide = 0.0
    for keyboard, stops in keyboard_families(called.scheme, families):
        found = coincidence_of(called, keyboard, stops, chorales())
        calls, coincide = calls + found.calls, coincide + found.coincide
    return calls, coincide


def repertoire_views(scheme: Scheme, families: Sequence[Mapping[str, Any]]) -> list[KeyboardView]:
    """For each keyboard and family, the registrations that coincide most.

    A family of more than 12 stops on one keyboard is compared over its first 12.

    >>> from publishing.statistics.examples import example_instrument
    >>> current = example_instrument().current
    >>> view = repertoire_views(current.scheme, current.answer["families"])[0]
    >>> view.registrations, [row.stops for row in view.rows]
    (1, [('a', 'b')])
    """
    views = []
    for keyboard, every in keyboard_families(scheme, families):
        stops = every[:MOST_STOPS_FOR_ALL]
        played = play(scheme, keyboard, chorales())
        found = rates_of_all(played, stops)
        drawn = [r for r in range(1 << len(stops)) if r.bit_count() > 1 and found.calls[r] > 0]
        drawn.sort(key=lambda r: (-found.coincide[r] / found.calls[r], r.bit_count(), r))
        rows = []
        for r in drawn[:MOST_SHOWN]:
            names = tuple(stop for place, stop in enumerate(found.stops) if r >> place & 1)
            rows.append(
                RegistrationRow(
                    names, float(found.calls[r]), float(found.coincide[r]), places_of(played, names).intervals
                )
            )
        notes = float(np.bitwise_count(chorales().words).sum(axis=0) @ chorales().weights)
        dropped = round(notes * (played.dropped_share or 0.0), 6)
        views.append(
            KeyboardView(
                keyboard, stops, len(drawn), dropped, notes, tuple(rows), meetings_of(played, every)
            )
        )  # fmt: skip
    return views
