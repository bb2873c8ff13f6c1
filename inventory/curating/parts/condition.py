"""Condition: surveys, parts looked at, defects that persist, hazards, dangers."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

from inventory.models import (
    Danger,
    Decision,
    Defect,
    DefectObservation,
    Hazard,
    Instrument,
    Judgement,
    PartCondition,
    Survey,
)

from .values import Part, RowKind

SURVEYS = RowKind(
    "surveys",
    Survey,
    _("Surveys"),
    _("a survey"),
    (
        "when", "level", "surveyor", "printed_as", "hours", "limits", "temperature_c", "humidity_percent", "pressure_mm",
        "pitch_hz", "playability", "notes_heard", "notes_tried", "findings", "private_findings", "signed",
    ),
    help=_("One visit each. Say what was not reached: a survey that does not say is no evidence."),
)  # fmt: skip
PART_CONDITIONS = RowKind(
    "part-conditions",
    PartCondition,
    _("Parts looked at"),
    _("the condition of a part"),
    (
        "part", "looked_at", "condition_class", "urgency_class", "recommendation_class", "playability",
        "integrity", "note",
    ),
    within="survey",
    related=("survey", "part"),
)  # fmt: skip
DEFECTS = RowKind(
    "defects",
    Defect,
    _("Defects"),
    _("a defect"),
    ("kind", "part", "where", "cause", "cause_certainty"),
    related=("kind", "part"),
    help=_("A defect keeps its identity from survey to survey."),
)
OBSERVATIONS = RowKind(
    "observations",
    DefectObservation,
    _("What surveys found of defects"),
    _("an observation of a defect"),
    ("survey", "course", "affected", "out_of", "photograph", "note"),
    within="defect",
    related=("defect__kind", "survey", "photograph"),
)
HAZARDS = RowKind(
    "hazards",
    Hazard,
    _("Hazards to whoever climbs in"),
    _("a hazard"),
    ("kind", "where", "precaution", "survey", "audience"),
    related=("kind", "survey"),
)
DANGERS = RowKind(
    "dangers",
    Danger,
    _("What threatens it"),
    _("a danger"),
    ("kind", "text", "noticed", "deadline", "who_can_avert", "asked", "ended", "outcome", "audience"),
    related=("kind",),
)
JUDGEMENTS = RowKind(
    "judgements",
    Judgement,
    _("Judgements"),
    _("a judgement"),
    ("criterion", "low", "high", "because", "assessor", "interests", "when", "audience"),
    related=("criterion",),
    help=_("From 0 to 5; unknown is the whole range."),
)
DECISIONS = RowKind(
    "decisions",
    Decision,
    _("Decisions of the body"),
    _("a decision"),
    (
        "when", "advice", "step", "decision", "departs", "because", "custodian_told", "told_how", "custodian_reply",
        "reply_printed_as", "next_review", "audience",
    ),
    help=_("What the body decided, beside what the tool advised. Editors and keepers write it down."),
    verb="decide on dangers",
)  # fmt: skip

CONDITION = Part(
    "condition",
    _("Condition and danger"),
    Instrument,
    rows=(SURVEYS, PART_CONDITIONS, DEFECTS, OBSERVATIONS, HAZARDS, DANGERS, JUDGEMENTS, DECISIONS),
    template="curating/parts/condition.html",
    is_fetched_later=True,
)
