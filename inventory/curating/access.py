"""The door of every page: signed in, may read; refusals become pages in plain words."""

from __future__ import annotations

from collections.abc import Callable
from functools import wraps
from typing import Any

from django.contrib.auth.views import redirect_to_login
from django.core.exceptions import ValidationError
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from inventory.actions import ActionError, NotAllowed
from inventory.models import Instrument, Maker, Place, Root, Source
from inventory.visibility import can_read, shows

from .parts.values import Reader

KINDS: dict[str, type[Root]] = {
    "instruments": Instrument,
    "makers": Maker,
    "places": Place,
    "sources": Source,
}
PLURAL = {model.kind_name(): plural for plural, model in KINDS.items()}

REASONS = ("why", "why_changed")
LONGEST_REASON = 300

View = Callable[..., HttpResponse]


class KindConverter:
    """The kinds of record in addresses: instruments, makers, places, sources."""

    regex = "|".join(KINDS)

    def to_python(self, value: str) -> type[Root]:
        return KINDS[value]

    def to_url(self, value: Any) -> str:
        return value if isinstance(value, str) else PLURAL[value.kind_name()]


def signed_in(view: View) -> View:
    """Only for people who signed in. What was typed waits in the browser and is put back afterwards."""

    @wraps(view)
    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        if not request.user.is_authenticated:
            target = request.get_full_path()
            if request.headers.get("HX-Request"):
                return HttpResponseClientRedirect(reverse("sign-in") + "?" + urlencode({"next": target}))
            return redirect_to_login(target)
        if any(len(request.POST.get(name, "")) > LONGEST_REASON for name in REASONS):
            told = _(
                "The reason for the history is too long: write at most %(most)d letters. Nothing was changed."
            )
            return refuse(request, told % {"most": LONGEST_REASON}, 422)
        try:
            return view(request, *args, **kwargs)
        except NotAllowed as refused:
            return refuse(request, str(refused))
        except ValidationError as refused:  # what a page has no place of its own for
            return refuse(request, " ".join(refused.messages[:3]), 422)
        except ActionError as refused:
            return refuse(request, str(refused), 409)

    guarded.is_guarded = True  # type: ignore[attr-defined]
    return guarded


def refuse(request: HttpRequest, message: str, status: int = 403) -> HttpResponse:
    """A page, or a line in the page, that says why not."""
    if request.headers.get("HX-Request"):
        # htmx shows answers with status 200 only; the line says what the status would.
        return render(request, "curating/_refused.html", {"message": message})
    return render(request, "curating/refused.html", {"message": message, "status": status}, status=status)


def find_record(request: HttpRequest, kind: type[Root], reference: str, **related: Any) -> Any:
    """A record the person may read; otherwise the same answer as for one that does not exist."""
    found = kind._default_manager.filter(reference=reference)
    if kind is Instrument:
        found = found.select_related("place", "action", "merged_into")
    root = found.first()
    if root is None or not can_read(request.user, root):
        raise Http404(_("There is no such record, or it is not for you."))
    return root


def open_record(request: HttpRequest, kind: type[Root], reference: str) -> tuple[Any, Reader]:
    """A record the person may read, as `find_record`, with how far they may look into it: asked for once."""
    root = kind._default_manager.filter(reference=reference).first()
    if root is not None:
        reader = Reader.of(request.user, root)  # type: ignore[arg-type]
        if shows(reader.audience, root.state, root.audience):
            return root, reader
    raise Http404(_("There is no such record, or it is not for you."))


def record_url(root: Root, part: str = "") -> str:
    """The address of a record's page, at one of its parts."""
    address = reverse("record", kwargs={"kind": type(root), "reference": root.reference})
    return f"{address}#{part}" if part else address


def posted_number(request: HttpRequest, name: str) -> int:
    """A whole number a form carries, such as the version of the record; 0, which no record has, for anything else."""
    text = request.POST.get(name, "")
    return int(text) if text.isdecimal() and len(text) < 10 else 0
