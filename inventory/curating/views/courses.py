"""The course of condition on one page: small charts, parts and defects visit by visit. Rows are edited part by part."""

from __future__ import annotations

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.courses import Course, DefectCourse, lines_of, read_course, state_of_part
from inventory.drawings.courses import course_drawing
from inventory.models import DefectObservation, Instrument, Photograph, Survey
from inventory.roles import is_allowed

from ..access import find_record, signed_in
from ..parts import Reader


@require_GET
@signed_in
def show(request: HttpRequest, reference: str) -> HttpResponse:
    """Everything the reader may know of the course of one instrument."""
    root = find_record(request, Instrument, reference)
    reader = Reader.of(request.user, root)
    pictures = {
        photo.pk: photo for photo in Photograph.objects.filter(instrument=root) if reader.may_read_row(photo)
    }
    course = read_course(root, photographs=pictures)
    lines = lines_of(course.visits)
    title = _("The course of %(name)s") % {"name": root.name}
    context: dict[str, Any] = {
        "root": root,
        "kind": Instrument,
        "course": course,
        "may_change": is_allowed(request.user, "change", root),  # type: ignore[arg-type]
        "wide": course_drawing(lines, title, prefix="course"),
        "narrow": course_drawing(lines, title, prefix="course-narrow", narrow=True),
        "parts": [
            (one.part, [state_of_part(state, course.classes) for state in one.states]) for one in course.parts
        ],
        "defects": [(one, words_of_course(course, one)) for one in course.defects],
        "pairs": [pair for one in course.defects for pair in one.pairs],
        "may_read": reader.may_read(Survey, "notes_heard"),
    }
    return render(request, "curating/course.html", context)


def words_of_course(course: Course, defect: DefectCourse) -> list[dict[str, str]]:
    """What each visit said of a defect; where it said nothing, that is said."""
    cells = []
    for place, found in enumerate(defect.found):
        if found is None:
            words = _("not known yet") if place < defect.first else _("not looked at again")
            cells.append({"words": words, "extent": "", "note": "", "is_silent": "yes"})
            continue
        extent = ""
        if found.affected is not None:
            extent = (
                _("%(n)d of %(of)d") % {"n": found.affected, "of": found.out_of}
                if found.out_of
                else str(found.affected)
            )
        words = str(found.get_course_display())
        silent = "yes" if found.course == DefectObservation.Course.NOT_LOOKED_AT else ""
        cells.append({"words": words, "extent": extent, "note": found.note, "is_silent": silent})
    return cells
