"""What one field or row rests on: citations, and contradictory claims side by side."""

from __future__ import annotations

from typing import Any

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.actions import StaleRecord, change_record
from inventory.models import Citation, Claim, Root
from inventory.models.evidence import ABOUT
from inventory.past import Past
from inventory.roles import is_allowed, require

from ..access import find_record, record_url, refuse, signed_in
from ..parts import Reader
from ..saying import find_field, say_path, say_value


@require_GET
@signed_in
def show(request: HttpRequest, kind: type[Root], reference: str) -> HttpResponse:
    """Everything said about one field, beside what the record has."""
    root = find_record(request, kind, reference)
    about = _about(request.GET.get("about", ""))
    reader = Reader.of(request.user, root)
    if kind.kind_name() == "source" or not _may_know(root, reader, about):
        raise Http404(about)
    owner = {kind.kind_name(): root, "about": about}
    citations = Citation.objects.filter(**owner).select_related("source").order_by("code")
    claims = Claim.objects.filter(**owner).select_related("source").order_by("-preferred", "code")
    context: dict[str, Any] = {
        "root": root,
        "kind": kind,
        "about": about,
        "label": say_path(kind.kind_name(), about) if about else _("the whole record"),
        "recorded": _recorded(root, about, reader),
        "citations": [one for one in citations if reader.may_read_row(one)],
        "claims": [one for one in claims if reader.may_read_row(one)],
        "may_change": is_allowed(request.user, "change", root),
        "reader": reader,
        "back": record_url(root),
    }
    return render(request, "curating/evidence.html", context)


def _about(text: str) -> str:
    try:
        ABOUT(text)
    except ValidationError:
        raise Http404(text) from None
    return text


def _may_know(root: Root, reader: Reader, about: str) -> bool:
    if not about:
        return True
    past = Past(root, reader.user, [(about, ())], ever=False)
    return past.may_tell_row(about) if ":" in about and "#" not in about else past.may_tell(about)


def _recorded(root: Root, about: str, reader: Reader) -> str:
    """What the record itself has in a field of the root."""
    field = find_field(root.kind_name(), about) if about and ":" not in about else None
    if field is None or not hasattr(root, about):
        return ""
    value = getattr(root, about)
    if isinstance(value, Root):
        return str(value) if reader.may_know(value) else ""
    return say_value(field, value if not hasattr(value, "pk") else str(value), reader)


@require_POST
@signed_in
def prefer(request: HttpRequest, kind: type[Root], reference: str, code: str) -> HttpResponse:
    """Prefer one of several claims, with the reason; the others stay beside it."""
    root = find_record(request, kind, reference)
    require(request.user, "change", root)
    reader = Reader.of(request.user, root)
    owner = {kind.kind_name(): root}
    claim = Claim.objects.filter(**owner, code=code).first() if kind.kind_name() != "source" else None
    if claim is None or not reader.may_read_row(claim):
        raise Http404(code)
    because = request.POST.get("because", "").strip()
    if not because:
        return refuse(request, _("Say why this one is preferred: the next person will ask."), 422)
    put = []
    for other in Claim.objects.filter(**owner, about=claim.about, preferred=True).exclude(pk=claim.pk):
        other.preferred = False
        put.append(other)
    claim.preferred, claim.because = True, because
    version = request.POST.get("record_version", "")
    try:
        change_record(
            root,
            version=int(version) if version.isdigit() else 0,
            by=request.user,
            why=because,
            put=[*put, claim],
        )
    except StaleRecord:
        return refuse(request, _("The record was changed meanwhile. Look at the claims again."), 409)
    messages.success(request, _("Preferred. The others stay beside it."), extra_tags=request.path)
    address = reverse("evidence", kwargs={"kind": kind, "reference": reference})
    return redirect(address + "?" + urlencode({"about": claim.about}))
