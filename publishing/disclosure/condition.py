"""What visits found of parts and defects: only where a consent for condition stands.

A defect's place is not read: it may say which panel lifts. Nor are photographs; those for everybody are
published as pictures. Parts are named only where everybody may know of them.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

from inventory.models import Defect, DefectObservation, Part, PartCondition, Term
from inventory.models.vocabularies import Vocabulary

from .condition_values import ConditionValue, DefectFound, DefectValue, PartState
from .door import check_column, consenting, read_rows

CLASSES = (
    ("condition_class", Vocabulary.CONDITION_CLASS),
    ("urgency_class", Vocabulary.URGENCY_CLASS),
    ("recommendation_class", Vocabulary.RECOMMENDATION_CLASS),
)
ORDER = ("survey__when_sort", "survey__code", "code")


def read_conditions(ids: Iterable[int]) -> dict[int, ConditionValue]:
    """States of parts and courses of defects by instrument; nothing where no consent stands."""
    agreed = consenting(ids, "condition")
    if not agreed:
        return {}
    consented: Any = {"consented": "condition"}
    words = _words_of_classes()
    parts = read_rows(Part, agreed, "code", "name")
    states = read_rows(
        PartCondition, agreed, "survey__code", "part__code", "looked_at", *(name for name, _v in CLASSES),
        "playability", "integrity", "note", order=ORDER, **consented,
    )  # fmt: skip
    defects = read_rows(
        Defect,
        agreed,
        "code",
        "kind__names",
        "part__code",
        "cause",
        "cause_certainty",
        order=("code",),
        **consented,
    )
    found = read_rows(
        DefectObservation, agreed, "survey__code", "course", "affected", "out_of", "note", order=ORDER,
        by="defect_id", **consented,
    )  # fmt: skip
    made = {}
    for pk in agreed:
        known = {row["code"]: row["name"] for row in parts.get(pk, ())}
        value = ConditionValue(
            tuple(
                PartState(
                    row["survey__code"],
                    row["part__code"],
                    known[row["part__code"]],
                    row["looked_at"],
                    tuple(
                        None if row[name] is None else (row[name], words.get((vocabulary, row[name]), {}))
                        for name, vocabulary in CLASSES
                    ),
                    row["playability"],
                    row["integrity"],
                    row["note"],
                )
                for row in states.get(pk, ())
                if row["part__code"] in known
            ),
            tuple(
                DefectValue(
                    row["code"],
                    row["kind__names"],
                    known.get(row["part__code"], ""),
                    row["cause"],
                    row["cause_certainty"],
                    tuple(
                        DefectFound(
                            one["survey__code"], one["course"], one["affected"], one["out_of"], one["note"]
                        )
                        for one in found.get(row["pk"], ())
                    ),
                )
                for row in defects.get(pk, ())
            ),
        )
        if value.parts or value.defects:
            made[pk] = value
    return made


def _words_of_classes() -> dict[tuple[str, int], dict[str, str]]:
    """The vocabulary's words for classes, in its languages."""
    for column in ("vocabulary", "code", "names"):
        check_column(Term, column)
    rows = Term.objects.filter(vocabulary__in=[vocabulary for _name, vocabulary in CLASSES])
    return {
        (vocabulary, int(code)): names
        for vocabulary, code, names in rows.values_list("vocabulary", "code", "names")
        if code.isascii() and code.isdecimal()
    }
