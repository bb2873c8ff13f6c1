"""The schemas of the OpenAPI document: records and rows from the models, answers from DESIGN §8."""

from __future__ import annotations

from typing import Any

from django.db import models

from inventory.models import Belonging, Root
from inventory.models.choices import RecordState

from .kinds import ROOTS, Field, RowKind, kept_fields, row_kinds, writable_fields

Schema = dict[str, Any]
CODE: Schema = {"type": "string", "pattern": "^[A-Za-z0-9._-]{1,64}$"}
TEXT: Schema = {"type": "string"}
NUMBER: Schema = {"type": "integer"}


def ref(name: str) -> Schema:
    """A schema named in the document."""
    return {"$ref": f"#/components/schemas/{name}"}


def list_of(items: Schema) -> Schema:
    """A list."""
    return {"type": "array", "items": items}


def fields(_needed: tuple[str, ...] = (), _open: bool = False, **properties: Schema) -> Schema:
    """An object with these properties."""
    made: Schema = {"type": "object", "properties": properties, "additionalProperties": _open}
    if _needed:
        made["required"] = list(_needed)
    return made


def or_null(schema: Schema) -> Schema:
    """A value that may be absent."""
    return {"anyOf": [schema, {"type": "null"}]}


def field_schema(field: Field) -> Schema:
    """A field of a record or row, with its help and its closed list of values."""
    said = {"description": f"{field.verbose_name}. {field.help_text}".strip()}
    if field.many_to_many:
        return {**said, **list_of(TEXT)}
    schema: Schema = {"type": "string"}
    if field.is_relation:
        what = "reference of a record" if issubclass(field.related_model, Root) else "code"
        kind = field.related_model._meta.verbose_name
        if issubclass(field.related_model, Belonging):
            what = "code in this record"
        said["description"] += f" ({what}: {kind})"
    elif isinstance(field, models.JSONField):
        schema = {}
    elif isinstance(field, models.BooleanField):
        schema = {"type": "boolean"}
    elif isinstance(field, models.DecimalField):
        schema = {"type": ["string", "number"], "description": "A decimal; answered as text."}
    elif isinstance(field, models.FloatField):
        schema = {"type": "number"}
    elif isinstance(field, models.IntegerField):
        schema = {"type": "integer"}
    elif isinstance(field, models.DateTimeField):
        schema = {"type": "string", "format": "date-time"}
    elif isinstance(field, models.DateField):
        schema = {"type": "string", "format": "date"}
    elif field.choices is None and field.max_length:
        schema["maxLength"] = field.max_length
    if field.choices:
        values = [value for value, _label in field.flatchoices]
        schema["enum"] = (
            values if not field.blank or "" in values or schema["type"] != "string" else ["", *values]
        )
    schema = {**schema, "description": said["description"]}
    return or_null(schema) if field.null and schema.get("type") else schema


def row_schema(kind: RowKind) -> Schema:
    """A row: the codes of its key, and its fields."""
    made = fields(
        kind.key,
        **{name: CODE for name in kind.key},
        **{n: field_schema(f) for n, f in writable_fields(kind.model).items() if n not in kind.key},
    )
    made["description"] = str(kind.model._meta.verbose_name)
    return made


def record_schemas() -> dict[str, Schema]:
    """Schemas of the four kinds of record, their rows, their changes and their lists."""
    schemas: dict[str, Schema] = {}
    for plural, model in ROOTS.items():
        name = model.__name__
        kinds = row_kinds(model)
        for kind in kinds.values():
            schemas[f"{name}.{kind.name}"] = row_schema(kind)
        rows = fields(**{kind.name: list_of(ref(f"{name}.{kind.name}")) for kind in kinds.values()})
        schemas[f"{name}.fields"] = fields(**{n: field_schema(f) for n, f in writable_fields(model).items()})
        kept = {n: field_schema(model._meta.get_field(n)) for n in kept_fields(model)}
        head = {
            "kind": {"const": model.kind_name()},
            "reference": CODE,
            "version": {"type": "integer", "minimum": 1},
            "state": {"enum": RecordState.values},
            "fields": ref(f"{name}.fields"),
            "kept": fields(**{n: s for n, s in kept.items() if n not in ("version", "state")}),
        }
        schemas[f"{name}.head"] = fields(tuple(head), **head)
        schemas[name] = fields(
            ("kind", "reference", "version"),
            **head,
            rows=rows,
            kept_rows={"type": "object", "additionalProperties": {"type": "object"}},
        )
        with_reference = {**schemas[f"{name}.fields"]["properties"], "reference": CODE}
        schemas[f"{name}.new"] = fields(
            ("fields",), fields=fields(("reference",), **with_reference), rows=rows, why=TEXT
        )
        schemas[f"{name}.change"] = fields(
            fields=ref(f"{name}.fields"), rows=rows, remove=list_of(TEXT), why=TEXT
        )
        schemas[f"{plural}.page"] = fields(
            ("records", "next"), records=list_of(ref(f"{name}.head")), next=or_null(TEXT)
        )
    return schemas


