"""What is missing for the level of recording a record has reached (common practice of surveys)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from django.db.models import Exists, F, Max, OuterRef, Q
from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from inventory.models import (
    Citation,
    CostLine,
    DefectObservation,
    Event,
    FieldState,
    Instrument,
    Part,
    PartCondition,
    Photograph,
    PipeReading,
    Segment,
    Stop,
    Survey,
    Trial,
)
from inventory.models.choices import Knowledge, RecordingLevel


@dataclass(frozen=True)
class Wanted:
    """One thing a level of recording asks for, and where it is written."""

    level: RecordingLevel
    code: str
    words: str | Promise
    part: str
    group: str = ""
    rows: str = ""


WANTED = (
    Wanted(RecordingLevel.NOTICE, "place", _("where it stands, at least roughly"), "identity", group="main"),
    Wanted(RecordingLevel.NOTICE, "picture", _("one photograph"), "photographs", rows="photographs"),
    Wanted(
        RecordingLevel.INVENTORY,
        "events",
        _("who built it and when, as far as known"),
        "history",
        rows="events",
    ),
    Wanted(
        RecordingLevel.INVENTORY,
        "parts",
        _("its parts: case, console, chests, bellows"),
        "history",
        rows="parts",
    ),
    Wanted(RecordingLevel.INVENTORY, "action", _("the kind of key action"), "identity", group="voice"),
    Wanted(RecordingLevel.INVENTORY, "stops", _("a stoplist"), "stoplist", rows="specifications"),
    Wanted(
        RecordingLevel.INVENTORY,
        "survey",
        _("a survey that says what was not reached"),
        "condition",
        rows="surveys",
    ),
    Wanted(
        RecordingLevel.CONDITION, "conditions", _("the condition of its parts"), "condition", rows="surveys"
    ),
    Wanted(RecordingLevel.CONDITION, "trials", _("keys tried, stop by stop"), "condition", rows="surveys"),
    Wanted(RecordingLevel.CONDITION, "pressure", _("the wind pressure"), "identity", group="voice"),
    Wanted(
        RecordingLevel.CONDITION, "pitch", _("the pitch, with the temperature"), "identity", group="voice"
    ),
    Wanted(RecordingLevel.CONDITION, "defects", _("defects with their place"), "condition", rows="defects"),
    Wanted(RecordingLevel.STUDY, "sources", _("sources for its history"), "sources", rows="citations"),
    Wanted(RecordingLevel.STUDY, "sharing", _("its scheme: which stops ask which pipes"), "stoplist"),
    Wanted(RecordingLevel.STUDY, "costs", _("works with their costs"), "works", rows="packages"),
    Wanted(RecordingLevel.FULL, "readings", _("pipes measured and marked"), "stoplist"),
)


@dataclass(frozen=True)
class Missing:
    """What a record still lacks, with the address where it is written."""

    words: str | Promise
    level: str
    mend: str


@dataclass(frozen=True)
class Completeness:
    """The level reached, and what is missing for it and for those before it."""

    level: str
    missing: tuple[Missing, ...]


def missing_for_level(root: Instrument) -> Completeness:
    """Compare a record with what its deepest survey promises. Without a survey: with an inventory visit."""
    facts = _facts(root)
    reached = facts["level"] if facts["level"] is not None else RecordingLevel.INVENTORY
    said = set(
        FieldState.objects.filter(instrument=root)
        .exclude(state=Knowledge.NOT_LOOKED_AT)
        .values_list("about", flat=True)
    )
    for code, field in (
        ("pressure", "wind_pressure_mm"),
        ("pitch", "pitch_hz"),
        ("action", "action"),
        ("place", "place"),
    ):
        # Looked for and absent, or not accessible, is an answer too.
        facts[code] = facts[code] or field in said
    return Completeness(
        str(RecordingLevel(reached).label),
        tuple(
            Missing(one.words, str(RecordingLevel(one.level).label), _address(root, one))
            for one in WANTED
            if one.level <= reached and not facts[one.code]
        ),
    )


def _facts(root: Instrument) -> dict[str, Any]:
    """What there is, in one query."""
    own = {"instrument": OuterRef("pk")}
    rows: Mapping[str, Any] = {
        "picture": Photograph.objects.filter(**own),
        "events": Event.objects.filter(**own),
        "parts": Part.objects.filter(**own),
        "stops": Stop.objects.filter(specification__instrument=OuterRef("pk")),
        "survey": Survey.objects.filter(**own).exclude(limits=""),
        "conditions": PartCondition.objects.filter(survey__instrument=OuterRef("pk")),
        "trials": Trial.objects.filter(survey__instrument=OuterRef("pk")),
        "tried": Survey.objects.filter(**own, notes_tried__gt=0),
        "defects": DefectObservation.objects.filter(defect__instrument=OuterRef("pk")),
        "sources": Citation.objects.filter(**own),
        "sharing": Segment.objects.filter(stop__specification__instrument=OuterRef("pk")),
        "costs": CostLine.objects.filter(package__instrument=OuterRef("pk")),
        "readings": PipeReading.objects.filter(rank__specification__instrument=OuterRef("pk")),
    }
    facts: dict[str, Any] = (
        Instrument.objects.filter(pk=root.pk)
        .annotate(
            level=Max("surveys__level"),
            pressure=F("wind_pressure_mm"),
            pitch=F("pitch_hz"),
            stands=F("place"),
            acts=F("action"),
            **{f"has_{name}": Exists(found.filter(Q())) for name, found in rows.items()},
        )
        .values("level", "pressure", "pitch", "stands", "acts", "store", *(f"has_{name}" for name in rows))
        .get()
    )
    found = {name: facts[f"has_{name}"] for name in rows}
    found["trials"] = found["trials"] or found["tried"]
    return {
        **found,
        "level": facts["level"],
        "pressure": facts["pressure"] is not None,
        "pitch": facts["pitch"] is not None,
        "place": facts["stands"] is not None or bool(facts["store"]),
        "action": facts["acts"] is not None,
    }


def _address(root: Instrument, wanted: Wanted) -> str:
    record = {"kind": Instrument, "reference": root.reference}
    if wanted.group:
        return reverse("fields-edit", kwargs={**record, "group": wanted.group})
    if wanted.rows and wanted.rows != "photographs":
        return reverse("row-add", kwargs={**record, "rows": wanted.rows})
    return reverse("record", kwargs=record) + f"#{wanted.part}"
