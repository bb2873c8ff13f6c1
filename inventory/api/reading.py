"""Bodies of requests: JSON of at most 8 MB, read by the reader of the exchange files."""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext as _
from rest_framework.negotiation import BaseContentNegotiation
from rest_framework.parsers import BaseParser

from inventory.organ.errors import SchemeError
from inventory.organ.json_text import LARGEST_FILE_BYTES, read_json, shown

from .problems import BadBody, Fault, Problem

MOST_BRACKETS = 100
LONGEST_REASON = 300


class JsonParser(BaseParser):
    """JSON in UTF-8 without anything in it that could do harm."""

    media_type = "application/json"

    def parse(self, stream: Any, media_type: str | None = None, parser_context: Any = None) -> Any:
        content = stream.read(LARGEST_FILE_BYTES + 1)
        if len(content) > LARGEST_FILE_BYTES:
            raise Problem(413, _("The request is larger than 8 MB; send less at a time."))
        try:
            document = read_json(content)
        except SchemeError as refused:
            raise Problem(400, str(refused), code="not-json") from None
        _refuse_harm(document)
        return document


def _refuse_harm(document: Any) -> None:
    """Zero characters and bracket upon bracket can be read, but neither kept nor shown everywhere."""
    waiting = [(document, 1)]
    while waiting:
        value, depth = waiting.pop()
        if depth > MOST_BRACKETS:
            raise Problem(400, _("Brackets are nested too deep; 100 levels are read."), code="not-json")
        texts: list[Any] = [value]
        if isinstance(value, dict):
            texts = list(value)
            waiting += [(one, depth + 1) for one in value.values()]
        elif isinstance(value, list):
            waiting += [(one, depth + 1) for one in value]
        if any(isinstance(text, str) and "\0" in text for text in texts):
            raise Problem(400, _("A text holds a zero character; leave it out."), code="not-json")


class AlwaysJson(BaseContentNegotiation):
    """Whatever is asked for, the answer is JSON."""

    def select_parser(self, request: Any, parsers: Any) -> Any:
        sent = (request.content_type or "").partition(";")[0].strip().lower()
        return parsers[0] if sent == parsers[0].media_type else None

    def select_renderer(self, request: Any, renderers: Any, format_suffix: str | None = None) -> Any:
        return renderers[0], renderers[0].media_type


def read_fields(body: Any, known: dict[str, type], needed: tuple[str, ...] = ()) -> dict[str, Any]:
    """The top of a body: an object with these fields, each of its type, and no others."""
    if not isinstance(body, dict):
        raise Problem(400, _("%(value)s is not an object; write fields in { }.") % {"value": shown(body)})
    faults: list[Fault] = [
        (name, _("There is no field of this name here; use: %(names)s.") % {"names": ", ".join(known)})
        for name in body
        if name not in known
    ]
    for name, kind in known.items():
        if name in needed and name not in body:
            faults.append((name, _("This field is needed.")))
        elif name in body and not isinstance(body[name], kind):
            words = {dict: _("an object"), list: _("a list"), str: _("text")}
            faults.append(
                (name, _("%(value)s is not %(kind)s.") % {"value": shown(body[name]), "kind": words[kind]})
            )
        elif name == "why" and len(body.get(name, "")) > LONGEST_REASON:
            told = _("A reason for the history has at most %(most)d characters.")
            faults.append((name, told % {"most": LONGEST_REASON}))
    if faults:
        raise BadBody(
            [(shown(place).strip("'\"") if place not in known else place, text) for place, text in faults]
        )
    return body
