"""How far derived mutations are from pure in the temperament that is recorded."""

from __future__ import annotations

from inventory.organ.errors import PitchError
from inventory.organ.footages import interval_of, read_footage
from inventory.organ.temperaments import TEMPERAMENTS, Temperament, derived_mutation_table

_SPELLINGS = {
    "equal": "equal",
    "quarter comma": "quarter-comma meantone",
    "quarter-comma": "quarter-comma meantone",
}


def recorded_temperament(words: str) -> Temperament | None:
    """The temperament a record names, however it goes on ("equal, old style"); None where none is recognised.

    >>> recorded_temperament("quarter comma, softened").name, recorded_temperament("near meantone, worn")
    ('quarter-comma meantone', None)
    """
    low = words.strip().lower()
    for start, name in _SPELLINGS.items():
        if low.startswith(start):
            return TEMPERAMENTS[name]
    return next((one for name, one in TEMPERAMENTS.items() if low.startswith(name.lower())), None)


def mean_mistuning(temperament: str, footage: str) -> float | None:
    """Mean distance from pure over the twelve notes, in cents without sign; None where not known.

    None too for a stop whose own footage is an octave of 8′: that it stands on one row with a
    mutation, or adds one to make a resultant, gives its own pitch nothing to be mistuned against.

    The tierce in equal temperament (values.md §3):

    >>> round(mean_mistuning("equal", "1 3/5"), 2), mean_mistuning("", "1 3/5"), mean_mistuning("equal", "2")
    (13.69, None, None)
    """
    known = recorded_temperament(temperament)
    if known is None or not footage:
        return None
    try:
        feet = read_footage(footage)
        if interval_of(feet) % 12 == 0:
            return None
        table = derived_mutation_table(known, feet)
    except PitchError:
        return None
    return sum(abs(row.error_cents) for row in table) / len(table)
