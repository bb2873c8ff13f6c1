"""The statistics in the OpenAPI document: operations, schemas, what a query may name."""

from __future__ import annotations

from collections.abc import Iterable

from inventory.api.openapi_description import Operation
from inventory.api.openapi_schemas import NUMBER, TEXT, Schema, fields, list_of, or_null, ref

QUERY = {
    "view": "Which specification counts: as-found (usual), as-built, or a year.",
    "by": "Dimension of the groups: maker, decade, place, action, chest, device, pattern, level.",
    "group": "Key of one group of the dimension; all instruments where it is left out.",
    "measure": "Code of a measure.",
    "key": "Which figure of the measure.",
    "table": "Name of a table.",
}


def operations() -> Iterable[Operation]:
    """Every operation of the statistics."""
    yield Operation(
        "get", "/statistics", "Views, dimensions, measures and tables there are", ref("Statistics")
    )
    yield Operation(
        "get", "/statistics/figures", "Figures of all instruments, of one group, or of all groups of a dimension",
        ref("StatisticsFigures"), query=("view", "by", "group", "measure"),
    )  # fmt: skip
    yield Operation(
        "get", "/statistics/records", "The instruments that add up to one figure", ref("StatisticsRecords"),
        query=("view", "by", "group", "measure", "key"),
    )  # fmt: skip
    yield Operation(
        "get", "/statistics/rows", "Rows of one table, some instruments at a time", ref("StatisticsRows"),
        query=("view", "table", "after", "limit"),
    )  # fmt: skip


def schemas() -> dict[str, Schema]:
    """The schemas those operations name."""
    any_number: Schema = {"type": "number"}
    pair = or_null({"type": "array", "items": any_number, "minItems": 2, "maxItems": 2})
    figure = {
        "measure": TEXT, "key": TEXT, "kind": {"enum": ["share", "ratio", "mean"]}, "count": any_number,
        "of": {"type": "number", "description": "The denominator."},
        "counts": {"type": "string", "description": "What the denominator counts."},
        "n": {"type": "integer", "description": "Instruments the figure rests on."},
        "few": {"type": "boolean", "description": "Fewer than six: a share has no value; not to be ranked."},
        "value": or_null(any_number), "wilson": pair, "drawn_again": pair,
        "evidence": {"type": "object", "additionalProperties": NUMBER},
    }  # fmt: skip
    needed = tuple(figure)
    head = {"view": TEXT, "rule": TEXT, "published": NUMBER, "counted": NUMBER}
    group = fields((*needed, "group", "name"), **figure, group=TEXT, name=TEXT)
    column = fields(("name", "kind", "unit", "meaning"), name=TEXT, kind=TEXT, unit=TEXT, meaning=TEXT)
    record = fields(
        ("reference", "count", "of", "evidence"),
        reference=TEXT,
        count=any_number,
        of=any_number,
        evidence=TEXT,
    )
    return {
        "Figure": fields(needed, **figure),
        "Statistics": fields(
            ("views", "dimensions", "measures", "tables"),
            views=list_of(TEXT), dimensions=list_of(TEXT),
            measures=list_of(fields(("measure", "title", "meaning"), measure=TEXT, title=TEXT, meaning=TEXT)),
            tables=list_of(fields(("table", "columns"), table=TEXT, columns=list_of(column))),
        ),
        "StatisticsFigures": fields(
            tuple(head), **head, by=TEXT, group=TEXT, figures=list_of(ref("Figure")), groups=list_of(group),
            in_no_group=list_of(TEXT),
        ),
        "StatisticsRecords": fields(
            (*head, "figure", "records"), **head, by=TEXT, group=TEXT, figure=ref("Figure"), records=list_of(record)
        ),
        "StatisticsRows": fields(
            (*head, "table", "columns", "rows", "next"), **head, table=TEXT, columns=list_of(column),
            rows=list_of({"type": "array"}), next=or_null(TEXT),
        ),
    }  # fmt: skip
