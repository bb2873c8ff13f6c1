"""The exchange file of a scheme: JSON to Scheme and back (the format of DESIGN §8)."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from inventory.organ.errors import PitchError, SchemeError
from inventory.organ.footages import read_footage
from inventory.organ.json_text import (
    Fields,
    optional,
    read_choice,
    read_id,
    read_json,
    read_list,
    read_number,
    read_numbers,
    read_object,
    read_span,
    read_text,
    required,
    shown,
)
from inventory.organ.scheme_joins import read_chest, read_control, read_coupler, read_segment
from inventory.organ.schemes import Keyboard, Rank, Scheme, Stop
from inventory.organ.sentences import say

MOST_KEYS = 128
MOST_PIPES = 1000
MOST_STOPS = 1000
KEYBOARD_KINDS = ("manual", "pedal")
STOP_STATES = ("present", "prepared", "missing", "silenced")
SPEAKING_PARTS = ("pipes", "bars", "bells")
_PARTS = ("keyboards", "ranks", "stops", "segments", "controls", "chests", "couplers")


def read_scheme(content: bytes | str | Mapping[str, Any]) -> tuple[Scheme, list[str]]:
    """Read a scheme from JSON (or from a document already parsed).

    Returns the scheme and notes for the reader: fields not known, values read otherwise
    than they look. Raises SchemeError, with place and remedy on one line, for whatever
    cannot be read: see DESIGN §8 for the limits.

    >>> scheme, notes = read_scheme('{"keyboards": [{"id": "I", "low": 36, "keys": 61}], "ranks": [],'
    ...                             ' "stops": [], "segments": []}')
    >>> scheme.keyboard["I"].notes[-1], notes
    (96, [])
    """
    notes: list[str] = []
    document = read_json(content) if isinstance(content, bytes | str) else dict(content)
    top = read_object(document, "the file", _PARTS, notes)
    parts = {name: _objects(top, name, needed=name in _PARTS[:4]) for name in _PARTS}

    keyboards = tuple(_read_keyboard(value, place, notes) for place, value in parts["keyboards"])
    ranks = tuple(_read_rank(value, place, notes) for place, value in parts["ranks"])
    _refuse_twice([k.id for k in keyboards], "keyboards")
    _refuse_twice([r.id for r in ranks], "ranks")
    keyboard = {k.id: k for k in keyboards}
    rank = {r.id: r for r in ranks}
    stops = tuple(_read_stop(value, place, keyboard, notes) for place, value in parts["stops"])
    stop = {s.id: s for s in stops}
    controls = tuple(read_control(value, place, stop, notes) for place, value in parts["controls"])
    couplers = tuple(read_coupler(value, place, keyboard, notes) for place, value in parts["couplers"])
    drawn = [("stops", s.id) for s in stops]
    drawn += [("couplers", c.id) for c in couplers] + [("controls", c.id) for c in controls]
    _refuse_twice_over(drawn)
    chests = tuple(read_chest(value, place, stop, keyboard, notes) for place, value in parts["chests"])
    _refuse_twice([c.id for c in chests], "chests")
    names = frozenset(c.id for c in chests)
    segments = tuple(
        read_segment(value, place, stop, keyboard, rank, names, notes) for place, value in parts["segments"]
    )
    return Scheme(keyboards, ranks, stops, segments, controls, chests, couplers), notes


def _objects(top: Fields, name: str, needed: bool) -> list[tuple[str, Any]]:
    value = required(top, name, "the file") if needed else top.get(name)
    if value is None and not needed:
        return []
    members = read_list(value, name, MOST_STOPS if name == "stops" else None)
    return [(f"{name}[{n}]", member) for n, member in enumerate(members)]


def _refuse_twice(ids: list[str], part: str) -> None:
    _refuse_twice_over([(part, one) for one in ids])


def _refuse_twice_over(ids: list[tuple[str, str]]) -> None:
    """Ids of stops, couplers and controls share one space, as all are drawn by name."""
    first: dict[str, str] = {}
    for part, one in ids:
        if one in first:
            raise SchemeError(
                say(
                    "the id %(one)s is used twice (first in %(first)s): give each its own",
                    one=shown(one),
                    first=first[one],
                ),
                part,
            )
        first[one] = part


def _read_keyboard(value: Any, place: str, notes: list[str]) -> Keyboard:
    fields = read_object(value, place, ("id", "low", "keys", "kind", "notes", "reach"), notes)
    one = read_id(required(fields, "id", place), f"{place}.id")
    listed = optional(fields, "notes", place, lambda v, p: read_numbers(v, p, 0, 127, MOST_KEYS))
    if listed is None:
        low = read_number(required(fields, "low", place), f"{place}.low", 0, 127)
        keys = read_number(required(fields, "keys", place), f"{place}.keys", 1, MOST_KEYS)
        if low + keys - 1 > 127:
            raise SchemeError(
                say(
                    "%(keys)s keys from note %(low)s end above note 127: correct low or keys",
                    keys=keys,
                    low=low,
                ),
                place,
            )
        listed = tuple(range(low, low + keys))
    else:
        low = optional(fields, "low", place, lambda v, p: read_number(v, p, 0, 127))
        keys = optional(fields, "keys", place, lambda v, p: read_number(v, p, 1, MOST_KEYS), len(listed))
        if keys != len(listed) or not listed:
            raise SchemeError(
                say(
                    "%(keys)s keys, but %(listed)s notes: list one note for each key",
                    keys=keys,
                    listed=len(listed),
                ),
                place,
            )
        if low is not None and low not in (listed[0], min(listed)):
            notes.append(
                f"{place}: low {low} is none of the notes at the bottom; the notes are read, low is not"
            )
    kind = optional(fields, "kind", place, lambda v, p: read_choice(v, p, KEYBOARD_KINDS), "manual")
    reach = optional(fields, "reach", place, lambda v, p: read_number(v, p, 0, 2 * MOST_KEYS), 0)
    if reach > len(listed):
        notes.append(
            f"{place}.reach: {reach} is more than the {len(listed)} keys, so it is read as the number of the "
            f"highest channel: {reach - len(listed)} channels beyond the last key"
        )
        reach -= len(listed)
    if reach > MOST_KEYS:
        raise SchemeError(
            say(
                "%(reach)s channels beyond the last key are over the limit of %(most_keys)s: correct it",
                reach=reach,
                most_keys=MOST_KEYS,
            ),
            place,
        )
    return Keyboard(one, listed, kind, reach)


def _read_rank(value: Any, place: str, notes: list[str]) -> Rank:
    known = ("id", "pipes", "low", "notes", "counted", "missing", "tones", "makes")
    fields = read_object(value, place, known, notes)
    one = read_id(required(fields, "id", place), f"{place}.id")
    required(fields, "pipes", place)
    pipes = optional(fields, "pipes", place, lambda v, p: read_number(v, p, 0, MOST_PIPES))
    low = optional(fields, "low", place, lambda v, p: read_number(v, p, -24, 127))
    listed = optional(fields, "notes", place, lambda v, p: read_numbers(v, p, -24, 255, MOST_PIPES))
    if listed is not None:
        if pipes is not None and pipes != len(listed):
            raise SchemeError(
                say(
                    "%(pipes)s pipes, but %(listed)s notes: list one note for each pipe",
                    pipes=pipes,
                    listed=len(listed),
                ),
                place,
            )
        if low is not None and listed and low not in (listed[0], min(listed)):
            notes.append(
                f"{place}: low {low} is none of the notes at the bottom; the notes are read, low is not"
            )
        low = None
    elif low is not None and pipes is not None:
        listed, low = tuple(range(low, low + pipes)), None
    highest = MOST_PIPES if pipes is None else pipes
    missing = optional(fields, "missing", place, lambda v, p: read_numbers(v, p, 1, highest, MOST_PIPES), ())
    return Rank(
        one,
        pipes,
        listed,
        low,
        optional(fields, "counted", place, read_text, ""),
        frozenset(missing),
        optional(fields, "tones", place, lambda v, p: _read_tones(v, p, highest), {}),
        optional(fields, "makes", place, lambda v, p: read_choice(v, p, SPEAKING_PARTS), "pipes"),
    )


def _read_tones(value: Any, place: str, highest: int) -> dict[int, tuple[int, ...]]:
    if not isinstance(value, dict):
        raise SchemeError(say('%(value)s is not an object: write {"1": [36, 37]}', value=shown(value)), place)
    tones: dict[int, tuple[int, ...]] = {}
    for name, listed in value.items():
        if not (name.isascii() and name.isdigit() and len(name) <= 4 and 1 <= int(name) <= highest):
            raise SchemeError(
                say(
                    "%(name)s is not a pipe number: write 1 to %(highest)s in quotes",
                    name=shown(name),
                    highest=highest,
                ),
                place,
            )
        tones[int(name)] = read_numbers(listed, f"{place}.{name}", -24, 255, MOST_KEYS)
        if not tones[int(name)]:
            raise SchemeError(say("no note is listed: list the notes this pipe speaks"), f"{place}.{name}")
    return tones


def _read_stop(value: Any, place: str, keyboard: Mapping[str, Keyboard], notes: list[str]) -> Stop:
    fields = read_object(value, place, ("id", "keyboard", "name", "footage", "keys", "state"), notes)
    one = read_id(required(fields, "id", place), f"{place}.id")
    played_from = read_id(required(fields, "keyboard", place), f"{place}.keyboard")
    if played_from not in keyboard:
        raise SchemeError(
            say(
                "no keyboard has the id %(played_from)s: add it or correct it", played_from=shown(played_from)
            ),
            f"{place}.keyboard",
        )
    footage = optional(fields, "footage", place, read_text)
    if footage is not None:
        try:
            read_footage(footage)
        except PitchError as error:
            raise SchemeError(
                say("%(error)s, or null where the stop has none", error=error), f"{place}.footage"
            ) from None
    return Stop(
        one,
        played_from,
        optional(fields, "name", place, read_text, one),
        footage,
        optional(fields, "keys", place, lambda v, p: read_span(v, p, 2 * MOST_KEYS)),
        optional(fields, "state", place, lambda v, p: read_choice(v, p, STOP_STATES), "present"),
    )
