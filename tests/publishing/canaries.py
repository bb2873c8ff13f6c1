"""Plants a word nobody else writes in every text of the record, found by looking at the models themselves.

A field that can hold text gets a word of its own. A field that cannot (a closed list, a number, a
structure) is named in `STRUCTURES` with the reason, or planting fails: a new field must be decided on.
"""

from __future__ import annotations

import io
from dataclasses import dataclass, field
from datetime import date
from decimal import Decimal
from itertools import count
from pathlib import Path
from typing import Any

from django.apps import apps
from django.core.files.base import ContentFile
from django.db import models
from PIL import Image

from inventory.edtf import date_in_words
from inventory.models import Belonging, Device, NaturalModel, Root, Term, User
from inventory.models.evidence import AboutRecord
from inventory.models.fields import EdtfField
from inventory.visibility import group_of
from tests.publishing.leak_scanner import Scanner

STRUCTURES = {
    "citation.about": "names a field or row by a fixed grammar",
    "claim.about": "names a field or row by a fixed grammar",
    "fieldstate.about": "names a field or row by a fixed grammar",
    "region.about": "names a field or row by a fixed grammar",
    "consent.group": "names a field group; another word allows nothing",
    "stop.footage": "a footage, else no scheme can be read",
    "costline.currency": "three letters of ISO 4217",
    "keyboard.notes": "note numbers",
    "rank.notes": "note numbers",
    "rank.missing": "pipe numbers",
    "rank.tones": "pipe and note numbers",
    "segment.pipes": "pipe numbers",
    "stop.composition": "notes and footages",
    "chest.stop_order": "codes of stops",
    "chest.channel_order": "codes of keyboards with keys",
    "trial.stops": "codes of stops",
    "trial.keys": "codes of keyboards with keys",
    "trial.heard": "codes of stops with keys",
    "trial.extra": "codes of ranks with pipes",
    "term.unchecked": "codes of languages",
    "device.unchecked": "codes of languages",
}
VALUES: dict[str, Any] = {
    "keyboard.keys": 56, "keyboard.low_note": 36, "rank.pipes": 68, "rank.low_note": 36, "stop.footage": "8",
    "segment.first_key": 1, "segment.last_key": 56, "segment.interval": 0, "rankrange.first_pipe": 1,
    "rankrange.last_pipe": 12, "pipereading.pipe": 1, "gift.pipe": 1, "survey.level": 2, "survey.notes_heard": 7351,
    "survey.notes_tried": 8462, "survey.humidity_percent": 51, "specification.is_current": True, "count.number": 70,
    "place.latitude": Decimal("51.23457"), "place.longitude": Decimal("-17.86543"),
    "place.grid_degrees": Decimal("0.1"), "instrument.pitch_hz": Decimal("447.13"),
    "instrument.pitch_temperature_c": Decimal("17.3"), "region.x": 0.2, "region.y": 0.2, "region.width": 0.3,
    "region.height": 0.3, "photograph.consent": "given", "claim.preferred": True, "costline.price_year": 2020,
    "costline.low": Decimal("71234.56"), "costline.likely": Decimal("72345.67"), "costline.high": Decimal("73456.78"),
    "costline.currency": "XTS", "costline.rate": None,
    "survey.pitch_hz": Decimal("441.7"), "rate.price_year": 2020,
    "consent.group": "pictures", "citation.about": "name", "claim.about": "name",
    "criterion.version": 7, "trial.stops": ["none"], "layer.older_than": None,
    "instrument.merged_into": None, "place.parent": None, "phase.order": 1, "defectobservation.affected": 1,
    "defectobservation.out_of": 2,
}  # fmt: skip


@dataclass(frozen=True)
class Canary:
    """One planted text: every form it may be written in, the field it stands in, and the set of records."""

    forms: tuple[str, ...]
    field: str
    where: str


