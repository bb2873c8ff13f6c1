"""The lines of a list of records, written as text: a template asks every value of every line by name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from functools import lru_cache
from html import escape
from typing import Any

from django.http import QueryDict
from django.template.defaultfilters import slugify
from django.urls import get_script_prefix, reverse
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from inventory.models import Instrument, Maker, Root
from inventory.models.choices import Audience, InstrumentStatus, RecordState
from inventory.saying_anew import field_in_words
from inventory.visibility import shows

_EVERY = ("reference", "name", "state", "version", "released_version")
_OF_INSTRUMENTS = ("status", "place__name", "place__state", "place__audience")


def columns_of(kind: type[Root]) -> tuple[str, ...]:
    """What a line of the list needs to know of a record."""
    if kind is Instrument:
        return (*_EVERY, *_OF_INSTRUMENTS)
    return (*_EVERY, "sort_name") if kind is Maker else _EVERY


def render_heads(kind: type[Root], sort: str, kept: QueryDict) -> SafeString:
    """The heads of the columns, by which one can sort."""
    return _heads(kind, sort, kept.urlencode(), get_language(), get_script_prefix())


@lru_cache(maxsize=256)
def _heads(kind: type[Root], sort: str, kept: str, _language: str | None, _prefix: str) -> SafeString:
    """The same for everybody who asks for this list in this language."""
    last = ("place", "status", "state") if kind is Instrument else ("state",)
    names = ("reference", "sort_name" if kind is Maker else "name")
    first, rest = ("".join(_head(kind, sort, kept, name) for name in half) for half in (names, last))
    return mark_safe(f"{first}\n{rest}")  # noqa: S308


def _head(kind: type[Root], sort: str, kept: str, name: str) -> str:
    label = field_in_words(kind._meta.get_field(name))
    order = "ascending" if sort == name else "descending" if sort == f"-{name}" else ""
    query = QueryDict(kept, mutable=True)
    query["sort"] = f"-{name}" if sort == name else name
    address = f"{reverse('list', kwargs={'kind': kind})}?{query.urlencode()}"
    sorted_so = f' aria-sort="{order}"' if order else ""
    arrow = f' <span aria-hidden="true">{"↑" if order == "ascending" else "↓"}</span>' if order else ""
    words = escape(label[:1].upper() + label[1:])
    return f'<th scope="col"{sorted_so}><a href="{escape(address)}">{words}{arrow}</a></th>\n'


def render_rows(kind: type[Root], rows: Iterable[Any], audience: Audience) -> SafeString:
    """Lines of the table, from rows that hold `columns_of` this kind."""
    # References are letters, digits, points, hyphens and underscores: one address serves for all.
    before, _mark, after = reverse("record", kwargs={"kind": kind, "reference": "_"}).rpartition("_")
    states = {value: _tag(value, str(label)) for value, label in RecordState.choices}
    statuses = {value: escape(str(label)) for value, label in InstrumentStatus.choices}
    since = _("changed since")
    since = f' <span class="small quiet">{escape(since)}</span>'
    lines = []
    for row in rows:
        reference, state = escape(row.reference), row.state
        title = escape(row.sort_name if kind is Maker else row.name)
        lines.append(
            f'<tr><td class="ref">{reference}</td><th scope="row">'
            f'<a href="{before}{reference}{after}">{title}</a></th>\n'
        )
        if kind is Instrument:
            lines.append(f"<td>{_place(row, audience)}</td><td>{_of(statuses, row.status)}</td>")
        changed = since if state == RecordState.RELEASED and row.version != row.released_version else ""
        lines.append(f"\n<td>{states.get(state) or _tag(state, state)}{changed}</td></tr>")
    return mark_safe("".join(lines))  # noqa: S308


def _tag(state: str, label: str) -> str:
    return f'<span class="tag {slugify(state)}">{escape(label)}</span>'


def _of(labels: Mapping[str, str], value: str) -> str:
    return labels.get(value) or escape(value)


def _place(row: Any, audience: Audience) -> str:
    """The name of the place, if the reader may know of it."""
    if row.place__name is None or not shows(audience, row.place__state, row.place__audience):
        return ""
    return escape(row.place__name)
