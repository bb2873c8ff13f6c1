"""The OpenAPI document of this interface: one table of operations, schemas from the models."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from inventory.actions.editorial import STEPS

from .base import BASE
from .kinds import ROOTS
from .lists import FILTERS, MOST, PAGING
from .openapi_description import Operation, described_parts
from .openapi_schemas import CODE, TEXT, Schema, fields, list_of, or_null, record_schemas, ref, sum_schemas
from .photographs import text_fields
from .problems import CODES
from .sum_views import NOTES

ALWAYS = (400, 401, 403, 404, 405, 429, 500, 503)
BODY = (413, 415)
VERSIONED = (409, 412, 428)


TAG: dict[str, Schema] = {"ETag": {"schema": TEXT, "description": '"kind-reference-version"'}}
SAID: dict[str, Schema] = {
    NOTES: {"schema": TEXT, "description": "What of the body was not read: a JSON list."}
}


def operations() -> Iterable[Operation]:
    """Every operation of the interface."""
    yield Operation("get", "/openapi.json", "This document", {"type": "object"})
    for plural, model in ROOTS.items():
        name, one = model.__name__, f"/{plural}/{{reference}}"
        versioned: dict[str, Any] = {"if_match": True, "headers": TAG, "errors": (*VERSIONED, *BODY)}
        yield Operation(
            "get",
            f"/{plural}",
            f"{plural} one may read",
            ref(f"{plural}.page"),
            query=(*FILTERS[plural], *PAGING),
        )
        location = {**TAG, "Location": {"schema": TEXT}}
        yield Operation(
            "post", f"/{plural}", f"A new draft among the {plural}", ref(name), 201, ref(f"{name}.new"),
            errors=(409, *BODY), headers=location,
        )  # fmt: skip
        yield Operation("get", one, "A record with its rows", ref(name), query=("rows",), headers=TAG)
        yield Operation(
            "patch",
            one,
            "Change a record: all or nothing",
            ref(name),
            body=ref(f"{name}.change"),
            **versioned,
        )
        yield Operation(
            "get", f"{one}/history", "Who changed what, newest first; for the team", ref("History"),
            query=("before", "limit"), headers=TAG,
        )  # fmt: skip
        for step in STEPS:
            yield Operation(
                "post",
                f"{one}/{step}",
                f"Step of the editorial way: {step}",
                ref(name),
                body=ref("Why"),
                **versioned,
            )
    yield Operation(
        "post", "/instruments/{reference}/merge", "Withdraw a record in favour of another", ref("Instrument"),
        body=fields(("into", "why"), into=CODE, why=TEXT), **versioned,
    )  # fmt: skip
    yield Operation(
        "post", "/instruments/{reference}/photographs", "A photograph of an instrument, checked and made anew",
        ref("Instrument"), 201,
        fields(
            ("file", "shows", "credit", "licence"), file={"type": "string", "format": "binary"}, why=TEXT,
            **{name: TEXT for name in text_fields()},
        ),
        if_match=True, errors=(*VERSIONED, *BODY),
        headers={**TAG, "Location": {"schema": TEXT}}, sent_as="multipart/form-data",
    )  # fmt: skip
    for last, what in (("scheme", "Scheme"), ("evaluation", "Evaluation")):
        yield Operation(
            "get", f"/instruments/{{reference}}/{last}", f"{what} of a record's specification", ref(what),
            query=("specification",), headers=TAG, errors=(409,),
        )  # fmt: skip
    sums = {"errors": (409, 422, *BODY), "headers": SAID}
    yield Operation(
        "post", "/evaluate", "The sums of a scheme", ref("Evaluation"), body=ref("Scheme"), **sums
    )
    yield Operation("post", "/sound", "What sounds", ref("Sounding"), body=ref("SoundRequest"), **sums)
    yield Operation(
        "post",
        "/trace",
        "Failures trials are consistent with",
        ref("Traced"),
        body=ref("TraceRequest"),
        **sums,
    )
    yield Operation(
        "post",
        "/read-stoplist",
        "A typed stoplist, read",
        ref("Stoplist"),
        body=ref("StoplistRequest"),
        **sums,
    )
    for part in described_parts():
        yield from part.operations()


def openapi_document() -> dict[str, Any]:
    """The whole document."""
    paths: dict[str, Any] = {}
    for operation in operations():
        paths.setdefault(f"{BASE}{operation.path}", {})[operation.method] = _operation(operation)
    return {
        "openapi": "3.1.0",
        "info": {
            "title": "Upperboard",
            "version": "1",
            "description": "Records of organs, their changes and their sums, with the rights of whoever asks. "
            "Records are known by references, rows by codes. A change names the version it was made from in "
            "If-Match; a stale one is answered with both versions, field by field.",
        },
        "paths": paths,
        "components": {
            "schemas": {
                **record_schemas(),
                **sum_schemas(),
                **_common(),
                **{name: schema for part in described_parts() for name, schema in part.schemas().items()},
            },
            "securitySchemes": {
                "session": {
                    "type": "apiKey",
                    "in": "cookie",
                    "name": "sessionid",
                    "description": "The browser's sign-in; send X-CSRFToken with each change.",
                },
                "token": {
                    "type": "http",
                    "scheme": "bearer",
                    "description": "Made by a keeper: manage.py issue_token.",
                },
            },
        },
        "security": [{}, {"session": []}, {"token": []}],
    }


def _operation(operation: Operation) -> dict[str, Any]:
    parameters = []
    said = QUERY | {name: text for part in described_parts() for name, text in part.QUERY.items()}
    if "{reference}" in operation.path:
        parameters.append({"name": "reference", "in": "path", "required": True, "schema": TEXT})
    parameters += [
        {"name": name, "in": "query", "required": False, "schema": TEXT, "description": said.get(name, "")}
        for name in operation.query
    ]
    if operation.if_match:
        parameters.append(
            {
                "name": "If-Match",
                "in": "header",
                "required": True,
                "schema": TEXT,
                "description": "ETag of the version read.",
            }
        )
    made: dict[str, Any] = {
        "operationId": _name(operation),
        "summary": operation.summary,
        "parameters": parameters,
        "responses": {
            str(operation.status): {
                "description": "Done.",
                "content": {"application/json": {"schema": operation.answer}},
                **({"headers": operation.headers} if operation.headers else {}),
            },
            **{
                str(status): {
                    "description": CODES[status],
                    "content": {"application/json": {"schema": ref("Stale" if status == 412 else "Error")}},
                }
                for status in sorted({*ALWAYS, *operation.errors})
            },
        },
    }
    if operation.body is not None:
        made["requestBody"] = {
            "required": operation.body != ref("Why"),
            "content": {operation.sent_as: {"schema": operation.body}},
        }
    return made


def _name(operation: Operation) -> str:
    words = operation.path.replace("{reference}", "one").strip("/").replace("/", "_").replace("-", "_")
    return f"{operation.method}_{words.replace('.', '_')}"


QUERY = {
    "after": "Reference of the last record of the page before.",
    "before": "Version; older changes are told.",
    "limit": f"Records of a page, 1 to {MOST}.",
    "order": "reference or -reference.",
    "rows": "Kinds of rows wanted, parted by commas; all where it is left out.",
    "period": "With an event that can have happened in these years: 1850/1900.",
    "place": "Reference of a place; records in places inside it are found too.",
    "maker": "Reference of a maker.",
    "device": "Code of a device of sharing.",
    "pattern": "A pattern of sharing computed from the specification as it is now, such as common bass.",
    "specification": "Code of a specification; the current one where it is left out.",
}


def _common() -> dict[str, Schema]:
    fault = fields(("where", "message"), where=TEXT, message=TEXT)
    error: dict[str, Schema] = {
        "error": TEXT,
        "message": TEXT,
        "where": {"type": "string", "description": "Path of a field: name, stop:as-found/flute-8#footage."},
        "all": list_of(fault),
    }
    clash = fields(where=TEXT, was={}, yours={}, theirs={}, contested={"type": "boolean"})
    change = fields(
        version={"type": "integer"}, action=TEXT, who=or_null(TEXT), when=TEXT, why=TEXT,
        fields=list_of(fields(where=TEXT, old={}, new={})), withheld={"type": "integer"},
    )  # fmt: skip
    return {
        "Error": fields(("error", "message", "where"), **error),
        "Stale": fields(
            ("error", "message", "where", "etag", "fields"),
            **error, etag=TEXT, version_seen={"type": "integer"}, version_now={"type": "integer"},
            fields=list_of(clash), withheld={"type": "integer"},
        ),
        "Why": fields(why=TEXT),
        "History": fields(("changes", "next"), changes=list_of(change), next=or_null(TEXT)),
    }  # fmt: skip
