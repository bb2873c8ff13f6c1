"""Values of a body as values of a model's fields: the right type, within reach, or a fault that says what to write."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation
from typing import Any

from django.db import models
from django.utils.translation import gettext as _

from inventory.models import Root
from inventory.organ.json_text import shown
from inventory.readers import Reader

from .kinds import Field


class BadValue(ValueError):
    """A value that does not fit its field."""


def convert(field: Field, value: Any) -> Any:
    """A value for a field that is no link. What a model checks itself is left to the model."""
    if value is None:
        if not field.null:
            empty = (
                _('write "" for nothing') if isinstance(field, models.CharField | models.TextField) else ""
            )
            raise BadValue(_("null is no value here; %(what)s") % {"what": empty or _("write a value.")})
        return None
    if isinstance(field, models.JSONField):
        return value
    if isinstance(field, models.BooleanField):
        if not isinstance(value, bool):
            raise BadValue(_("%(value)s is neither true nor false.") % {"value": shown(value)})
        return value
    if isinstance(field, models.DecimalField):
        return _decimal(field, value)
    if isinstance(field, models.FloatField):
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise BadValue(_("%(value)s is not a number.") % {"value": shown(value)})
        return float(value)
    if isinstance(field, models.IntegerField):
        if type(value) is not int:
            raise BadValue(_("%(value)s is not a whole number.") % {"value": shown(value)})
        return value
    if not isinstance(value, str):
        raise BadValue(_("%(value)s is not text; write it in quotes.") % {"value": shown(value)})
    return value


def _decimal(field: models.DecimalField, value: Any) -> Decimal:
    """A decimal, from text (exact) or a number, written with the field's decimals."""
    if isinstance(value, bool) or not isinstance(value, int | float | str) or len(str(value)) > 40:
        raise BadValue(_("%(value)s is not a number.") % {"value": shown(value)})
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        raise BadValue(_("%(value)s is not a number.") % {"value": shown(value)}) from None
    if not number.is_finite() or abs(number.adjusted()) > 20:
        raise BadValue(_("%(value)s is outside what can be kept.") % {"value": shown(value)})
    exact = round(number, field.decimal_places)
    return exact if exact == number else number


def find_record(model: type[Root], value: Any, reader: Reader) -> Root:
    """A record named by its reference, if this person may know of it."""
    found = reader.records(model).filter(reference=value).first() if isinstance(value, str) else None
    if found is None:
        raise BadValue(
            _("%(value)s is the reference of no %(kind)s you may read.")
            % {"value": shown(value), "kind": model._meta.verbose_name}
        )
    return found


def find_word(field: Field, value: Any) -> models.Model:
    """A word of a vocabulary, a device or a criterion, by its code."""
    model: Any = field.related_model
    only = dict(field.get_limit_choices_to() or {})
    names = [name for name in model.natural if name not in only]
    steps = value.split("/") if isinstance(value, str) else []
    found = None
    if len(steps) == len(names) and all(len(step) <= 64 for step in steps):
        parts: dict[str, Any] = dict(zip(names, steps, strict=True))
        if not str(parts.get("version", "1")).isascii() or not str(parts.get("version", "1")).isdigit():
            parts = {"pk": None}
        elif "version" in parts:
            parts["version"] = int(parts["version"][:6])
        found = model.objects.filter(**only, **parts).first()
    if found is None:
        raise BadValue(
            _("%(value)s is no word for %(field)s; see the vocabulary %(name)s.")
            % {
                "value": shown(value),
                "field": field.verbose_name,
                "name": only.get("vocabulary", model._meta.verbose_name),
            }
        )
    return found
