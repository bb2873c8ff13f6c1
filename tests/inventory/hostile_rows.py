"""Each hostile text in each text field of a record and its rows, several packed to a field, in rows side by side."""

from __future__ import annotations

import copy
from collections.abc import Collection, Iterator
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import models

from inventory.actions.texts import check_texts
from inventory.models import NaturalModel, Root
from inventory.models.shapes import check_shapes
from tests.inventory.hostile_scripts import SCRIPTS

MARK = "¤"
DIGITS = "0123456789abcdefghijklmnopqrstuvwxyz"


def is_free_text(column: models.Field) -> bool:
    """Whether somebody may write in it what they like, as far as its kind says."""
    return (
        isinstance(column, models.CharField | models.TextField)
        and not isinstance(column, models.FileField)
        and not column.choices
        and column.editable
        and not column.name.endswith(("_earliest", "_latest", "_sort"))
    )


def text_columns(model: Any) -> list[models.Field]:
    return [column for column in model._meta.concrete_fields if is_free_text(column)]


def models_with_texts() -> list[type[models.Model]]:
    """Every model of the record, and of what people answer to it, that holds a text."""
    return [
        model
        for model in apps.get_app_config("inventory").get_models()
        if issubclass(model, NaturalModel) and text_columns(model)
    ]


@cache
def judged(column: models.Field) -> tuple[dict[str, str], dict[str, str]]:
    """What a field makes of each of the sixty: kept as it is, or refused with these words."""
    kept, refused = {}, {}
    for name, text in SCRIPTS.items():
        try:
            value = column.clean(text, None)
            row = column.model()
            setattr(row, column.attname, value)
            check_texts(row)
            check_shapes(row)
            kept[name] = value
        except ValidationError as error:
            refused[name] = " ".join(error.messages)
    return kept, refused


@dataclass
class Packed:
    """One value of one field of one row: which texts stand in it, after a mark that stands nowhere else."""

    value: str
    texts: tuple[str, ...]


@dataclass
class Packer:
    """Packs the texts a field keeps, each exactly once, in as few values as its length allows."""

    numbers: Iterator[int] = field(default_factory=lambda: iter(range(36**3)))

    def pack(self, column: models.Field) -> list[Packed]:
        kept = dict(judged(column)[0])
        room = column.max_length or 10_000
        made = []
        while kept:
            mark = self.mark()
            # A text that has no room beside the mark stands alone.
            chosen: list[str] = []
            left = room - len(mark)
            for name, text in sorted(kept.items(), key=lambda one: -len(one[1])):
                if len(text) + 1 <= left:
                    chosen.append(name)
                    left -= len(text) + 1
            if chosen:
                made.append(Packed(" ".join([mark, *(kept[name] for name in chosen)]), tuple(chosen)))
            else:
                chosen = [next(iter(kept))]
                made.append(Packed(kept[chosen[0]], tuple(chosen)))
            for name in chosen:
                del kept[name]
        return made

    def mark(self) -> str:
        """A sign that stands nowhere else, and three letters or digits of its own."""
        number = next(self.numbers)
        return MARK + "".join(DIGITS[number // 36**place % 36] for place in (2, 1, 0))


@dataclass
class Filled:
    """A row whose texts are all hostile, and what stands in those fields that no row before it told of."""

    row: models.Model
    packed: dict[str, Packed]


def fill(row: Any, packer: Packer, leave: Collection[str] = ()) -> list[Filled]:
    """The row itself and as many copies beside it as its narrowest field needs. Nothing is saved."""
    planned = {
        column: packer.pack(column)
        for column in text_columns(row)
        if column.name not in ("code", "reference")
        and judged(column)[0]
        and f"{column.model._meta.model_name}.{column.name}" not in leave
    }
    made = []
    for number in range(max(map(len, planned.values()), default=0)):
        one = row
        if number:
            one = copy.copy(row)
            one.pk, one._state = None, models.base.ModelState()
            name = "reference" if isinstance(row, Root) else "code"
            setattr(one, name, f"{getattr(row, name)[:50]}-{number}")
        packed = {}
        for column, values in planned.items():
            setattr(one, column.attname, values[number % len(values)].value)
            if number < len(values):
                packed[column.name] = values[number]
        made.append(Filled(one, packed))
    return made