def _heard(**more: Schema) -> Schema:
    return fields(("stop", "key"), stop=TEXT, key=NUMBER, **more)


def sum_schemas() -> dict[str, Schema]:
    """Exchange files and answers."""
    held = fields(("keyboard", "key"), keyboard=TEXT, key=NUMBER)
    failure = fields(("part", "fails"), part=TEXT, fails=TEXT)
    scheme = {"keyboards", "ranks", "stops", "segments", "controls", "chests", "couplers"}
    open_object: Schema = {"type": "object"}
    counted = ("calls", "pipes_called", "pipes_shared", "pipes_own", "pipes_repeated", "depth")
    return {
        "Scheme": fields(
            ("keyboards", "ranks", "stops", "segments"),
            True,
            **{n: list_of(open_object) for n in sorted(scheme)},
        ),
        "Evaluation": fields(
            counted,
            **{name: NUMBER for name in counted},
            pipes_recorded=or_null(NUMBER),
            pipes_uncalled=or_null(NUMBER),
            economy=or_null({"type": "number"}),
            stops=list_of(open_object),
            families=list_of(open_object),
            valves=fields(needed=NUMBER, recorded=NUMBER, not_seen=NUMBER),
            findings=list_of(fields(code=TEXT, severity=TEXT, message=TEXT, where=open_object)),
        ),
        "Sounding": fields(
            ("calls", "coincide", "cannot_sound_together", "pipes"),
            calls=NUMBER,
            coincide=NUMBER,
            cannot_sound_together=NUMBER,
            pipes=list_of(fields(rank=TEXT, pipe=NUMBER, calls=list_of(_heard()))),
        ),
        "SoundRequest": fields(
            ("stops", "keys"), scheme=ref("Scheme"), record=TEXT, stops=list_of(TEXT), keys=list_of(held)
        ),
        "TraceRequest": fields(
            ("trials",),
            scheme=ref("Scheme"),
            record=TEXT,
            odds=open_object,
            trials=list_of(
                fields(
                    ("stops", "keys", "heard"),
                    True,
                    stops=list_of(TEXT),
                    keys=list_of(held),
                    heard=list_of(_heard(**{"as": {"enum": ["speaks", "weak", "silent"]}})),
                    extra=or_null(list_of(open_object)),
                )
            ),
        ),
        "Traced": fields(
            size=NUMBER,
            count=TEXT,
            groups=list_of(
                fields(
                    size=NUMBER,
                    count=TEXT,
                    explanations=list_of(
                        fields(
                            failures=list_of(fields(part=TEXT, fails=TEXT, same_as=list_of(failure))),
                            odds={"type": "number"},
                        )
                    ),
                )
            ),
            next_trial=or_null(fields(stops=list_of(TEXT), keys=list_of(held), splits=NUMBER)),
            unexplained=list_of(NUMBER),
            suggested_cause=or_null(TEXT),
        ),
        "StoplistRequest": fields(("text",), text=TEXT, language={"enum": ["en", "fr", "de", "es", "it"]}),
        "Stoplist": fields(
            ("divisions", "couplers", "accessories", "questions"),
            **{n: list_of(open_object) for n in ("divisions", "couplers", "accessories", "questions")},
        ),
    }
