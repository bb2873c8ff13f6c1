"""The record: one module an aggregate, its QuerySets beside it."""

from .base import Belonging, NaturalModel, Root
from .changes import Change
from .condition import Defect, DefectObservation, Hazard, PartCondition, Survey, Trial
from .costs import CostLine, Rate
from .danger import Criterion, Danger, Decision, Judgement
from .evidence import Citation, Claim, Consent, FieldState, Source
from .instruments import Event, Instrument, Layer, Movement, Part, Tie
from .passages import Passage
from .people import AuthorityId, Maker, MakerName, MakerTie
from .photographs import Photograph, Region
from .pipes import PipeReading
from .places import Place
from .ranks import Rank, RankRange
from .searching import SearchEntry
from .sharing import Chest, Segment
from .stoplists import (
    Accessory,
    Control,
    ControlPosition,
    Count,
    Coupler,
    Division,
    Keyboard,
    Specification,
    Stop,
)
from .users import Confidence, Role, User
from .vocabularies import Device, Term
from .workroom import FindingAnswer, Invitation, SavedList
from .works import Funding, Gift, Package, Phase, WorksPlan

__all__ = [
    "Accessory",
    "AuthorityId",
    "Belonging",
    "Change",
    "Chest",
    "Citation",
    "Claim",
    "Confidence",
    "Consent",
    "Control",
    "ControlPosition",
    "CostLine",
    "Count",
    "Coupler",
    "Criterion",
    "Danger",
    "Decision",
    "Defect",
    "DefectObservation",
    "Device",
    "Division",
    "Event",
    "FieldState",
    "FindingAnswer",
    "Funding",
    "Gift",
    "Hazard",
    "Instrument",
    "Invitation",
    "Judgement",
    "Keyboard",
    "Layer",
    "Maker",
    "MakerName",
    "MakerTie",
    "Movement",
    "NaturalModel",
    "Package",
    "Part",
    "PartCondition",
    "Passage",
    "Phase",
    "Photograph",
    "PipeReading",
    "Place",
    "Rank",
    "RankRange",
    "Rate",
    "Region",
    "Role",
    "Root",
    "SavedList",
    "SearchEntry",
    "Segment",
    "Source",
    "Specification",
    "Stop",
    "Survey",
    "Term",
    "Tie",
    "Trial",
    "User",
    "WorksPlan",
]
