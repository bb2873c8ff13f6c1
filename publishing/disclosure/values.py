"""What the public may know, as complete frozen values: a page is made from one of these and nothing else."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Any

from django.utils.translation import gettext

from inventory.edtf import date_in_words
from inventory.languages import active_language
from inventory.organ.schemes import Scheme

from .condition_values import ConditionValue
from .danger_values import DangerValue

Names = Mapping[str, str]
"""A word of a vocabulary: its name by language."""


@dataclass(frozen=True)
class Link:
    """A record that has a page: its kind (folder), reference and heading."""

    folder: str
    reference: str
    name: str


@lru_cache(maxsize=50_000)
def _date_in(language: str, text: str) -> str:
    """A collection has few different dates: each is worded once in each language (which is the active one)."""
    return date_in_words(text, gettext)


@dataclass(frozen=True)
class When:
    """An uncertain date: as written, in English words, and its place in an order."""

    text: str
    english: str
    sort: int | None
    earliest_year: int | None = None
    latest_year: int | None = None

    @property
    def words(self) -> str:
        """The date in words of the language that is active."""
        language = active_language()
        return self.english if language == "en" else _date_in(language, self.text)

    @property
    def is_one_day(self) -> bool:
        """Whether it is a day of the calendar and nothing else."""
        return self.text.count("-") == 2 and self.is_one_date

    @property
    def is_one_date(self) -> bool:
        """Whether it is a year, month or day, without marks, open digits or ends."""
        return self.text.replace("-", "").isdecimal()


@dataclass(frozen=True)
class Position:
    """The middle of the square a place may be shown on, and the radius that covers the square."""

    latitude: float
    longitude: float
    grid_degrees: float
    radius_m: int


@dataclass(frozen=True)
class PublicPlace:
    reference: str
    version: int
    released_on: str
    name: str
    other_names: tuple[str, ...]
    kind: str
    note: str
    within: tuple[Link, ...]
    """From the place that holds it outwards."""
    position: Position | None
    link: Link
    note_in: tuple[tuple[str, str], ...] = ()
    """The note in other languages: code, text."""


@dataclass(frozen=True)
class MakerTieValue:
    kind: str
    other: Link
    when: When | None
    certainty: str
    said_by: str


@dataclass(frozen=True)
class PublicMaker:
    reference: str
    version: int
    released_on: str
    name: str
    sort_name: str
    kind: str
    began: When | None
    ended: When | None
    active: When | None
    workshop: Link | None
    note: str
    variants: tuple[tuple[str, str], ...]
    """Other forms of the name, each with where it was found."""
    ties: tuple[MakerTieValue, ...]
    link: Link
    note_in: tuple[tuple[str, str], ...] = ()
    """The note in other languages: code, text."""


@dataclass(frozen=True)
class PublicSource:
    reference: str
    version: int
    released_on: str
    name: str
    kind: Names
    author: str
    when: When | None
    held_at: str
    shelfmark: str
    quality: str
    link: Link


@dataclass(frozen=True)
class CitationValue:
    about: str
    source: Link
    locator: str
    certainty: str
    quote: str
    note: str


@dataclass(frozen=True)
class ClaimValue:
    about: str
    value: str
    source: Link | None
    locator: str
    certainty: str
    preferred: bool
    because: str


@dataclass(frozen=True)
class LayerValue:
    code: str
    name: str
    when: When | None
    maker: Link | None
    attribution: str
    certainty: str
    note: str


@dataclass(frozen=True)
class EventValue:
    code: str
    kind: Names
    when: When | None
    maker: Link | None
    role: Names | None
    attribution: str
    place: Link | None
    from_place: Link | None
    text: str
    certainty: str
    kind_code: str = ""
    """The code of the kind in the vocabulary: what programs go by, whatever the words become."""
    silenced_by: Names | None = None


@dataclass(frozen=True)
class PartValue:
    code: str
    kind: Names
    name: str
    layer: str
    looked_at: str
    certainty: str
    description: str


@dataclass(frozen=True)
class SurveyValue:
    code: str
    when: When | None
    level: int
    limits: str
    findings: str
    """Empty unless a consent for condition stands."""
    heard: tuple[int, int] | None
    """Note-stops heard and tried; None without consent or figures."""
    surveyor: str = ""
    """A role or initials, as the record wants them printed."""
    temperature_c: float | None = None
    """This and what follows: None or empty without consent for condition."""
    humidity_percent: float | None = None
    pressure_mm: float | None = None
    pitch_hz: float | None = None
    playability: str = ""


@dataclass(frozen=True)
class RegionValue:
    order: int
    x: float
    y: float
    width: float
    height: float
    label: str


@dataclass(frozen=True)
class PictureValue:
    code: str
    file: str
    width: int
    height: int
    shows: str
    caption: str
    is_drawn: bool
    when: When | None
    credit: str
    licence: str
    regions: tuple[RegionValue, ...]


@dataclass(frozen=True)
class KeyboardValue:
    code: str
    name: str
    kind: str
    compass: str
    """In words: 56 keys, C to g³."""
    keys: int


@dataclass(frozen=True)
class StopValue:
    code: str
    keyboard: str
    division: str
    label: str
    name: str
    footage: str
    family: Names | None
    family_code: str
    """Code of the family in the vocabulary; empty when not given."""
    half: str
    state: str
    keys: tuple[int, int] | None
    earlier_name: str
    note: str


@dataclass(frozen=True)
class RankValue:
    code: str
    name: str
    pipes: int | None
    counted: str
    low_note: int | None
    form: str
    ranges: tuple[tuple[int, int, str, str, str], ...]
    """From pipe, to pipe, layer's name, certainty, in words."""


