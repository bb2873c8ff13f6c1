"""The course of an instrument's condition: what each visit measured, every part at every visit, defects that go on.

Nothing is filled in: a part nobody spoke of at a visit was *not looked at*; a defect nobody
came back to has no word. Pitch is brought to one temperature, for flue pipes alone.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from django.utils.translation import gettext as _

from inventory.drawings.courses import Line, Visit
from inventory.models import Defect, DefectObservation, Instrument, Part, PartCondition, Survey, Term
from inventory.models.choices import Knowledge
from inventory.models.vocabularies import Vocabulary
from inventory.organ.errors import OrganError
from inventory.organ.pitch import pitch_at_temperature

WANTED_CELSIUS = 15.0
"""Pitches are compared at this temperature (that of the French pitch of 1859)."""
SAFE_HUMIDITY = (45.0, 75.0)
"""Outside it wood and leather are at risk (practice.md §4.1, S46)."""


@dataclass(frozen=True)
class Measured:
    """What one visit measured, as far as the reader may know; None where it did not."""

    code: str
    day: date | None
    when: str
    level: int
    level_words: str
    limits: str
    playability: str = ""
    heard: int | None = None
    tried: int | None = None
    temperature_c: float | None = None
    humidity_percent: float | None = None
    pressure_mm: float | None = None
    pitch_hz: float | None = None
    open_defects: int | None = None

    @property
    def year(self) -> float | None:
        """The year with its fraction."""
        return None if self.day is None else self.day.year + (self.day.timetuple().tm_yday - 1) / 366

    @property
    def heard_percent(self) -> float | None:
        """Note-stops heard of those tried, in percent."""
        return None if self.heard is None or not self.tried else 100 * self.heard / self.tried

    @property
    def pitch_at_15_hz(self) -> float | None:
        """The pitch of flues as it would be at 15 °C (square root of the absolute temperature)."""
        if self.pitch_hz is None or self.temperature_c is None:
            return None
        try:
            return pitch_at_temperature(self.pitch_hz, self.temperature_c, WANTED_CELSIUS, "flue")
        except OrganError:
            return None


@dataclass(frozen=True)
class PartCourse:
    """One part with its state at every visit; None where nobody spoke of it."""

    part: Part
    states: tuple[PartCondition | None, ...]


@dataclass(frozen=True)
class DefectCourse:
    """One defect with what every visit found of it; None before it was seen and where nobody came back to it."""

    defect: Defect
    found: tuple[DefectObservation | None, ...]
    is_open: bool
    pairs: tuple[tuple[DefectObservation, DefectObservation], ...]
    """Observations with a photograph each, one after the other."""
    first: int
    """Place of the visit that saw it first."""


@dataclass(frozen=True)
class Course:
    """Everything, in the order of the visits."""

    visits: tuple[Measured, ...]
    parts: tuple[PartCourse, ...]
    defects: tuple[DefectCourse, ...]
    classes: Mapping[tuple[str, int], str]
    """Words for classes by vocabulary and number."""


def read_course(root: Instrument, *, photographs: Iterable[int] = ()) -> Course:
    """The course of one record; `photographs` are the keys of those the reader may see."""
    surveys = list(Survey.objects.filter(instrument=root).order_by("when_sort", "code"))
    place = {survey.pk: n for n, survey in enumerate(surveys)}
    conditions = {
        (one.part_id, one.survey_id): one
        for one in PartCondition.objects.filter(survey__instrument=root).select_related("survey", "part")
    }
    parts = tuple(
        PartCourse(part, tuple(conditions.get((part.pk, survey.pk)) for survey in surveys))
        for part in Part.objects.filter(instrument=root).select_related("kind")
    )
    shown = set(photographs)
    defects = tuple(
        _course_of_defect(defect, list(defect.observations.all()), place, shown)
        for defect in Defect.objects.filter(instrument=root)
        .select_related("kind", "part")
        .prefetch_related("observations__survey", "observations__photograph")
    )
    visits = tuple(
        measured_of(survey, sum(_is_open_at(one, n) for one in defects) if defects else None)
        for n, survey in enumerate(surveys)
    )
    return Course(visits, parts, defects, words_of_classes())


def measured_of(survey: Survey, open_defects: int | None) -> Measured:
    """What a survey row measured."""
    return Measured(
        code=survey.code,
        day=_middle(survey.when_earliest, survey.when_latest),
        when=survey.when,
        level=survey.level,
        level_words=str(survey.get_level_display()),
        limits=survey.limits,
        playability=str(survey.get_playability_display()),
        heard=survey.notes_heard,
        tried=survey.notes_tried,
        temperature_c=_number(survey.temperature_c),
        humidity_percent=_number(survey.humidity_percent),
        pressure_mm=_number(survey.pressure_mm),
        pitch_hz=_number(survey.pitch_hz),
        open_defects=open_defects,
    )


def words_of_classes() -> dict[tuple[str, int], str]:
    """Words for the classes of condition, urgency and recommendation, from the vocabulary anybody may edit."""
    vocabularies = (Vocabulary.CONDITION_CLASS, Vocabulary.URGENCY_CLASS, Vocabulary.RECOMMENDATION_CLASS)
    return {
        (term.vocabulary, int(term.code)): term.name
        for term in Term.objects.filter(vocabulary__in=vocabularies)
        if term.code.isdecimal()
    }


def lines_of(visits: Sequence[Measured]) -> list[Line]:
    """The measures as lines of small charts; what no visit measured is left out, heard notes always shown."""
    made = [
        _line(visits, _("Heard of note-stops tried, %"), "heard_percent", 0, 100, "{:.0f}"),
        _line(visits, _("Defects open"), "open_defects", 0, None, "{:.0f}"),
        _line(visits, _("a′ of flues at 15 °C, Hz"), "pitch_at_15_hz", None, None, "{:.1f}"),
        _line(
            visits, _("Relative humidity, %"), "humidity_percent", 0, 100, "{:.0f}", band=SAFE_HUMIDITY,
            note=_("dotted: 45 to 75 %"),
        ),
        _line(visits, _("Temperature, °C"), "temperature_c", None, None, "{:.1f}"),
        _line(visits, _("Wind, mm of water"), "pressure_mm", None, None, "{:.0f}"),
    ]  # fmt: skip
    return [line for place, line in enumerate(made) if place == 0 or line.visits]


def _line(
    visits: Sequence[Measured],
    title: str,
    name: str,
    low: float | None,
    high: float | None,
    shape: str,
    *,
    note: str = "",
    band: tuple[float, float] | None = None,
) -> Line:
    found = [
        Visit(visit.year, float(value), shape.format(value), _("level %(n)d") % {"n": visit.level})
        for visit in visits
        if (value := getattr(visit, name)) is not None and visit.year is not None
    ]
    values = [visit.value for visit in found] or [0.0]
    room = max(1.0, (max(values) - min(values)) * 0.25)
    low = min(values) - room if low is None else low
    high = max(max(values) + room, low + 1) if high is None else high
    return Line(title, found, low, high, f"{low:.0f}", f"{high:.0f}", note, band)


def _course_of_defect(
    defect: Defect, observations: Sequence[DefectObservation], place: Mapping[int, int], shown: set[int]
) -> DefectCourse:
    by_visit = {place[one.survey_id]: one for one in observations if one.survey_id in place}
    ordered = [by_visit[n] for n in sorted(by_visit)]
    pictured = [one for one in ordered if one.photograph_id in shown]
    told = [one for one in ordered if one.course != DefectObservation.Course.NOT_LOOKED_AT]
    return DefectCourse(
        defect,
        tuple(by_visit.get(n) for n in range(len(place))),
        last_word([one.course for one in told]) != DefectObservation.Course.CURED,
        tuple(zip(pictured, pictured[1:], strict=False)),
        min(by_visit, default=len(place)),
    )


def _is_open_at(course: DefectCourse, visit: int) -> bool:
    """Whether a defect was known and not cured after a visit, whether or not the visit looked at it."""
    told = [one for one in course.found[: visit + 1] if one is not None]
    told = [one for one in told if one.course != DefectObservation.Course.NOT_LOOKED_AT] or told
    return bool(told) and last_word([one.course for one in told]) != DefectObservation.Course.CURED


def last_word(courses: Sequence[str]) -> str:
    """The last course that says something new: *same* after *cured* is still cured. Empty where none does."""
    return next((one for one in reversed(courses) if one != DefectObservation.Course.SAME), "")


def state_of_part(condition: PartCondition | None, classes: Mapping[tuple[str, int], str]) -> dict[str, Any]:
    """One cell of the table of parts: looked at or not, and three judgements that are never added up."""
    if condition is None:
        return {"looked_at": str(Knowledge.NOT_LOOKED_AT.label), "is_judged": False}
    pairs = (
        (_("condition"), Vocabulary.CONDITION_CLASS, condition.condition_class),
        (_("urgency"), Vocabulary.URGENCY_CLASS, condition.urgency_class),
        (_("recommended"), Vocabulary.RECOMMENDATION_CLASS, condition.recommendation_class),
    )
    return {
        "looked_at": str(condition.get_looked_at_display()),
        "is_judged": True,
        "classes": [
            {"name": name, "number": number, "words": classes.get((vocabulary, number), "")}
            for name, vocabulary, number in pairs
            if number is not None
        ],
        "playability": condition.playability,
        "integrity": condition.integrity,
        "note": condition.note,
    }


def _middle(earliest: date | None, latest: date | None) -> date | None:
    if earliest is None or latest is None:
        return earliest or latest
    return earliest + (latest - earliest) / 2


def _number(value: Any) -> float | None:
    return None if value is None else float(value)
