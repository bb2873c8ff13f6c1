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
    label = str(getattr(field, "verbose_name", name))
    if not kind:
        return label
    try:
        row = str(apps.get_model("inventory", kind)._meta.verbose_name)
    except LookupError:
        row = kind
    return _("%(row)s %(code)s: %(field)s") % {"row": row, "code": code, "field": label}


def say_value(field: models.Field | None, value: Any) -> str:
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
        return _related_name(field, value)
    if isinstance(value, list):
        return ", ".join(str(one) for one in value)
    return str(value)


def _related_name(field: models.ForeignKey, key: list[Any]) -> str:
    try:
        return str(field.related_model._default_manager.get_by_natural_key(*key))
    except (models.ObjectDoesNotExist, AttributeError, TypeError):
        return " / ".join(str(part) for part in key)


def say_clashes(root: Root, clashes: Iterable[Clash], names: Mapping[str, str]) -> list[dict[str, Any]]:
    """Clashes in words, with the name of the form's field."""
    return [
        {
            "name": names.get(clash.path, ""),
            "label": say_path(root.kind_name(), clash.path),
            "was": say_value(find_field(root.kind_name(), clash.path), clash.was),
            "mine": say_value(find_field(root.kind_name(), clash.path), clash.mine),
            "theirs": say_value(find_field(root.kind_name(), clash.path), clash.theirs),
        }
        for clash in clashes
    ]