@dataclass(frozen=True)
class SegmentValue:
    stop: str
    first_key: int
    last_key: int
    rank: str
    interval: int | None
    shift: int | None
    device: str
    """Code of the device; empty when not known."""
    evidence: str
    certainty: str
    layer: str
    """Code of the layer; empty when not given to one."""
    note: str
    pipes: tuple[int, ...] | None = None
    """Pipe numbers one by one, one for each key from the first, where no interval gives them."""
    chest: str = ""
    """Code of the chest; empty when not known."""
    survey: str = ""
    """Code of the visit at which it was seen or sounded; empty when not said."""


@dataclass(frozen=True)
class CountValue:
    what: str
    number: int
    how: str
    note: str


@dataclass(frozen=True)
class SpecificationValue:
    code: str
    name: str
    when: When | None
    basis: str
    is_current: bool
    keyboards: tuple[KeyboardValue, ...]
    divisions: tuple[tuple[str, str, str], ...]
    """Code, name, keyboard."""
    stops: tuple[StopValue, ...]
    knobs: tuple[tuple[str, str, tuple[tuple[str, ...], ...]], ...]
    """Label, kind, and the stops of each position."""
    ranks: tuple[RankValue, ...]
    segments: tuple[SegmentValue, ...]
    couplers: tuple[tuple[str, str, str, int, bool], ...]
    """Label, from, to, semitones, permanent."""
    accessories: tuple[str, ...]
    counts: tuple[CountValue, ...]
    chests: tuple[tuple[str, str, str, str, str], ...]
    """Name, kind, layout, note, and the side it is viewed from (front or back at the bottom)."""
    scheme: Scheme
    """The scheme itself."""
    language: str = ""
    """Of the labels at the console, as a code; empty where nobody said."""
    answer: Mapping[str, Any] = field(default_factory=dict)
    """Its sums, families and findings, as the exchange format has them; empty where it was read without."""


@dataclass(frozen=True)
class PublicInstrument:
    reference: str
    version: int
    released_on: str
    name: str
    status: str
    status_since: When | None
    place: PublicPlace | None
    summary: str
    action: Names | None
    pitch: tuple[str, str] | None
    """a′ in Hz and the temperature in °C, as measured."""
    temperament: str
    wind_pressure_mm: str
    layers: tuple[LayerValue, ...]
    events: tuple[EventValue, ...]
    parts: tuple[PartValue, ...]
    specifications: tuple[SpecificationValue, ...]
    surveys: tuple[SurveyValue, ...]
    pictures: tuple[PictureValue, ...]
    citations: tuple[CitationValue, ...]
    claims: tuple[ClaimValue, ...]
    ties: tuple[tuple[str, Link, str, str], ...]
    """Kind, other instrument, certainty, note."""
    link: Link
    summary_in: tuple[tuple[str, str], ...] = ()
    """The summary in other languages: code, text."""
    danger: DangerValue | None = None
    """Only where a consent for danger stands."""
    condition: ConditionValue | None = None
    """Only where a consent for condition stands."""

    @property
    def current(self) -> SpecificationValue | None:
        """How it is now, else the last specification known."""
        for specification in self.specifications:
            if specification.is_current:
                return specification
        return self.specifications[-1] if self.specifications else None


@dataclass(frozen=True)
class DeviceValue:
    """A device of the vocabulary."""

    code: str
    names: Names
    non_return: str
    explanation: str


@dataclass(frozen=True)
class Gone:
    """A record that was published once: why it was withdrawn, and where it went."""

    link: Link
    because: str
    into: Link | None
