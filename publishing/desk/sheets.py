"""Sheets to print for a visit: the blank field sheet of an organ as a PDF."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_GET

from inventory.curating.access import find_record, refuse, signed_in
from inventory.models import Instrument
from publishing.briefs.field_sheet import make_field_sheet
from publishing.briefs.typesetting import TypesettingError

from .printed import language_asked


@require_GET
@signed_in
def field_sheet(request: HttpRequest, reference: str) -> HttpResponse:
    """The sheet in the reader's language, else in English."""
    root: Instrument = find_record(request, Instrument, reference)
    try:
        made = make_field_sheet(root, language_asked(request.GET))
    except TypesettingError as refused:
        return refuse(request, str(refused), 422)
    response = HttpResponse(made, content_type="application/pdf")
    response["Content-Disposition"] = f'attachment; filename="{root.reference}-field-sheet.pdf"'
    return response
