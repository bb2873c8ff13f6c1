"""Works of an instrument as a whole: options, budgets, funding, gifts. Rows are edited part by part."""

from __future__ import annotations

from django.contrib import messages
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views.decorators.http import require_GET, require_POST

from inventory.actions import StaleRecord
from inventory.actions.works import choose_packages, give_pipes, take_back_gift
from inventory.models import Funding, Gift, Instrument, Package, Rank
from inventory.models.users import Role
from inventory.planning import read_works
from inventory.planning.cautions import cautions_of
from inventory.planning.voices import read_given_pipes
from inventory.roles import at_least, is_allowed, require
from inventory.schemes import NoSuchRecord, find_specification

from ..access import find_record, posted_number, refuse, signed_in
from ..parts import Reader

FUNDING_FIELD = "giver"


@require_GET
@signed_in
def show(request: HttpRequest, reference: str) -> HttpResponse:
    """Everything about the works on one page; sums are worked out anew each time."""
    root = find_record(request, Instrument, reference)
    if not at_least(request.user, Role.SURVEYOR):
        return refuse(request, _("Works and costs are for the team."))
    works = read_works(root)
    reader = Reader.of(request.user, root)
    context = {
        "root": root,
        "kind": Instrument,
        "works": works,
        "options": [(option.label, works.of_option(option)) for option in Package.Option],
        "cautions": cautions_of(works),
        "reads_givers": reader.may_read(Funding, FUNDING_FIELD),
        "given": read_given_pipes(root) if reader.may_read(Gift, "pipe") else None,
        "ranks": _ranks(root),
        "funding": [one for one in works.funding if one.state != Funding.Certain.APPLIED],
        "may_change": is_allowed(request.user, "change", root),
    }
    return render(request, "curating/works.html", context)


@require_POST
@signed_in
def choose(request: HttpRequest, reference: str) -> HttpResponse:
    """Which packages are chosen, and why."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    codes, why = request.POST.getlist("package"), request.POST.get("why", "")
    try:
        choose_packages(root, version=_version(request), by=request.user, codes=codes, why=why)  # type: ignore[arg-type]
    except StaleRecord:
        return _stale(request)
    messages.success(request, _("Saved. Every sum follows the choice."))
    return redirect("works", reference=reference)


@require_POST
@signed_in
def give(request: HttpRequest, reference: str) -> HttpResponse:
    """Pipes given by somebody whose money is in sight."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    if not Reader.of(request.user, root).may_read(Gift, "pipe"):
        raise Http404(reference)
    rank = next((one for one in _ranks(root) if one.code == request.POST.get("rank")), None)
    funding = (
        Funding.objects.filter(package__instrument=root)
        .filter(pk=_number(request.POST.get("funding")))
        .first()
    )
    if rank is None or funding is None:
        return refuse(request, _("Choose a row of pipes and whose money it is."), 422)
    pipes = [_number(one) for one in request.POST.get("pipes", "").replace(",", " ").split()][:200]
    if not all(pipes):
        return refuse(request, _("Write pipe numbers from 1, with spaces between them."), 422)
    try:
        give_pipes(root, version=_version(request), by=request.user, rank=rank, pipes=pipes, funding=funding)  # type: ignore[arg-type]
    except StaleRecord:
        return _stale(request)
    except ValidationError as refused:
        return refuse(request, " ".join(refused.messages), 409)
    messages.success(request, _("Noted: each pipe is given once, with all the stops it speaks for."))
    return redirect("works", reference=reference)


@require_POST
@signed_in
def take_back(request: HttpRequest, reference: str) -> HttpResponse:
    """A gift that no longer stands."""
    root = find_record(request, Instrument, reference)
    require(request.user, "change", root)
    if not Reader.of(request.user, root).may_read(Gift, "pipe"):
        raise Http404(reference)
    found = Gift.objects.filter(rank__specification__instrument=root, pk=_number(request.POST.get("gift")))
    gift = found.select_related("rank__specification").first()
    if gift is None:
        return refuse(request, _("This gift is gone already; look at the page again."), 409)
    try:
        take_back_gift(gift, version=_version(request), by=request.user, why=request.POST.get("why", ""))  # type: ignore[arg-type]
    except StaleRecord:
        return _stale(request)
    messages.success(request, _("Taken back: the pipe can be given again."))
    return redirect("works", reference=reference)


def _ranks(root: Instrument) -> list[Rank]:
    """Rows of pipes as they are now."""
    try:
        return list(find_specification(root.reference).ranks.order_by("order", "code"))
    except NoSuchRecord:
        return []


def _number(text: str | None) -> int:
    return int(text) if text and text.isascii() and text.isdigit() and len(text) < 10 else 0


def _version(request: HttpRequest) -> int:
    return posted_number(request, "record_version")


def _stale(request: HttpRequest) -> HttpResponse:
    return refuse(
        request, _("The record was changed meanwhile. Look at the works again before you save."), 409
    )
