"""The addresses of what is published, seen from the workroom."""

from __future__ import annotations

from django.urls import path

import inventory.curating.urls  # noqa: F401  knows the kinds of record in addresses

from . import briefs, danger, preview_views, sheets, statistics_views, study_views

of_statistics = [
    path("statistics/", statistics_views.show, name="statistics"),
    path("statistics/group/", statistics_views.show_group, name="statistics-group"),
    path("statistics/table/<slug:table>.<slug:form>", statistics_views.download, name="statistics-table"),
    path("statistics/study/", study_views.show, name="study"),
    path("statistics/study.zip", study_views.download, name="study-file"),
]
BRIEFS = "instruments/<slug:reference>/briefs/"
of_briefs = [
    path(BRIEFS, briefs.show, name="briefs"),
    path(BRIEFS + "passage/", briefs.save, name="brief-passage"),
    path(BRIEFS + "brief.pdf", briefs.download, name="brief-file"),
    path(BRIEFS + "identification.pdf", briefs.identification, name="identification"),
    path("instruments/<slug:reference>/field-sheet.pdf", sheets.field_sheet, name="field-sheet-file"),
]
of_danger = [
    path("danger/register.pdf", danger.register, name="danger-register"),
    path("instruments/<slug:reference>/danger-notice.pdf", danger.notice, name="danger-notice"),
]
AS_IF = "<kind:kind>/<slug:reference>/"
of_previews = [
    # A page as it stands; and a page with one record as if that were released.
    path("preview/<path:path>", preview_views.show, name="preview"),
    path("preview-file/<path:path>", preview_views.send, name="preview-file"),
    path("preview-of/" + AS_IF + "<path:path>", preview_views.show, name="preview-as-if"),
    path("preview-file-of/" + AS_IF + "<path:path>", preview_views.send, name="preview-file-as-if"),
]

urlpatterns = [*of_briefs, *of_danger, *of_previews, *of_statistics]
