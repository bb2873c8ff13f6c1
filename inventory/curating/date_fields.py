"""Dates as people write them: the reading in words and bounds, and a choice where there are several."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.core.exceptions import ValidationError
from django.utils.translation import gettext as _

from inventory.edtf import EdtfError, date_in_words, parse_edtf, suggest_edtf

CHOICE = "-reading"


@dataclass(frozen=True)
class Reading:
    """One thing a date may mean."""

    edtf: str
    words: str
    reason: str
    bounds: str


@dataclass(frozen=True)
class Readings:
    """What a typed date means: settled, a choice, or a question."""

    text: str
    settled: Reading | None
    candidates: tuple[Reading, ...]
    question: str


def bounds_in_words(text: str) -> str:
    """From which day to which; open ends are said."""
    value = parse_edtf(text)
    earliest, latest = _day(value.earliest), _day(value.latest)
    if earliest and latest:
        return _("from %(first)s to %(last)s") % {"first": earliest, "last": latest}
    if earliest:
        return _("from %(first)s, no end") % {"first": earliest}
    if latest:
        return _("until %(last)s, no beginning") % {"last": latest}
    return _("no bounds")


def _day(value: date | None) -> str:
    return "" if value is None else value.isoformat()


def read_date(text: str) -> Readings:
    """Read a date strictly; what is not written as a date standard asks for gets proposals, never a guess."""
    text = (text or "").strip()
    if not text:
        return Readings("", None, (), "")
    try:
        parse_edtf(text)
    except EdtfError as error:
        found = suggest_edtf(text, _)
        return Readings(
            text,
            None,
            tuple(_reading(one.edtf, one.words, one.reason) for one in found.candidates),
            found.question or (_(error.template) % error.values if not found.candidates else ""),
        )
    return Readings(text, _reading(text, date_in_words(text, _), ""), (), "")


def _reading(edtf: str, words: str, reason: str) -> Reading:
    return Reading(edtf, words, reason, bounds_in_words(edtf))


class DateInput(forms.TextInput):
    """A text box with its reading beneath; a chosen reading takes the place of the text."""

    template_name = "curating/widgets/date.html"

    def get_context(self, name: str, value: Any, attrs: dict[str, Any] | None) -> dict[str, Any]:
        context = super().get_context(name, value, attrs)
        context["widget"]["readings"] = read_date(value or "")
        context["widget"]["choice"] = name + CHOICE
        context["widget"]["reading_id"] = f"{context['widget']['attrs'].get('id', name)}-reading"
        return context

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> Any:
        text = data.get(name)
        chosen = str(data.get(name + CHOICE) or "")
        # A choice belongs to the text it was offered for: edtf, a bar, the text.
        edtf, _bar, asked = chosen.partition("|")
        return edtf if edtf and text is not None and asked == text.strip() else text


class DateField(forms.CharField):
    """Says which reading to choose instead of refusing what people write."""

    widget = DateInput

    def validate(self, value: Any) -> None:
        super().validate(value)
        found = read_date(value)
        if found.text and found.settled is None:
            if found.candidates:
                raise ValidationError(_("Choose what “%(text)s” means, below.") % {"text": found.text})
            raise ValidationError(found.question or _("This is not read as a date."))

    def run_validators(self, value: Any) -> None:
        """The model's own validator says the same in other words; once is enough."""
