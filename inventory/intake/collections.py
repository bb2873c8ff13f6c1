"""Writes a made-up collection to the database, for benchmarks: plain bulk inserts, in chunks.

Everything in it is invented (`organ/synthetic.py`). Records are released and for everybody,
each with a first line of history; nothing passes through review, for nobody surveyed it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from itertools import islice
from typing import Any

from django.db import models, transaction
from django.utils import timezone
from django.utils.translation import gettext as _

from inventory.actions.searching import rebuild_index
from inventory.models import (
    Change,
    Device,
    Event,
    Instrument,
    Keyboard,
    Layer,
    Maker,
    Place,
    Rank,
    Root,
    Segment,
    Source,
    Specification,
    Stop,
    Term,
    User,
)
from inventory.models.choices import Audience, RecordState
from inventory.organ.schemes import Scheme
from inventory.organ.synthetic import SyntheticInstrument, make_instruments
from inventory.roles import require

MOST_INSTRUMENTS = 200_000
AT_A_TIME = 250
ROWS_AT_A_TIME = 2_000
WHY = "made-up collection for benchmarks"
SEGMENT_WAYS = ("shift", "interval", "pipes")


class CollectionRefused(Exception):
    """The made-up collection would mix with other records, or cannot be made."""


def make_collection(
    instruments: int,
    seed: int,
    *,
    by: User,
    beside: bool = False,
    search: bool = True,
    progress: Callable[[int], object] = lambda made: None,
) -> int:
    """Write this many made-up instruments in one transaction; returns how many.

    `progress` is told how many more are written. Without `search` the search index is left
    as it is, which saves about half of the time.
    """
    require(by, "change people")
    if not 1 <= instruments <= MOST_INSTRUMENTS:
        raise CollectionRefused(
            _("%(number)s instruments cannot be made; give a number from 1 to %(most)s.")
            % {"number": instruments, "most": MOST_INSTRUMENTS}
        )
    if seed < 0:
        raise CollectionRefused(_("Seed %s is below 0; give a whole number from 0.") % seed)
    with transaction.atomic():
        _check_room(beside)
        writer = _Writer(by)
        made = make_instruments(instruments, seed)
        while chunk := list(islice(made, AT_A_TIME)):
            writer.write(chunk)
            progress(len(chunk))
        if search:
            rebuild_index()
    return instruments


def _check_room(beside: bool) -> None:
    if not Term.objects.filter(vocabulary="event", code="built").exists() or not Device.objects.exists():
        raise CollectionRefused(
            _("The vocabularies are not loaded; run manage.py loaddata vocabularies first.")
        )
    if Instrument.objects.filter(reference__startswith="SYN-").exists():
        raise CollectionRefused(
            _("A made-up collection is here already; set UPPERBOARD_DATA to a new folder for another one.")
        )
    others = sum(model.objects.count() for model in (Place, Maker, Source, Instrument))
    if others and not beside:
        raise CollectionRefused(
            _(
                "The database holds %(count)s other records. Set UPPERBOARD_DATA to a new folder, "
                "or say --beside to put the made-up ones beside them."
            )
            % {"count": others}
        )


class _Writer:
    """Turns made-up instruments into rows, remembering makers, towns and devices."""

    def __init__(self, by: User) -> None:
        self.by = by
        self.today = timezone.localdate()
        self.built = Term.objects.get(vocabulary="event", code="built")
        self.role = Term.objects.filter(vocabulary="role", code="maker").first()
        self.devices = {device.code: device for device in Device.objects.all()}
        self.makers: dict[str, Maker] = {}
        self.towns: dict[str, Place] = {}

    def root(self, model: type[Root], reference: str, /, **fields: Any) -> Any:
        """A released record for everybody, not saved yet."""
        return model(
            reference=reference,
            version=1,
            state=RecordState.RELEASED,
            audience=Audience.PUBLIC,
            released_version=1,
            released_on=self.today,
            **fields,
        )

    def write(self, chunk: list[SyntheticInstrument]) -> None:
        """Save the rows of some instruments, parents before children."""
        new_makers = self._new_makers(one.maker for one in chunk)
        new_towns = self._new_towns(one.place for one in chunk)
        buildings = [
            self.root(
                Place,
                one.reference.replace("SYN-", "SYN-P-"),
                name=f"{one.building}, {one.place}",
                kind="building",
                parent=self.towns[one.place],
            )
            for one in chunk
        ]
        _save(buildings)
        instruments = [
            self.root(Instrument, one.reference, name=f"{one.place} organ", status="in use", place=building)
            for one, building in zip(chunk, buildings, strict=True)
        ]
        _save(instruments)
        self._remember([*new_makers, *new_towns, *buildings, *instruments])
        layers = [
            Layer(
                instrument=instrument,
                code="as-built",
                name="As built",
                when=one.date_text,
                maker=self.makers[one.maker],
                attribution="firm",
            )
            for one, instrument in zip(chunk, instruments, strict=True)
        ]
        _save(layers)
        _save(
            Event(
                instrument=layer.instrument,
                code="built",
                kind=self.built,
                when=layer.when,
                maker=layer.maker,
                role=self.role,
                attribution="firm",
                layer=layer,
                place=layer.instrument.place,
            )
            for layer in layers
        )
        specifications = [
            Specification(
                instrument=layer.instrument,
                code="as-found",
                name="As found",
                basis="as found",
                layer=layer,
                is_current=True,
            )
            for layer in layers
        ]
        _save(specifications)
        self._schemes([one.scheme for one in chunk], specifications, layers)

    def _new_makers(self, names: Iterable[str]) -> list[Maker]:
        made = []
        for name in dict.fromkeys(names):
            if name not in self.makers:
                number = len(self.makers) + 1
                self.makers[name] = self.root(
                    Maker, f"SYN-M-{number:04d}", name=name, sort_name=name, kind="firm"
                )
                made.append(self.makers[name])
        _save(made)
        return made

    def _new_towns(self, names: Iterable[str]) -> list[Place]:
        made = []
        for name in dict.fromkeys(names):
            if name not in self.towns:
                self.towns[name] = self.root(
                    Place, f"SYN-T-{len(self.towns) + 1:04d}", name=name, kind="town"
                )
                made.append(self.towns[name])
        _save(made)
        return made

    def _remember(self, roots: list[Root]) -> None:
        """The first line of history of each record."""
        _save(
            Change(
                root_kind=root.kind_name(),
                reference=root.reference,
                version=1,
                action="load",
                who=self.by,
                why=WHY,
            )
            for root in roots
        )

    def _schemes(
        self, schemes: list[Scheme], specifications: list[Specification], layers: list[Layer]
    ) -> None:
        """Keyboards, ranks, stops and segments of some specifications."""
        keyboards: dict[tuple[int, str], Keyboard] = {}
        ranks: dict[tuple[int, str], Rank] = {}
        stops: dict[tuple[int, str], Stop] = {}
        for at, (scheme, specification) in enumerate(zip(schemes, specifications, strict=True)):
            for order, keyboard in enumerate(scheme.keyboards):
                keyboards[at, keyboard.id] = Keyboard(
                    specification=specification,
                    code=keyboard.id,
                    order=order,
                    kind=keyboard.kind,
                    keys=keyboard.keys,
                    low_note=min(keyboard.notes),
                    notes=list(keyboard.notes) if keyboard.has_gaps else None,
                    reach=keyboard.reach,
                )
            for order, rank in enumerate(scheme.ranks):
                ranks[at, rank.id] = Rank(
                    specification=specification,
                    code=rank.id,
                    name=f"Row {order + 1}",
                    order=order,
                    pipes=rank.pipes,
                    counted="" if rank.pipes is None else "physical",
                    low_note=rank.notes[0] if rank.notes else rank.low,
                    notes=list(rank.notes or ()) if rank.has_gaps else None,
                    missing=sorted(rank.missing),
                    tones={str(pipe): list(tones) for pipe, tones in rank.tones.items()},
                )
            for order, stop in enumerate(scheme.stops):
                first, last = stop.keys or (None, None)
                stops[at, stop.id] = Stop(
                    specification=specification,
                    code=stop.id,
                    keyboard=keyboards[at, stop.keyboard],
                    label=stop.name,
                    name=stop.name,
                    footage=stop.footage or "",
                    order=order,
                    first_key=first,
                    last_key=last,
                    state=stop.state,
                    layer=layers[at],
                )
        _save(keyboards.values())
        _save(ranks.values())
        _save(stops.values())
        _save(
            Segment(
                stop=stops[at, segment.stop],
                code=f"s{number:04d}",
                first_key=segment.keys[0],
                last_key=segment.keys[1],
                rank=ranks[at, segment.rank],
                shift=segment.shift,
                interval=segment.interval,
                pipes=None if segment.pipes is None else list(segment.pipes),
                device=self.devices.get(segment.device or ""),
                evidence=segment.evidence or "inferred",
                layer=layers[at],
            )
            for at, scheme in enumerate(schemes)
            for number, segment in enumerate(scheme.segments)
        )


def _save(rows: Iterable[models.Model]) -> None:
    """Insert rows of one model; their keys are set on them."""
    rows = list(rows)
    kinds = {type(row) for row in rows}
    if len(kinds) == 1:
        kinds.pop().objects.bulk_create(rows, batch_size=ROWS_AT_A_TIME)  # type: ignore[attr-defined]