@dataclass
class Planter:
    """Makes sets of records and remembers what was planted."""

    canaries: list[Canary] = field(default_factory=list)
    numbers: Any = field(default_factory=lambda: count(1))

    def word(self, name: str, where: str) -> str:
        """A new word: letters only, so that it fits a code and an address."""
        number = next(self.numbers)
        letters = "".join(chr(97 + number // 26**place % 26) for place in (2, 1, 0))
        self.canaries.append(Canary((f"zq{letters}qz",), name, where))
        return f"zq{letters}qz"

    def day(self, name: str, where: str) -> str:
        """A day of its own, long before any organ of the tests, with two digits so that none is part of another."""
        number = next(self.numbers)
        day = date(1601 + number // 228, 1 + number // 19 % 12, 10 + number % 19).isoformat()
        self.canaries.append(Canary((day, date_in_words(day)), name, where))
        return day

    def amount(self, column: models.DecimalField, name: str, where: str) -> Decimal:
        """A number of its own where there are digits enough to know it again."""
        if column.max_digits < 7:
            return Decimal(1)
        number = Decimal(f"{3100 + next(self.numbers)}.{'73' if column.decimal_places == 2 else '731'}")
        self.canaries.append(Canary((str(number),), name, where))
        return number


def record_models() -> list[type[models.Model]]:
    """Every model of the record; people who sign in, the history and the workroom's own are not of it."""
    return [
        model for model in apps.get_app_config("inventory").get_models() if issubclass(model, NaturalModel)
    ]


def house_models() -> list[type[models.Model]]:
    """Every other model of ours: nothing of publishing may even name one."""
    known = record_models()
    return [model for model in apps.get_app_config("inventory").get_models() if model not in known]


def name_of(model: type[models.Model]) -> str:
    """The model as `visibility` names it."""
    return str(model._meta.model_name)


def is_private(canary: Canary, consents: frozenset[str] = frozenset()) -> bool:
    """Whether the one rule withholds the field from everybody."""
    model, _point, column = canary.field.partition(".")
    group = group_of(apps.get_model("inventory", model), column)
    return group.audience != "public" or (group.needs_consent and group.name not in consents)


class World:
    """One of every model, complete, hanging together, with a word in every text."""

    def __init__(
        self,
        planter: Planter,
        where: str,
        *,
        state: str = "released",
        audience: str = "public",
        rows: str = "public",
        beside: World | None = None,
    ) -> None:
        self.planter, self.where, self.beside = planter, where, beside
        self.root_values = {"state": state, "audience": audience, "version": 3}
        if state in ("released", "withdrawn"):
            self.root_values |= {"released_version": 3, "released_on": date(2024, 5, 17)}
        self.row_audience = rows
        self.made: dict[type[models.Model], Any] = {}
        for model in record_models():
            if name_of(model) not in ("tie", "makertie"):
                self.get(model)
            elif beside is not None:
                self.make(model)
        self._second_stop()

    def get(self, model: type[models.Model]) -> Any:
        """The row of a model, made now if it is not there."""
        if model not in self.made:
            if issubclass(model, AboutRecord):
                for root in ("instrument", "maker", "place"):
                    self.made[model] = self.make(
                        model, **{r: None for r in ("instrument", "maker", "place") if r != root}
                    )
            else:
                self.made[model] = self.make(model)
        return self.made[model]

    def make(self, model: type[models.Model], **given: Any) -> Any:
        """A new row; what is not given is filled by the kind of the field."""
        values = dict(given)
        for column in model._meta.concrete_fields:
            name = f"{name_of(model)}.{column.name}"
            if column.name in values or column.primary_key or self._is_companion(model, column):
                continue
            if issubclass(model, Root) and column.name in self.root_values:
                values[column.name] = self.root_values[column.name]
            elif column.name == "audience":
                values["audience"] = self.row_audience
            elif name in VALUES:
                values[column.name] = VALUES[name]
            else:
                found = self._value(model, column, name)
                if found is not None:
                    values[column.name] = found
        row = model(**values)
        row.full_clean()
        row.save()
        if name_of(model) == "controlposition":
            row.stops.add(self.get(apps.get_model("inventory", "stop")))
        return row

    @staticmethod
    def _is_companion(model: type[models.Model], column: models.Field) -> bool:
        stem, _line, end = column.name.rpartition("_")
        return end in ("earliest", "latest", "sort") and any(
            isinstance(other, EdtfField) and other.name == stem for other in model._meta.concrete_fields
        )

    def _value(self, model: type[models.Model], column: models.Field, name: str) -> Any:
        if column.is_relation:
            return self._related(column, name)
        if column.choices:
            return None if column.has_default() else column.choices[0][0]
        if isinstance(column, EdtfField):
            return self.planter.day(name, self.where)
        if isinstance(column, models.FileField):
            word = self.planter.word(name, self.where)
            return ContentFile(secretive_picture(self.planter, self.where), name=f"{word}.jpg")
        if name in STRUCTURES:
            return None
        if name in ("term.names", "device.names"):
            return {"en": self.planter.word(name, self.where)}
        if isinstance(column, models.CharField | models.TextField):
            return self.planter.word(name, self.where)
        if isinstance(column, models.JSONField):
            if name == "criterion.scale":
                return {"0": self.planter.word(name, self.where)}
            if name in ("criterion.names", "criterion.meanings"):
                return {"fr": self.planter.word(name, self.where)}
            raise LookupError(
                f"{name} may hold text: plant a word in it, or name it in STRUCTURES with the reason"
            )
        if isinstance(column, models.DecimalField):
            return self.planter.amount(column, name, self.where)
        return None

    def _related(self, column: models.Field, name: str) -> Any:
        """What a field points to; words of vocabularies are made anew for each field, and planted for it."""
        target = column.related_model
        if target is User:
            return self._person()
        if target is Term:
            vocabulary = column.get_limit_choices_to()["vocabulary"]
            word = self.planter.word(name, self.where)
            return Term.objects.create(vocabulary=vocabulary, code=f"t-{word}", names={"en": word})
        if target is Device:
            word = self.planter.word(name, "public" if self.where == "public" else "vocabulary")
            return Device.objects.create(code=f"d-{word}", names={"en": word}, non_return="needed")
        if column.name == "other" and self.beside is not None:
            return self.beside.get(target)
        return self.get(target)

    def _person(self) -> User:
        """Somebody who signs in; not even the name is public."""
        if User not in self.made:
            word = self.planter.word("place.custodian", f"{self.where}, the name of a person who signs in")
            self.made[User] = User.objects.create(username=word, last_name=word, email=f"{word}@example.org")
        return self.made[User]

    def _second_stop(self) -> None:
        """A second stop on the same row, so that there is something shared to tell of."""
        stop_model, segment = apps.get_model("inventory", "stop"), apps.get_model("inventory", "segment")
        second = self.make(stop_model, footage="4")
        self.make(segment, stop=second, interval=12)


def plant_rows(planter: Planter, world: World, audience: str) -> None:
    """Rows with an audience of their own, in an instrument that everybody may read."""
    where, world.where, world.row_audience = world.where, f"rows for {audience}", audience
    for model in record_models():
        if issubclass(model, Belonging) and any(c.name == "audience" for c in model._meta.concrete_fields):
            given = {"maker": None, "place": None} if issubclass(model, AboutRecord) else {}
            if name_of(model) == "claim":
                given |= {"preferred": False}
            world.make(model, **given)
    world.where, world.row_audience = where, "public"


def secretive_picture(planter: Planter, where: str) -> bytes:
    """A photograph that tells in five places who took it and where."""
    words = [planter.word("photograph.private_note", f"{where}, inside the original") for _place in range(4)]
    exif = Image.Exif()
    exif[0x010E], exif[0x013B] = words[0], words[1]  # description, artist
    exif.get_ifd(0x8825).update({1: "N", 2: (51.0, 14.0, 4.452), 3: "W", 4: (17.0, 51.0, 55.548)})
    out = io.BytesIO()
    Image.effect_noise((320, 240), 60).convert("RGB").save(
        out, "JPEG", exif=exif, comment=words[2].encode(), xmp=f"<x:xmpmeta>{words[3]}</x:xmpmeta>".encode()
    )
    return out.getvalue() + words[0].encode()


def text_fields() -> set[str]:
    """Every field of the record that can hold text and is no closed list."""
    text = models.CharField | models.TextField | models.JSONField | models.FileField
    return {
        f"{name_of(model)}.{column.name}"
        for model in record_models()
        for column in model._meta.concrete_fields
        if isinstance(column, text) and not column.choices
    }


def found_in(site: Path, canaries: list[Canary]) -> dict[Canary, list[str]]:
    """Where each planted text was found."""
    by_form = {form: canary for canary in canaries for form in canary.forms}
    places: dict[Canary, list[str]] = {}
    for hit in Scanner(by_form).folder(site):
        places.setdefault(by_form[hit.needle], []).append(f"{hit.path} ({hit.how})")
    return places
