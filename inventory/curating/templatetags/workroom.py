"""Values of fields in words, addresses of rows, and whether a reader may see them."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from django import template
from django.apps import apps
from django.db import models
from django.http import QueryDict
from django.urls import reverse
from django.utils.html import format_html
from django.utils.safestring import SafeString
from django.utils.translation import gettext as _

from inventory import punctuation
from inventory.edtf import date_in_words
from inventory.models import Belonging, Root
from inventory.models.choices import Audience
from inventory.models.evidence import AboutRecord
from inventory.models.fields import EdtfField
from inventory.punctuation import in_figures
from inventory.saying_anew import field_in_words
from inventory.visibility import shows

from ..access import PLURAL, record_url
from ..filters import ListFilters, render_filters
from ..frames import render_frame
from ..list_rows import render_heads, render_rows
from ..pages import ShownRows
from ..parts import Reader, RowKind
from ..saying import say_path, say_title

register = template.Library()


@register.simple_tag(takes_context=True)
def frame(context: template.Context, name: str) -> SafeString:
    """A piece of the frame round every page."""
    return render_frame(name, context)


@register.simple_tag
def filter_form(form: ListFilters, kind: type[Root], sort: str, is_filtered: bool) -> SafeString:
    """The filters of a list."""
    return render_filters(form, kind, sort, is_filtered)


@register.simple_tag
def list_rows(kind: type[Root], rows: Sequence[Any], audience: Audience) -> SafeString:
    """The lines of a list."""
    return render_rows(kind, rows, audience)


@register.filter
def in_words(date_text: str) -> str:
    """A date in words."""
    return date_in_words(date_text, _) if date_text else ""


@register.filter
def label_of(row: models.Model | type[models.Model], name: str) -> str:
    """The label of a field, with a capital."""
    text = field_in_words(row._meta.get_field(name))
    return text[:1].upper() + text[1:]


@register.filter
def seen_by(root: Root | None, reader: Reader | Any) -> bool:
    """Whether a record named in another may be named to this reader."""
    if isinstance(reader, Reader):
        return reader.may_know(root)
    return root is not None and shows(reader, root.state, root.audience)


@register.filter
def record_address(root: Root) -> str:
    """Where a record's page is."""
    return record_url(root)


@register.simple_tag
def value_of(row: models.Model, name: str, reader: Reader) -> str | SafeString:
    """A field's value in words; a record as a link to its page, if the reader may know of it."""
    field = row._meta.get_field(name)
    value = getattr(row, name)
    if value in (None, "", [], {}):
        return ""
    if isinstance(value, Root):
        if not reader.may_know(value):
            return _("(not for you)")
        return format_html('<a href="{}">{}</a>', record_url(value), getattr(value, "name", value.reference))
    if isinstance(field, EdtfField):
        return date_in_words(str(value), _)
    if field.choices:
        return str(dict(field.flatchoices).get(value, value))
    if isinstance(value, bool):
        return _("yes") if value else ""
    if isinstance(value, Decimal):
        return in_figures(value)
    return str(value)


@register.simple_tag
def colon() -> str:
    """The colon, with the space before it where the language has one."""
    return punctuation.colon()


@register.simple_tag
def row_code(row: Belonging) -> str:
    """A row's codes inside its record, for addresses."""
    return row.path_in_root().partition(":")[2]


@register.simple_tag
def row_url(name: str, root: Root, kind: RowKind, row: Belonging) -> str:
    """The address where a row is changed or taken away."""
    code = row.path_in_root().partition(":")[2]
    return reverse(
        name, kwargs={"kind": type(root), "reference": root.reference, "rows": kind.name, "code": code}
    )


@register.simple_tag
def evidence_of(evidence: dict[str, int] | Any, row: Any, name: str = "") -> dict[str, Any]:
    """What speaks of a row or field: its path, and how many citations and claims there are."""
    path = row.path_in_root() if isinstance(row, Belonging) else ""
    about = f"{path}#{name}" if path and name else path or name
    counts = evidence if isinstance(evidence, dict) else {}
    number = counts.get(about, 0)
    if path and not name:
        number += sum(found for key, found in counts.items() if key.startswith(path + "#"))
    return {"about": about, "number": number}


@register.filter
def why_empty_words(states: dict[str, str] | Any, name: str) -> str:
    """Why a field is empty, in words; not having looked is what an empty field means."""
    from inventory.models.choices import Knowledge

    found = states.get(name, Knowledge.NOT_LOOKED_AT) if isinstance(states, dict) else Knowledge.NOT_LOOKED_AT
    return str(Knowledge(found).label)


@register.simple_tag
def address_with(kept: QueryDict, **changed: Any) -> str:
    """The query of this page with some values changed."""
    query = kept.copy()
    for name, value in changed.items():
        if value in (None, ""):
            query.pop(name, None)
        else:
            query[name] = str(value)
    return query.urlencode()


@register.filter
def rows_named(shown: list[ShownRows], name: str) -> ShownRows | None:
    """The rows of one kind among those of a part."""
    return next((one for one in shown if one.kind.name == name), None)


@register.filter
def get(mapping: dict[str, Any] | Any, key: str) -> Any:
    """A value by its key."""
    return mapping.get(key, "") if isinstance(mapping, dict) else ""


@register.filter
def plural_name(kind: type[Root]) -> str:
    """The name of a kind of record, in the plural, with a capital."""
    text = str(kind._meta.verbose_name_plural)
    return text[:1].upper() + text[1:]


@register.filter
def title_of(row: models.Model) -> str:
    """What a row is called on pages."""
    return say_title(row)


@register.filter
def parent_of(row: models.Model, name: str) -> str:
    """The row another row belongs to, in words."""
    return say_title(getattr(row, name))


@register.filter
def is_about_able(row: models.Model) -> bool:
    """Whether sources can be cited for a row: not for citations and claims themselves."""
    return not isinstance(row, AboutRecord)


@register.filter
def slug_of(kind: type[Root]) -> str:
    """The kind of record as addresses have it."""
    return PLURAL[kind.kind_name()]


@register.simple_tag
def sort_heads(kind: type[Root], sort: str, kept: QueryDict) -> SafeString:
    """The heads of a list's columns, by which one can sort."""
    return render_heads(kind, sort, kept)


@register.filter
def about_words(about: str) -> str:
    """What a finding speaks of, in words: *event built: date*, *specification as-found*."""
    row, mark, _name = about.partition("#")
    if mark or ":" not in row:
        return say_path("instrument", about)
    kind, _colon, code = row.partition(":")
    try:
        return f"{apps.get_model('inventory', kind)._meta.verbose_name} {code}"
    except LookupError:
        return about
