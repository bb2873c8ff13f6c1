"""Values in words: of fields, of history, of two versions side by side."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from django.apps import apps
from django.core.exceptions import FieldDoesNotExist
from django.db import models
from django.utils.translation import gettext as _

from inventory.actions import Clash
from inventory.edtf import date_in_words
from inventory.models import Root
from inventory.models.fields import EdtfField
from inventory.saying_anew import field_in_words

from .parts.values import Reader

TELLING = (
    "kind", "part", "criterion", "decision", "text", "about", "value", "course", "state", "when", "went_to", "group",
)  # fmt: skip
"""Fields that tell one row from another where a row has no words of its own, the most telling first."""


def split_path(path: str) -> tuple[str, str, str]:
    """Kind of row, its code, its field: ``stop:as-found/flute#footage``. A field of the root has no row."""
    row, mark, name = path.rpartition("#")
    if not mark:
        return "", "", path
    kind, _colon, code = row.partition(":")
    return kind, code, name


def find_field(root_kind: str, path: str) -> models.Field | None:
    """The model field a path speaks of, if there is one."""
    kind, _code, name = split_path(path)
    try:
        return apps.get_model("inventory", kind or root_kind)._meta.get_field(name)  # type: ignore[return-value]
    except (LookupError, FieldDoesNotExist):
        return None


def say_path(root_kind: str, path: str) -> str:
    """A path in words: *event built: date*."""
    kind, code, name = split_path(path)
    field = find_field(root_kind, path)
    label = field_in_words(field) if field is not None else name
    if not kind:
        return label
    try:
        row = str(apps.get_model("inventory", kind)._meta.verbose_name)
    except LookupError:
        row = kind
    return _("%(row)s %(code)s: %(field)s") % {"row": row, "code": code, "field": label}


def say_title(row: models.Model) -> str:
    """What a row is called: its own words, or its first telling field where it has none."""
    if type(row).__str__ is not models.Model.__str__:
        return str(row)
    for name in TELLING:
        if hasattr(row, name) and getattr(row, name) not in (None, ""):
            shown = getattr(row, f"get_{name}_display", None)
            words = str(shown() if shown else getattr(row, name))
            return words if len(words) < 90 else words[:89] + "…"
    return str(getattr(row, "code", row.pk))


def say_value(field: models.Field | None, value: Any, reader: Reader) -> str:
    """A kept value in words; nothing is said as such."""
    if value is None or value == "" or value == []:
        return _("(empty)")
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(field, EdtfField):
        words = date_in_words(str(value), _)
        return f"{value} ({words})" if words != value else str(value)
    if field is not None and field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(field, models.ForeignKey) and isinstance(value, list):
        return _related_name(field, value, reader)
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return str(value)


def _related_name(field: models.ForeignKey, key: list[Any], reader: Reader) -> str:
    try:
        found = field.related_model._default_manager.get_by_natural_key(*key)
        if isinstance(found, Root) and not reader.may_know(found):
            return _("(not for you)")
        return say_title(found)
    except (models.ObjectDoesNotExist, AttributeError, TypeError):
        return " / ".join(str(part) for part in key)


def say_clashes(
    root: Root, clashes: Iterable[Clash], names: Mapping[str, str], reader: Reader
) -> list[dict[str, Any]]:
    """Clashes in words, with the name of the form's field."""
    return [
        {
            "name": names.get(clash.path, ""),
            "label": say_path(root.kind_name(), clash.path),
            "was": say_value(find_field(root.kind_name(), clash.path), clash.was, reader),
            "mine": say_value(find_field(root.kind_name(), clash.path), clash.mine, reader),
            "theirs": say_value(find_field(root.kind_name(), clash.path), clash.theirs, reader),
        }
        for clash in clashes
    ]
