"""JSON that came from outside, read so that nothing in it can do harm, and its fields checked.

Used by every exchange file. Each refusal is a SchemeError whose text is one line: the
place, the value, what is allowed.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Callable, Sequence
from typing import Any, NoReturn

from inventory.organ.errors import SchemeError
from inventory.organ.sentences import say

LARGEST_FILE_BYTES = 8 * 1024 * 1024
_ID = re.compile(r"[A-Za-z0-9._-]{1,64}", re.ASCII)
_LONGEST_NUMBER = 18
_HALF_CHARACTER = re.compile(r"\\u[dD][89a-fA-F]|[\ud800-\udfff]")
_TOO_DEEP = "brackets are nested too deep: check that each [ and { is closed"

Fields = dict[str, Any]


def shown(value: Any, longest: int = 40) -> str:
    """A value as it can stand in a one-line message: short and printable.

    >>> shown("a\\nb"), shown([1] * 100)
    ("'a\\\\nb'", 'a list of 100')
    """
    if isinstance(value, list):
        return f"a list of {len(value)}" if len(value) > 4 else f"[{', '.join(shown(v, 12) for v in value)}]"
    if isinstance(value, dict):
        return f"an object of {len(value)} fields"
    if value is None or isinstance(value, bool):
        return {None: "null", True: "true", False: "false"}[value]
    text = ascii(value[: longest + 1]) if isinstance(value, str) else ascii(value)
    return text if len(text) <= longest + 2 else text[:longest] + "..."


def _refuse_constant(word: str) -> NoReturn:
    raise SchemeError(say("%(word)s is not a number of JSON: write a whole number or null", word=word))


def _read_float(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise SchemeError(say("the number %(text)s is too large: write a whole number", text=shown(text)))
    return number


def _read_int(text: str) -> int:
    if len(text) > _LONGEST_NUMBER:
        raise SchemeError(
            say("a number of %(text)s digits is too large: write a whole number", text=len(text))
        )
    return int(text)


def _read_pairs(pairs: list[tuple[str, Any]]) -> Fields:
    fields = dict(pairs)
    if len(fields) < len(pairs):
        seen: set[str] = set()
        twice = next(name for name, _ in pairs if name in seen or seen.add(name))  # type: ignore[func-returns-value]
        raise SchemeError(
            say("the field %(twice)s stands twice in one object: keep one of them", twice=shown(twice))
        )
    return fields


def read_json(content: bytes | str) -> Any:
    """Read one JSON document of at most 8 MB; UTF-8, a byte order mark allowed.

    Raises SchemeError for anything unreadable: empty, not UTF-8, not JSON, nested too
    deep, NaN, Infinity, numbers out of range, a field written twice, lone surrogates.

    >>> read_json(b'{"pipes": 61}')
    {'pipes': 61}
    """
    if len(content) > LARGEST_FILE_BYTES:
        raise SchemeError(say("the file is larger than 8 MB: split it or leave out what is not a scheme"))
    if isinstance(content, bytes):
        try:
            content = content.decode("utf-8-sig")
        except UnicodeDecodeError as error:
            raise SchemeError(
                say("byte %(start)s is not UTF-8 text: save the file as JSON in UTF-8", start=error.start + 1)
            ) from None
    content = content.removeprefix("\ufeff")
    if not content.strip():
        raise SchemeError(say("the file is empty: write one JSON document"))
    try:
        document = json.loads(
            content,
            parse_constant=_refuse_constant,
            parse_float=_read_float,
            parse_int=_read_int,
            object_pairs_hook=_read_pairs,
        )
    except RecursionError:
        raise SchemeError(_TOO_DEEP) from None
    except json.JSONDecodeError as error:
        raise SchemeError(
            say(
                "line %(lineno)s column %(colno)s: not JSON (%(msg)s): check commas, brackets",
                lineno=error.lineno,
                colno=error.colno,
                msg=error.msg,
            )
        ) from None
    if _HALF_CHARACTER.search(content):
        _refuse_surrogates(document)
    return document


def _refuse_surrogates(document: Any) -> None:
    """Half a character (\\ud800 alone) can be neither shown nor stored."""
    try:
        json.dumps(document, ensure_ascii=False).encode()
    except UnicodeEncodeError as error:
        half = ascii(error.object[error.start])
        raise SchemeError(say("%(half)s is half a character: write the whole character", half=half)) from None
    except RecursionError:
        raise SchemeError(_TOO_DEEP) from None


def read_object(value: Any, place: str, known: Sequence[str], notes: list[str]) -> Fields:
    """Check that a value is an object; say once in `notes` which of its fields nobody knows.

    >>> notes: list[str] = []
    >>> read_object({"id": "a", "x": 1}, "stops[0]", ["id"], notes)["id"], notes
    ('a', ["stops[0]: not read, as no such field is known: 'x'"])
    """
    if not isinstance(value, dict):
        raise SchemeError(say("%(value)s is not an object: write fields in { }", value=shown(value)), place)
    unknown = [name for name in value if name not in known]
    if unknown:
        names = ", ".join(shown(name) for name in unknown[:5])
        more = f" and {len(unknown) - 5} more" if len(unknown) > 5 else ""
        notes.append(f"{place}: not read, as no such field is known: {names}{more}")
    return value


def read_list(value: Any, place: str, most: int | None = None) -> list[Any]:
    """Check that a value is a list of at most `most` members.

    >>> read_list([1, 2], "keys", 2)
    [1, 2]
    """
    if not isinstance(value, list):
        raise SchemeError(say("%(value)s is not a list: write it in [ ]", value=shown(value)), place)
    if most is not None and len(value) > most:
        raise SchemeError(
            say("%(value)s is over the limit of %(most)s: split it", value=len(value), most=most), place
        )
    return value


def read_number(value: Any, place: str, least: int, most: int) -> int:
    """Check a whole number between `least` and `most` (true and 1.0 are none).

    >>> read_number(61, "keys", 1, 128)
    61
    """
    if type(value) is not int:
        raise SchemeError(
            say(
                "%(value)s is not a whole number: write %(least)s to %(most)s",
                value=shown(value),
                least=least,
                most=most,
            ),
            place,
        )
    if not least <= value <= most:
        raise SchemeError(
            say(
                "%(value)s is outside %(least)s to %(most)s: correct the number",
                value=value,
                least=least,
                most=most,
            ),
            place,
        )
    return value


def read_numbers(value: Any, place: str, least: int, most: int, length: int) -> tuple[int, ...]:
    """Check a list of whole numbers, at most `length` of them.

    >>> read_numbers([36, 38], "notes", 0, 127, 128)
    (36, 38)
    """
    members = read_list(value, place, length)
    return tuple(read_number(member, f"{place}[{n}]", least, most) for n, member in enumerate(members))


def read_text(value: Any, place: str) -> str:
    """Check a text of one line.

    >>> read_text("Flûte", "name")
    'Flûte'
    """
    if not isinstance(value, str):
        raise SchemeError(
            say('%(value)s is not text: write it in quotes, "like this"', value=shown(value)), place
        )
    if any(ord(character) < 32 or 127 <= ord(character) < 160 for character in value):
        raise SchemeError(
            say("%(value)s holds a line break or control character: leave it out", value=shown(value)), place
        )
    return value


def read_id(value: Any, place: str) -> str:
    """Check an id: 1 to 64 letters, digits, dots, underscores, hyphens.

    >>> read_id("I.flute-8", "id")
    'I.flute-8'
    """
    if not isinstance(value, str) or not _ID.fullmatch(value):
        raise SchemeError(
            say("%(value)s is not an id: write 1 to 64 of A-Z a-z 0-9 . _ -", value=shown(value)),
            place,
        )
    return value


def read_choice(value: Any, place: str, allowed: Sequence[str]) -> str:
    """Check a word out of a closed list.

    >>> read_choice("pedal", "kind", ["manual", "pedal"])
    'pedal'
    """
    if not isinstance(value, str) or value not in allowed:
        raise SchemeError(
            say(
                "%(value)s is not one of %(allowed)s: write one of these",
                value=shown(value),
                allowed=", ".join(allowed),
            ),
            place,
        )
    return value


def read_flag(value: Any, place: str) -> bool:
    """Check true or false.

    >>> read_flag(False, "always")
    False
    """
    if not isinstance(value, bool):
        raise SchemeError(
            say("%(value)s is neither true nor false: write one of these", value=shown(value)), place
        )
    return value


def read_span(value: Any, place: str, most: int) -> tuple[int, int]:
    """Check [first, last], counted from 1, first not above last.

    >>> read_span([1, 61], "keys", 128)
    (1, 61)
    """
    members = read_list(value, place)
    if len(members) != 2:
        raise SchemeError(
            say("%(value)s is not [first, last]: write two key numbers", value=shown(value)), place
        )
    first, last = (read_number(member, f"{place}[{n}]", 1, most) for n, member in enumerate(members))
    if first > last:
        raise SchemeError(
            say(
                "first %(first)s is above last %(last)s: write the lower number first", first=first, last=last
            ),
            place,
        )
    return first, last


def required(fields: Fields, name: str, place: str) -> Any:
    """The value of a field that must be there.

    >>> required({"id": "a"}, "id", "stops[0]")
    'a'
    """
    if name not in fields:
        raise SchemeError(say('the field "%(name)s" is not there: add it', name=name), place)
    return fields[name]


def optional(
    fields: Fields, name: str, place: str, read: Callable[[Any, str], Any], absent: Any = None
) -> Any:
    """Read a field where it is there and not null; otherwise `absent`.

    >>> optional({"low": None}, "low", "ranks[0]", read_text, "none")
    'none'
    """
    value = fields.get(name)
    return absent if value is None else read(value, f"{place}.{name}")
