"""The danger register and the notice for the church door, as PDFs from the workroom."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.utils.timezone import localdate
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET

from inventory.curating.access import find_record, refuse, signed_in
from inventory.models import Instrument
from inventory.models.users import Role
from inventory.roles import at_least
from publishing.briefs.register import NoNotice, make_notice, make_public_register, make_team_register
from publishing.briefs.typesetting import TypesettingError

from .printed import language_asked, private_pdf


@require_GET
@signed_in
def register(request: HttpRequest) -> HttpResponse:
    """The register: the team's, or with ?public the one for everybody."""
    if not at_least(request.user, Role.SURVEYOR):
        return refuse(
            request, _("The danger list is for the team; what may be published stands in the catalogue.")
        )
    is_public, language = "public" in request.GET, language_asked(request.GET)
    try:
        if is_public:
            made = make_public_register(language)
        else:
            made = make_team_register(request.user, language, today=localdate())  # type: ignore[arg-type]
    except TypesettingError as refused:
        return refuse(request, str(refused), 422)
    return private_pdf(
        made, "danger-register-public.pdf" if is_public else "danger-register-confidential.pdf"
    )


@require_GET
@signed_in
def notice(request: HttpRequest, reference: str) -> HttpResponse:
    """The notice of one page; refused where nothing about the instrument may hang on a door."""
    root: Instrument = find_record(request, Instrument, reference)
    try:
        made = make_notice(root.reference, language_asked(request.GET))
    except (NoNotice, TypesettingError) as refused:
        return refuse(request, str(refused), 422)
    return private_pdf(made, f"{root.reference}-notice.pdf")
