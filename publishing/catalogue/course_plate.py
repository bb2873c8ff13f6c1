"""The course of an instrument's condition on its page: small charts and their table, where its keeper consents."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

from django.utils.translation import gettext as _

from inventory.courses import Measured, lines_of
from inventory.drawings.courses import course_drawing
from inventory.models.condition import Playability
from inventory.punctuation import in_figures, labelled
from publishing.disclosure.values import PublicInstrument, SurveyValue, When

from .condition_tables import open_defects
from .plates import Plate
from .rendering import level

NOTHING = "–"


@dataclass(frozen=True)
class PublicCourse:
    """The drawing, and the table with the same values."""

    plate: Plate
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[str, ...]], ...]


def course_of(organ: PublicInstrument) -> PublicCourse | None:
    """None where no visit's measures may be published, or none were taken."""
    counts = open_defects(organ)
    visits = [replace(_measured(one), open_defects=counts.get(one.code)) for one in organ.surveys]
    told = [visit for visit in visits if _is_told(visit)]
    if not told:
        return None
    lines = [line for line in lines_of(told) if line.visits]
    title = _("The course of %(name)s") % {"name": organ.name}
    if not lines:
        return None
    plate = Plate(
        course_drawing(lines, title, prefix="course"),
        course_drawing(lines, title, prefix="course-narrow", narrow=True),
        "course",
    )
    heads = (
        _("Recording level"), _("Playability"), _("Note-stops heard"), _("a′ of flues"), _("the same at 15 °C"),
        _("Air"), _("Wind"),
    )  # fmt: skip
    return PublicCourse(plate, heads, tuple((visit.when, _cells(visit)) for visit in told))


def _measured(survey: SurveyValue) -> Measured:
    heard, tried = survey.heard or (None, None)
    return Measured(
        code=survey.code,
        day=_middle(survey.when),
        when=survey.when.words if survey.when else "",
        level=survey.level,
        level_words=level(survey.level),
        limits=survey.limits,
        playability=str(Playability(survey.playability).label) if survey.playability else "",
        heard=heard,
        tried=tried,
        temperature_c=survey.temperature_c,
        humidity_percent=survey.humidity_percent,
        pressure_mm=survey.pressure_mm,
        pitch_hz=survey.pitch_hz,
    )


def _middle(when: When | None) -> date | None:
    """The middle of the years a visit may have been in: the page names years, not days."""
    if when is None or when.earliest_year is None or when.latest_year is None:
        return None
    return date((when.earliest_year + when.latest_year) // 2, 7, 1)


def _is_told(visit: Measured) -> bool:
    values = (visit.heard, visit.temperature_c, visit.humidity_percent, visit.pressure_mm, visit.pitch_hz)
    return bool(visit.playability) or any(value is not None for value in values)


def _cells(visit: Measured) -> tuple[str, ...]:
    heard = NOTHING
    if visit.heard is not None and visit.tried:
        heard = _("%(heard)d of %(tried)d (%(percent).0f %%)") % {
            "heard": visit.heard,
            "tried": visit.tried,
            "percent": visit.heard_percent,
        }
    air = [] if visit.temperature_c is None else [in_figures(f"{visit.temperature_c:.1f} °C")]
    air += [] if visit.humidity_percent is None else [f"{visit.humidity_percent:.0f} %"]
    return (
        labelled(visit.level, visit.level_words),
        visit.playability or NOTHING,
        heard,
        NOTHING if visit.pitch_hz is None else in_figures(f"{visit.pitch_hz:.1f} Hz"),
        NOTHING if visit.pitch_at_15_hz is None else in_figures(f"{visit.pitch_at_15_hz:.1f} Hz"),
        ", ".join(air) or NOTHING,
        NOTHING if visit.pressure_mm is None else _("%(n).0f mm of water") % {"n": visit.pressure_mm},
    )
