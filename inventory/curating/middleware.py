"""Until the second factor is answered a session reaches nothing: not the workroom, the admin or the API."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect
from django.utils.http import urlencode
from django.utils.translation import gettext as _
from django_htmx.http import HttpResponseClientRedirect

from .second_factor import ENROL, owed

OPEN_WHILE_OWED = {"second-factor", "second-factor-setup", "sign-out", "language"}


class SecondFactorMiddleware:
    """Sends a session that owes a code to the page that asks for it."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(self, request: HttpRequest, *_args: Any) -> HttpResponse | None:
        owing = owed(request.session)
        match = request.resolver_match
        if not owing or (match is not None and match.view_name in OPEN_WHILE_OWED):
            return None
        if not request.user.is_authenticated:
            return None
        if request.path.startswith("/api/"):
            # The one shape of an error of that interface, which this stands in front of.
            words = _("Sign in with your second factor first.")
            problem = {"error": "second-factor", "message": words, "where": ""}
            return JsonResponse(problem, status=403, headers={"Cache-Control": "private, no-cache"})
        target = redirect("second-factor-setup" if owing == ENROL else "second-factor").url
        target += "?" + urlencode({"next": request.get_full_path() if request.method == "GET" else "/"})
        if request.headers.get("HX-Request"):
            return HttpResponseClientRedirect(target)
        return redirect(target)
