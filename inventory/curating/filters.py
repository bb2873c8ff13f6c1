"""The filters of the lists: what one may ask for, and the rows that answer."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from django import forms
from django.db import models
from django.template.loader import render_to_string
from django.urls import get_script_prefix
from django.utils.safestring import SafeString
from django.utils.translation import get_language
from django.utils.translation import gettext_lazy as _

from inventory.models import Device, Instrument, Maker, Place, Root, User
from inventory.models.choices import InstrumentStatus, RecordState
from inventory.models.vocabularies import name_in_language
from inventory.organ.patterns import PAIR_PATTERNS, STOP_PATTERNS
from inventory.visibility import WIDENING, audience_of, readable

from .forms import RecordChoiceField
from .parts.values import Reader
from .widgets import PlainSelect

SORTS: dict[type[Root], tuple[str, ...]] = {
    Instrument: ("reference", "name", "place", "status", "state"),
    Maker: ("reference", "sort_name", "state"),
}
PLAIN_SORTS = ("reference", "name", "state")


MOST_FORMS, LONGEST_KEPT_QUESTION = 200, 300
_FORMS: dict[Any, SafeString] = {}


class ListFilters(forms.Form):
    """Filters of a list. What cannot be read is said and left out, never an empty page without a word."""

    q = forms.CharField(label=_("Words"), required=False, max_length=200)
    state = forms.ChoiceField(
        label=_("State of the record"),
        required=False,
        choices=[("", _("any")), *RecordState.choices],
        widget=PlainSelect,
    )
    mine = forms.BooleanField(label=_("Only those I worked on"), required=False)

    def __init__(self, kind: type[Root], user: User, data: Mapping[str, Any]) -> None:
        super().__init__(data, auto_id="filter-%s")
        reader = Reader(user, audience_of(user))
        if kind is Instrument:
            own = {
                "place": RecordChoiceField(
                    model=Place, reader=reader, label=_("Place, with what lies in it"), required=False
                ),
                "maker": RecordChoiceField(model=Maker, reader=reader, label=_("Maker"), required=False),
                "first": forms.IntegerField(
                    label=_("Something happened from year"), required=False, min_value=1, max_value=9999
                ),
                "last": forms.IntegerField(label=_("to year"), required=False, min_value=1, max_value=9999),
                "device": forms.ChoiceField(
                    label=_("Device of sharing"),
                    required=False,
                    choices=[("", _("any")), *_devices()],
                    widget=PlainSelect,
                ),
                "pattern": forms.ChoiceField(
                    label=_("Pattern of sharing"),
                    required=False,
                    choices=[("", _("any")), *((name, name) for name in (*PAIR_PATTERNS, *STOP_PATTERNS))],
                    widget=PlainSelect,
                ),
                "status": forms.ChoiceField(
                    label=_("Use and state"),
                    required=False,
                    choices=[("", _("any")), *InstrumentStatus.choices],
                    widget=PlainSelect,
                ),
            }
            self.fields = {"q": self.fields.pop("q"), **own, **self.fields}
            for name in ("first", "last"):
                self.fields[name].widget = forms.TextInput(attrs={"inputmode": "numeric", "size": 6})
        if kind.kind_name() not in ("instrument", "maker", "place", "source"):
            raise ValueError(kind)


def _devices() -> list[tuple[str, str]]:
    """Devices by their code, with their name: read as columns, for this is asked for with every list."""
    found = Device.objects.values_list("code", "names")
    return [(code, name_in_language(names, code)) for code, names in found]


def render_filters(form: ListFilters, kind: type[Root], sort: str, is_filtered: bool) -> SafeString:
    """The form of a list: made once for all who ask for the same, page after page."""
    asked = tuple((name, form.data.get(name)) for name in form.fields)
    if form.errors or sum(len(value or "") for _name, value in asked) > LONGEST_KEPT_QUESTION:
        return _render_filters(form, kind, sort, is_filtered)
    choices = tuple(form.fields["device"].choices) if "device" in form.fields else ()  # type: ignore[attr-defined]
    key = get_language(), get_script_prefix(), kind, sort, choices, is_filtered, asked
    if (kept := _FORMS.get(key)) is None:
        kept = _render_filters(form, kind, sort, is_filtered)
        if len(_FORMS) >= MOST_FORMS:
            _FORMS.clear()
        _FORMS[key] = kept
    return kept


def _render_filters(form: ListFilters, kind: type[Root], sort: str, is_filtered: bool) -> SafeString:
    context = {"form": form, "kind": kind, "sort": sort, "is_filtered": is_filtered}
    return render_to_string("curating/_filters.html", context)


def filtered(kind: type[Root], user: User, form: ListFilters) -> tuple[models.QuerySet, str]:
    """The rows a person asked for and may read, and how they are sorted."""
    form.is_valid()
    wanted = form.cleaned_data
    found: Any = kind._default_manager.filter(readable(user, kind.kind_name()))
    if wanted.get("q"):
        found = found.matching(wanted["q"])
    if wanted.get("state"):
        found = found.filter(state=wanted["state"])
    if wanted.get("mine"):
        found = found.changed_by(user)
    if kind is Instrument:
        found = _of_instruments(found, user, wanted)
    sort = str(form.data.get("sort") or "reference")
    if sort.lstrip("-") not in SORTS.get(kind, PLAIN_SORTS):
        sort = "reference"
    return found, sort


def _of_instruments(found: Any, user: User, wanted: Mapping[str, Any]) -> Any:
    reader = audience_of(user)
    audiences = WIDENING[: WIDENING.index(reader) + 1]
    if wanted.get("place"):
        found = found.standing_in(wanted["place"])
    if wanted.get("maker"):
        found = found.by_maker(wanted["maker"], audiences)
    if wanted.get("first") or wanted.get("last"):
        found = found.of_period(wanted.get("first"), wanted.get("last"), audiences)
    if wanted.get("device"):
        found = found.with_device(wanted["device"])
    if wanted.get("pattern"):
        found = found.with_pattern(wanted["pattern"])
    if wanted.get("status"):
        found = found.filter(status=wanted["status"])
    return found
