"""The identification sheet: the questions of Object ID answered from the private side. Never published.

What the sheet says is what its reader may read; a value never stands on it.
"""

from __future__ import annotations

from dataclasses import dataclass

from django.db.models import F
from django.utils.translation import gettext as _

from inventory.edtf import date_in_words
from inventory.models import (
    Citation,
    Instrument,
    Layer,
    Part,
    Photograph,
    PipeReading,
    Rank,
    Region,
    Specification,
    Survey,
    Tie,
    User,
)
from inventory.visibility import can_read

from .door import without_control_signs
from .parts import plain_number
from .values import Names, PictureValue

MOST_PARTS, MOST_PICTURES, MOST_RANKS = 24, 4, 12


@dataclass(frozen=True)
class RemovablePart:
    kind: Names
    name: str
    materials: str
    description: str


@dataclass(frozen=True)
class Identification:
    """Answers to Object ID's questions; an empty answer is a question still open."""

    reference: str
    version: int
    name: str
    place: str
    kind: tuple[int, int, int]
    """Manuals, stops, rows of pipes as they are now."""
    materials: tuple[str, ...]
    measurements: tuple[str, ...]
    inscriptions: tuple[str, ...]
    features: tuple[str, ...]
    dates: str
    makers: tuple[str, ...]
    description: str
    related: tuple[str, ...]
    sources: tuple[str, ...]
    documented: str
    parts: tuple[RemovablePart, ...]
    pictures: tuple[PictureValue, ...]


def read_identification(instrument: Instrument, user: User) -> Identification:
    """What this person may read, as answers."""
    now = Specification.objects.filter(instrument=instrument, is_current=True).first()
    parts = [
        one
        for one in Part.objects.filter(instrument=instrument).select_related("kind").order_by("code")
        if can_read(user, one)
    ]
    layers = (
        Layer.objects.filter(instrument=instrument)
        .select_related("maker")
        .order_by(F("when_sort").asc(nulls_last=True), "code")
    )
    survey = Survey.objects.filter(instrument=instrument).order_by("when_sort", "code").last()
    shown = [
        one
        for one in Photograph.objects.filter(instrument=instrument).order_by("order", "code")
        if can_read(user, one)
    ][:MOST_PICTURES]
    sources = Citation.objects.filter(instrument=instrument).exclude(source=None).select_related("source")
    told = [one for one in sources if can_read(user, one) and can_read(user, one.source)]
    ranks = list(Rank.objects.filter(specification=now).order_by("order", "code")) if now else []
    place = instrument.place if instrument.place and can_read(user, instrument.place) else None
    return Identification(
        instrument.reference,
        instrument.version,
        _text(instrument.name),
        _text(place.name) if place else "",
        (
            now.keyboards.filter(kind="manual").count() if now else 0,
            now.stops.count() if now else 0,
            len(ranks),
        ),
        tuple(
            dict.fromkeys(
                _text(f"{one.name}: {value}")
                for field, rows in (("materials", parts), ("alloy", ranks))
                for one in rows
                if (value := getattr(one, field)) and can_read(user, one, field)
            )
        ),
        _measurements(ranks, user),
        tuple(dict.fromkeys(_text(one.quote) for one in told if one.quote)),
        tuple(_features(shown)),
        "; ".join(date_in_words(layer.when) for layer in layers if layer.when),
        tuple(dict.fromkeys(_text(one.maker.name) for one in layers if one.maker and can_read(user, one.maker))),
        _text(instrument.summary),
        tuple(
            _text(f"{tie.get_kind_display()}: {tie.other.reference} {tie.other.name}")
            for tie in Tie.objects.filter(instrument=instrument).select_related("other")
            if can_read(user, tie.other)
        ),
        tuple(dict.fromkeys(_text(one.source.name) for one in told))[:8],
        date_in_words(survey.when) if survey and survey.when else "",
        tuple(
            RemovablePart(
                one.kind.names, _text(one.name),
                _text(one.materials) if can_read(user, one, "materials") else "", _text(one.description),
            )
            for one in parts[:MOST_PARTS]
        ),
        tuple(_picture(one) for one in shown),
    )  # fmt: skip


def _text(text: str) -> str:
    return without_control_signs(str(text or "")).strip()


def _measurements(ranks: list[Rank], user: User) -> tuple[str, ...]:
    """The lowest pipe measured of each row: enough to know it again."""
    found = []
    for rank in ranks:
        reading = (
            PipeReading.objects.filter(rank=rank, body_length_mm__isnull=False)
            .order_by("pipe", "survey__when_sort")
            .first()
        )
        if reading is None or not can_read(user, reading, "body_length_mm"):
            continue
        said = _("%(rank)s, pipe %(pipe)s: body %(length)s mm") % {
            "rank": rank.name, "pipe": reading.pipe, "length": plain_number(reading.body_length_mm),
        }  # fmt: skip
        if reading.outside_diameter_mm is not None:
            said += ", " + _("diameter outside %(mm)s mm") % {"mm": plain_number(reading.outside_diameter_mm)}
        found.append(_text(said))
    return tuple(found[:MOST_RANKS])


def _features(shown: list[Photograph]) -> list[str]:
    """What labelled places of the pictures show."""
    regions = Region.objects.filter(photograph__in=shown).order_by("photograph__order", "order")
    return [_text(one.label) for one in regions][:10]


def _picture(one: Photograph) -> PictureValue:
    return PictureValue(
        one.code, one.file.name, one.width, one.height, _text(one.shows), _text(one.caption), one.is_drawn, None,
        _text(one.credit), _text(one.licence), (),
    )  # fmt: skip
