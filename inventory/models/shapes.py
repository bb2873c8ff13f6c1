"""What may stand in footages and in fields that hold lists: checked by every row, so that sums never meet nonsense.

The limits are those of the exchange files.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from inventory.organ.errors import PitchError, SchemeError
from inventory.organ.footages import read_footage
from inventory.organ.json_text import (
    read_choice,
    read_id,
    read_list,
    read_number,
    read_numbers,
    read_text,
    required,
    shown,
)
from inventory.saying_anew import in_words

Check = Callable[[Any, str], object]


def _numbers(least: int, most: int, length: int) -> Check:
    return lambda value, place: read_numbers(value, place, least, most, length)


def _each(check: Check, length: int) -> Check:
    """A list whose members pass a check."""
    return lambda value, place: [
        check(one, f"{place}[{n}]") for n, one in enumerate(read_list(value, place, length))
    ]


def _exactly(value: Any, place: str, known: tuple[str, ...]) -> dict[str, Any]:
    """An object without fields nobody knows."""
    if not isinstance(value, dict) or set(value) - set(known):
        raise SchemeError(f"{shown(value)} is not an object of {', '.join(known)}: correct it", place)
    return value


def _tones(value: Any, place: str) -> None:
    if not isinstance(value, dict) or len(value) > 1000:
        raise SchemeError(f'{shown(value)} is not an object: write {{"1": [36, 37]}}', place)
    for pipe, notes in value.items():
        if not (pipe.isascii() and pipe.isdigit() and 1 <= int(pipe[:5]) <= 1000):
            raise SchemeError(f"{shown(pipe)} is not a pipe number: write 1 to 1000 in quotes", place)
        read_numbers(notes, f"{place}.{pipe}", -24, 255, 128)


def _channel(value: Any, place: str) -> None:
    name, _colon, key = read_text(value, place).rpartition(":")
    if not (key.isascii() and key.isdigit() and len(key) <= 3):
        raise SchemeError(f'{shown(value)} is not a channel: write "KEYBOARD:key", such as "I:1"', place)
    read_id(name, place)


def _row_of_mixture(value: Any, place: str) -> None:
    row = _exactly(value, place, ("from_note", "footages"))
    if row.get("from_note") is not None:
        read_number(row["from_note"], f"{place}.from_note", 0, 127)
    _each(read_text, 20)(required(row, "footages", place), f"{place}.footages")


def _held(value: Any, place: str) -> None:
    key = _exactly(value, place, ("keyboard", "key"))
    read_id(required(key, "keyboard", place), f"{place}.keyboard")
    read_number(required(key, "key", place), f"{place}.key", 1, 256)


def _heard(value: Any, place: str) -> None:
    told = _exactly(value, place, ("stop", "key", "as"))
    read_id(required(told, "stop", place), f"{place}.stop")
    read_number(required(told, "key", place), f"{place}.key", 1, 256)
    read_choice(required(told, "as", place), f"{place}.as", ("speaks", "weak", "silent"))


def _extra(value: Any, place: str) -> None:
    told = _exactly(value, place, ("rank", "pipe", "strength"))
    read_id(required(told, "rank", place), f"{place}.rank")
    read_number(required(told, "pipe", place), f"{place}.pipe", 1, 1000)
    if told.get("strength") is not None:
        read_choice(told["strength"], f"{place}.strength", ("loud", "faint"))


SHAPES: Mapping[tuple[str, str], Check] = {
    ("keyboard", "notes"): _numbers(0, 127, 128),
    ("rank", "notes"): _numbers(-24, 255, 1000),
    ("rank", "missing"): _numbers(1, 1000, 1000),
    ("rank", "tones"): _tones,
    ("stop", "footage"): lambda value, _place: read_footage(value) if value else None,
    ("stop", "composition"): _each(_row_of_mixture, 128),
    ("segment", "pipes"): _numbers(-1000, 2000, 256),
    ("chest", "stop_order"): _each(read_id, 1000),
    ("chest", "channel_order"): _each(_channel, 10_000),
    ("trial", "stops"): _each(read_id, 2000),
    ("trial", "keys"): _each(_held, 1000),
    ("trial", "heard"): _each(_heard, 10_000),
    ("trial", "extra"): _each(_extra, 10_000),
}
"""By model and field."""


def check_shapes(row: Any) -> None:
    """Raise ValidationError, by field, for footages and lists that hold what they cannot."""
    refused: dict[str, Any] = {}
    for field in row._meta.concrete_fields:
        check = SHAPES.get((row._meta.model_name, field.name))
        value = getattr(row, field.attname)
        if check is None or value is None:
            continue
        try:
            check(value, field.name)
        except (PitchError, SchemeError) as wrong:
            refused[field.name] = _("%(wrong)s.") % {"wrong": in_words(str(wrong))}
    if refused:
        raise ValidationError(refused)
