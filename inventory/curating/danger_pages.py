"""What the pages of the danger list show: rows, filters, the two judgements crossed, one instrument in full."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from inventory.actions.texts import LONGEST_TEXT
from inventory.danger_list import JUDGEMENTS
from inventory.danger_reading import ReadList
from inventory.danger_words import band_in_words, title_of
from inventory.models import Danger, Decision, Instrument, Term
from inventory.models.choices import Audience
from inventory.models.danger import Advice

UNKNOWN = "unknown"


class DangerFilters(forms.Form):
    """What one may ask the list for; all of it may be left out."""

    advice = forms.ChoiceField(label=_("Advice"), required=False, choices=[("", _("any")), *Advice.choices])
    kind = forms.ChoiceField(label=_("Kind of danger"), required=False)
    decided = forms.ChoiceField(
        label=_("Decision"),
        required=False,
        choices=[
            ("", _("any")),
            ("no", _("none yet")),
            ("yes", _("decided")),
            ("departs", _("departs from the advice")),
            ("review", _("review is due")),
        ],
    )
    by = forms.ChoiceField(
        label=_("In the order of"),
        required=False,
        choices=[("", _("deadlines")), *((code, title_of(code)) for code in JUDGEMENTS)],
    )

    def __init__(self, data: Mapping[str, Any], most: Mapping[str, int]) -> None:
        super().__init__(data, auto_id="filter-%s")
        kinds = Term.objects.of("danger")
        self.fields["kind"].choices = [("", _("any")), *((one.code, one.name) for one in kinds)]  # type: ignore[attr-defined]
        for code in JUDGEMENTS:
            bands = [(str(n), band_in_words(n, most[code])) for n in range(1, most.get(code, 0) + 1)]
            self.fields[code] = forms.ChoiceField(
                label=title_of(code),
                required=False,
                choices=[("", _("any")), *bands, (UNKNOWN, _("insufficiently known"))],
            )

    def chosen(self) -> dict[str, str]:
        """What was asked for and can be answered."""
        self.is_valid()
        return {name: value for name, value in self.cleaned_data.items() if value}


@dataclass(frozen=True)
class ListRow:
    """One line of the list."""

    instrument: Instrument
    bands: tuple[str, ...]
    """In words, one for each judgement."""
    advice: str
    is_emergency: bool
    deadline: str
    """As written; empty if there is none."""
    is_past: bool
    """Whether the deadline has passed by the latest reading of its date."""
    dangers: tuple[Danger, ...]
    decision: Decision | None
    review_due: bool


def bands_of(read: ReadList) -> dict[str, int]:
    """How many bands each judgement has."""
    return {
        code: len(read.found.judgements[code].judged.bands) if code in read.found.judgements else 0
        for code in JUDGEMENTS
    }


def list_rows(read: ReadList, chosen: Mapping[str, str], *, today: date) -> list[ListRow]:
    """The lines that fit, in the order asked for."""
    most = bands_of(read)
    by = chosen.get("by", "")
    made = []
    for reference, entry in read.found.entries.items():
        advice = read.found.advice_for(reference)
        review_due = is_review_due(entry.decision, today)
        if not _fits(entry, advice, review_due, chosen):
            continue
        row = ListRow(
            read.instruments[reference],
            tuple(band_in_words(entry.bands.get(code), most[code]) for code in JUDGEMENTS),
            str(advice.label),
            entry.is_emergency,
            entry.dangers[0].deadline if entry.dangers else "",
            bool(
                entry.dangers
                and entry.dangers[0].deadline_latest
                and entry.dangers[0].deadline_latest < today
            ),
            entry.dangers,
            entry.decision,
            review_due,
        )
        band = entry.bands.get(by) if by else None
        first = (
            (entry.deadline or date.max,) if not by else (band is None, band or 0, entry.deadline or date.max)
        )
        made.append(((*first, reference), row))
    return [row for _key, row in sorted(made, key=lambda pair: pair[0])]


def is_review_due(decision: Decision | None, today: date) -> bool:
    """Whether the last decision was to be looked at again before today, at the latest reading of its date."""
    return bool(decision and decision.next_review_latest and decision.next_review_latest < today)


def crossed(read: ReadList) -> dict[str, Any]:
    """What would be lost against how likely: which instruments stand where."""
    most = bands_of(read)
    columns: list[int | None] = [*range(1, most["likely"] + 1), None]
    rows = []
    for loss in [*range(1, most["loss"] + 1), None]:
        cells = [
            [
                read.instruments[reference]
                for reference, entry in read.found.entries.items()
                if entry.bands.get("loss") == loss and entry.bands.get("likely") == likely
            ]
            for likely in columns
        ]
        rows.append((band_in_words(loss, most["loss"]), cells))
    return {"heads": [band_in_words(one, most["likely"]) for one in columns], "rows": rows}


def _fits(entry: Any, advice: Advice, review_due: bool, chosen: Mapping[str, str]) -> bool:
    for code in JUDGEMENTS:
        wanted = chosen.get(code)
        if wanted and (UNKNOWN if entry.bands.get(code) is None else str(entry.bands[code])) != wanted:
            return False
    if chosen.get("advice") and advice != chosen["advice"]:
        return False
    if chosen.get("kind") and all(one.kind.code != chosen["kind"] for one in entry.dangers):
        return False
    decided = chosen.get("decided")
    return (
        not decided
        or {
            "no": entry.decision is None,
            "yes": entry.decision is not None,
            "departs": bool(entry.decision and entry.decision.departs),
            "review": review_due,
        }[decided]
    )


class DecisionForm(forms.Form):
    """What the body decided; the advice is not asked for, it is that of the list."""

    when = forms.CharField(label=_("Date of the decision"), max_length=100)
    step = forms.ChoiceField(label=_("Step decided on"), choices=Advice.choices, widget=forms.RadioSelect)
    decision = forms.CharField(label=_("Decision, in a sentence"), max_length=200)
    because = forms.CharField(
        label=_("Reason"),
        required=False,
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Needed where the step departs from the advice; printed with the decision."),
    )
    custodian_told = forms.CharField(label=_("Custodian told on"), required=False, max_length=100)
    told_how = forms.CharField(label=_("Told how"), required=False, max_length=120)
    next_review = forms.CharField(label=_("Next review"), required=False, max_length=100)
    audience = forms.ChoiceField(
        label=_("Who may read"),
        choices=Audience.choices,
        help_text=_("Everybody only reads it while a consent for danger stands on the record."),
    )
