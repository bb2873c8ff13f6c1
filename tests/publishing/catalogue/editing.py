"""A seeded editor who changes a small collection at random, only by actions, in every way that shows in public."""

from __future__ import annotations

import io
import random
from typing import Any

from django.core.files.base import ContentFile
from PIL import Image

from inventory.actions import (
    change_record,
    create_record,
    merge,
    release,
    return_to_draft,
    submit_for_review,
    withdraw,
)
from inventory.actions.vocabularies import change_word
from inventory.models import (
    Citation,
    Claim,
    Consent,
    Device,
    Event,
    Instrument,
    Layer,
    Maker,
    Photograph,
    Place,
    Segment,
    Source,
    Survey,
    Term,
    Tie,
    User,
)
from inventory.models.choices import RecordState
from tests.factory import add_shared_rank, make_instrument, make_maker, make_place, make_public, make_term

PUBLIC = {"audience": "public"}


class RandomEditor:
    """Makes a collection and then one change after another; the same seed makes the same changes."""

    def __init__(self, by: User, seed: int) -> None:
        self.by, self.draw, self.number = by, random.Random(seed), 0
        self.kind = make_term("event", "edited-kind", en="a kind of event")
        self.device = Device.objects.create(
            code="edited-device", names={"en": "a device"}, non_return="needed"
        )
        self.parish = make_public(
            make_place(by, name="A parish", grid_degrees="0.1", latitude="51.2", longitude="-17.3"), by
        )
        inside = {"kind": "building", "parent": self.parish, "latitude": "51.21", "longitude": "-17.31"}
        self.places = [
            make_public(make_place(by, name=f"Church {n}", grid_degrees="0.1", **inside), by) for n in (1, 2)
        ]
        self.makers = [make_public(make_maker(by, name=f"Maker {n}"), by) for n in (1, 2)]
        source = Source(
            reference="SRC-T1", name="A source", kind=make_term("source", "edited-source", en="a letter")
        )
        self.source = make_public(create_record(source, by=by), by)
        for n in range(4):
            self.new_instrument(n)
        self.moves = [
            self.rename, self.summarise, self.release_or_return, self.withdraw_or_merge, self.change_scheme,
            self.change_photograph, self.change_word, self.rename_maker, self.rename_place, self.move_grid, self.claim,
            self.cite, self.add_event, self.tie, self.consent, self.authority_goes_and_comes, self.new_one,
            self.edit_source, self.device_word, self.replace_picture,
        ]  # fmt: skip

    def edit(self) -> str:
        """One change; its name."""
        self.number += 1
        move = self.draw.choice(self.moves)
        move()
        return move.__name__

    def new_instrument(self, n: int) -> None:
        """A released instrument: shared pipes on two of three, an event, a photograph, a layer."""
        organ = make_instrument(self.by, name=f"Organ {n}", place=self.draw.choice(self.places))
        if n % 3:
            add_shared_rank(organ, self.by, keys=12)
        rows: list[Any] = [
            Layer(
                instrument=organ,
                code="built",
                name="the organ of 1850",
                when="1850~",
                maker=self.draw.choice(self.makers),
            ),
            Event(
                instrument=organ,
                code="built",
                kind=self.kind,
                when="1850",
                maker=self.draw.choice(self.makers),
            ),
            self.photograph(organ, "front"),
            Survey(
                instrument=organ,
                code="visit",
                when="2020",
                level=2,
                limits="nothing opened",
                surveyor="zq",
                findings="zq",
            ),
        ]
        change_record(organ, version=organ.version, by=self.by, put=rows)
        make_public(organ, self.by)

    def photograph(self, organ: Instrument, code: str) -> Photograph:
        """A small picture."""
        return Photograph(
            instrument=organ, code=code, file=ContentFile(self.picture(), name=f"{code}.png"), shows="a front",
            credit="A", licence="CC BY 4.0", consent="given", **PUBLIC,
        )  # fmt: skip

    def picture(self) -> bytes:
        """The bytes of a picture of one random colour."""
        out = io.BytesIO()
        Image.new("RGB", (16, 12), tuple(self.draw.randrange(256) for _ in range(3))).save(out, "PNG")
        return out.getvalue()

    def organ(self) -> Instrument | None:
        """Some instrument that is not withdrawn."""
        found = list(Instrument.objects.exclude(state=RecordState.WITHDRAWN).order_by("reference"))
        return self.draw.choice(found) if found else None

    def put(self, root: Any, *rows: Any) -> None:
        """Save rows of a record."""
        if root is not None:
            change_record(root, version=root.version, by=self.by, put=rows or [root])

    def rename(self) -> None:
        """An instrument has another name."""
        if organ := self.organ():
            organ.name = f"Renamed {self.number}"
            self.put(organ)

    def summarise(self) -> None:
        """Another summary."""
        if organ := self.organ():
            organ.summary = f"Summary {self.number}."
            self.put(organ)

    def release_or_return(self) -> None:
        """A released one is returned; a draft is released."""
        organ = self.organ()
        if organ is None:
            return
        if organ.state == RecordState.RELEASED:
            return_to_draft(organ, version=organ.version, by=self.by, why="once more")
            return
        if organ.state == RecordState.DRAFT:
            organ = submit_for_review(organ, version=organ.version, by=self.by)
        release(organ, version=organ.version, by=self.by)

    def withdraw_or_merge(self) -> None:
        """An instrument goes, if more than two stay."""
        organ, other = self.organ(), self.organ()
        if (
            organ is None
            or other is None
            or Instrument.objects.exclude(state=RecordState.WITHDRAWN).count() < 3
        ):
            return
        if organ.pk == other.pk:
            withdraw(organ, version=organ.version, by=self.by, because="twice the same")
        else:
            merge(organ, other, version=organ.version, by=self.by, because="one organ")

    def change_scheme(self) -> None:
        """A segment has another compass, device or evidence."""
        organ = self.organ()
        segments = list(Segment.objects.filter(stop__specification__instrument=organ).order_by("pk"))
        if organ is None or not segments:
            return
        segment = self.draw.choice(segments)
        segment.last_key = self.draw.randrange(2, 13)
        segment.device = self.draw.choice([None, self.device])
        segment.evidence = self.draw.choice(["seen", "sounded", "inferred"])
        self.put(organ, segment)

    def change_photograph(self) -> None:
        """Consent, licence or words of a photograph."""
        organ = self.organ()
        picture = Photograph.objects.filter(instrument=organ).order_by("pk").first()
        if picture is not None:
            picture.consent = self.draw.choice(["given", "refused", "not asked"])
            picture.caption = f"Caption {self.number}"
            self.put(organ, picture)

    def replace_picture(self) -> None:
        """The file of a photograph is replaced where it lies."""
        picture = Photograph.objects.order_by("pk").first()
        if picture is not None:
            with open(picture.file.path, "wb") as file:
                file.write(self.picture())

    def change_word(self) -> None:
        """A word of the vocabulary is called something else."""
        word = Term.objects.get(pk=self.kind.pk)
        word.names = {"en": f"kind {self.number}", "fr": f"genre {self.number}"}
        change_word(word, by=self.by)

    def device_word(self) -> None:
        """A device is called something else."""
        device = Device.objects.get(pk=self.device.pk)
        device.names = {"en": f"device {self.number}"}
        change_word(device, by=self.by)

    def rename_maker(self) -> None:
        """A maker has another name."""
        maker = Maker.objects.get(pk=self.draw.choice(self.makers).pk)
        maker.name = f"Maker {self.number}"
        self.put(maker)

    def rename_place(self) -> None:
        """A place has another name: that of the church, or of all around it."""
        place = Place.objects.get(pk=self.draw.choice([*self.places, self.parish]).pk)
        place.name = f"Place {self.number}"
        self.put(place)

    def move_grid(self) -> None:
        """A place is shown on another grid, or not at all."""
        place = Place.objects.get(pk=self.draw.choice(self.places).pk)
        place.grid_degrees = self.draw.choice([None, "0.1", "1"])
        self.put(place)

    def authority_goes_and_comes(self) -> None:
        """A maker, place or source is no longer public, or is again: instruments that name it keep their version."""
        kept = self.draw.choice([*self.makers, *self.places, self.parish, self.source])
        record = type(kept).objects.get(pk=kept.pk)
        record.audience = "team" if record.audience == "public" else "public"
        self.put(record)

    def edit_source(self) -> None:
        """A source has another author."""
        source = Source.objects.get(pk=self.source.pk)
        source.author, source.name = f"Author {self.number}", f"Source {self.draw.randrange(3)}"
        self.put(source)

    def claim(self) -> None:
        """A source says something else."""
        if organ := self.organ():
            row = Claim(
                instrument=organ,
                code=f"claim-{self.number}",
                about="pitch_hz",
                value="440",
                source=self.source,
            )
            self.put(organ, row)

    def cite(self) -> None:
        """A source is cited."""
        if organ := self.organ():
            row = Citation(instrument=organ, code=f"cite-{self.number}", about="name", source=self.source)
            self.put(organ, row)

    def add_event(self) -> None:
        """Something more was done."""
        if organ := self.organ():
            self.put(
                organ,
                Event(
                    instrument=organ, code=f"e-{self.number}", kind=self.kind, when=str(self.draw.randrange(1790, 1990)),
                    maker=self.draw.choice([None, *self.makers]), place=self.draw.choice([None, *self.places]),
                    audience=self.draw.choice(["public", "team"]),
                ),
            )  # fmt: skip

    def tie(self) -> None:
        """Two instruments have to do with each other."""
        organ, other = self.organ(), self.organ()
        if organ is not None and other is not None and organ.pk != other.pk:
            self.put(organ, Tie(instrument=organ, code=f"t-{self.number}", kind="twin", other=other))

    def consent(self) -> None:
        """Findings of surveys may be published, or no longer."""
        if organ := self.organ():
            row = Consent(
                instrument=organ, code=f"c-{self.number}", group="condition", given_by="zq", when="2020",
                until=self.draw.choice(["", "2021", "2999"]), withdrawn=self.draw.random() < 0.3,
            )  # fmt: skip
            self.put(organ, row)

    def new_one(self) -> None:
        """An instrument more, as long as the collection stays small."""
        if Instrument.objects.exclude(state=RecordState.WITHDRAWN).count() < 6:
            self.new_instrument(self.number)
