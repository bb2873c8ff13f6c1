"""The parts of a scheme's file that join others: segments, controls, chests, couplers."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from typing import Any

from inventory.organ.devices import DEVICE_BY_CODE
from inventory.organ.errors import SchemeError
from inventory.organ.json_text import (
    optional,
    read_choice,
    read_flag,
    read_id,
    read_list,
    read_number,
    read_numbers,
    read_object,
    read_span,
    read_text,
    required,
    shown,
)
from inventory.organ.schemes import Chest, Control, Coupler, Keyboard, Rank, Segment, Stop
from inventory.organ.sentences import say

CHEST_KINDS = ("slider", "spring", "stop channel", "unit")
EVIDENCE = ("seen", "sounded", "source", "inferred")
_HIGHEST_CHANNEL = 256
_WAYS = ("shift", "interval", "pipes")


def read_segment(
    value: Any,
    place: str,
    stop: Mapping[str, Stop],
    keyboard: Mapping[str, Keyboard],
    rank: Mapping[str, Rank],
    chests: Collection[str],
    notes: list[str],
) -> Segment:
    """Read one segment; exactly one of shift, interval and pipes must be there."""
    known = ("stop", "keys", "rank", *_WAYS, "device", "chest", "evidence")
    fields = read_object(value, place, known, notes)
    one = _known_id(required(fields, "stop", place), f"{place}.stop", stop, "stop")
    of_rank = _known_id(required(fields, "rank", place), f"{place}.rank", rank, "rank")
    keys = read_span(required(fields, "keys", place), f"{place}.keys", _HIGHEST_CHANNEL)
    ways = [way for way in _WAYS if fields.get(way) is not None]
    if len(ways) != 1:
        found = " and ".join(ways) or "none of them"
        raise SchemeError(
            say("%(found)s: write exactly one of shift, interval and pipes", found=found), place
        )
    shift = optional(fields, "shift", place, lambda v, p: read_number(v, p, -1000, 1000))
    interval = optional(fields, "interval", place, lambda v, p: read_number(v, p, -127, 127))
    pipes = optional(fields, "pipes", place, lambda v, p: read_numbers(v, p, -1000, 2000, _HIGHEST_CHANNEL))
    if pipes is not None and len(pipes) != keys[1] - keys[0] + 1:
        count = keys[1] - keys[0] + 1
        raise SchemeError(
            say("%(pipes)s pipes for %(count)s keys: list one for each key", pipes=len(pipes), count=count),
            f"{place}.pipes",
        )
    if interval is not None and rank[of_rank].notes is None and rank[of_rank].low is None:
        raise SchemeError(
            say(
                "rank %(of_rank)s has no low or notes, so interval finds no pipe: add them or use shift",
                of_rank=shown(of_rank),
            ),
            place,
        )
    if shift is not None:
        gapped = [shown(part.id) for part in (keyboard[stop[one].keyboard], rank[of_rank]) if part.has_gaps]
        if gapped:
            notes.append(
                f"{place}: {' and '.join(gapped)} has gaps, and shift counts keys and pipes, not notes "
                f"(pipe = key {shift:+d} is taken as it stands); write interval if notes are meant"
            )
    device = optional(fields, "device", place, read_text)
    if device is not None and device not in DEVICE_BY_CODE:
        notes.append(f"{place}.device: {shown(device)} is no device known here; read as not known")
        device = None
    chest = optional(fields, "chest", place, read_id)
    if chest is not None and chest not in chests:
        raise SchemeError(
            say("no chest has the id %(chest)s: add it or correct it", chest=shown(chest)), f"{place}.chest"
        )
    evidence = optional(fields, "evidence", place, lambda v, p: read_choice(v, p, EVIDENCE))
    return Segment(one, keys, of_rank, shift, interval, pipes, device, chest, evidence)


def _known_id(value: Any, place: str, known: Collection[str], what: str) -> str:
    one = read_id(value, place)
    if one not in known:
        raise SchemeError(
            say("no %(what)s has the id %(one)s: add it or correct it", what=what, one=shown(one)), place
        )
    return one


def read_control(value: Any, place: str, stop: Collection[str], notes: list[str]) -> Control:
    """Read a knob whose positions exclude each other."""
    fields = read_object(value, place, ("id", "positions"), notes)
    one = read_id(required(fields, "id", place), f"{place}.id")
    positions = []
    for n, position in enumerate(read_list(required(fields, "positions", place), f"{place}.positions", 1000)):
        where = f"{place}.positions[{n}]"
        positions.append(tuple(_known_id(s, where, stop, "stop") for s in read_list(position, where, 1000)))
    return Control(one, tuple(positions))


def read_chest(
    value: Any, place: str, stop: Collection[str], keyboard: Mapping[str, Keyboard], notes: list[str]
) -> Chest:
    """Read a chest: its kind, and its orders where they are known."""
    fields = read_object(value, place, ("id", "kind", "stops", "channels", "layout"), notes)
    one = read_id(required(fields, "id", place), f"{place}.id")
    kind = read_choice(required(fields, "kind", place), f"{place}.kind", CHEST_KINDS)
    stops = optional(
        fields,
        "stops",
        place,
        lambda v, p: tuple(
            _known_id(s, f"{p}[{n}]", stop, "stop") for n, s in enumerate(read_list(v, p, 1000))
        ),
    )
    channels = optional(
        fields,
        "channels",
        place,
        lambda v, p: tuple(
            _read_channel(c, f"{p}[{n}]", keyboard) for n, c in enumerate(read_list(v, p, 10_000))
        ),
    )
    for name, members in (("stops", stops), ("channels", channels)):
        if members is not None and len(set(members)) < len(members):
            raise SchemeError(say("one of them stands twice: list each once"), f"{place}.{name}")
    return Chest(one, kind, stops, channels, optional(fields, "layout", place, read_text))


def _read_channel(value: Any, place: str, keyboard: Mapping[str, Keyboard]) -> tuple[str, int]:
    text = read_text(value, place)
    name, _, number = text.partition(":")
    if not (number.isascii() and number.isdigit() and len(number) <= 3):
        raise SchemeError(
            say('%(text)s is not a channel: write "KEYBOARD:key", such as "I:1"', text=shown(text)), place
        )
    _known_id(name, place, keyboard, "keyboard")
    return name, read_number(int(number), place, 1, keyboard[name].channels)


def read_coupler(value: Any, place: str, keyboard: Collection[str], notes: list[str]) -> Coupler:
    """Read a coupler."""
    fields = read_object(value, place, ("id", "from", "to", "shift", "moves", "always"), notes)
    one = read_id(required(fields, "id", place), f"{place}.id")
    origin = _known_id(required(fields, "from", place), f"{place}.from", keyboard, "keyboard")
    target = _known_id(required(fields, "to", place), f"{place}.to", keyboard, "keyboard")
    shift = read_number(required(fields, "shift", place), f"{place}.shift", -127, 127)
    moves = optional(fields, "moves", place, lambda v, p: read_choice(v, p, ("key", "channel")), "key")
    return Coupler(one, origin, target, shift, moves, optional(fields, "always", place, read_flag, False))
