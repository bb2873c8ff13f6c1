"""What every view of this interface has in common."""

from __future__ import annotations

import re
from functools import cached_property
from typing import Any

from django.http import Http404
from django.utils.translation import gettext as _
from rest_framework.authentication import SessionAuthentication
from rest_framework.permissions import AllowAny
from rest_framework.renderers import JSONRenderer
from rest_framework.response import Response
from rest_framework.views import APIView

from inventory.models import Root
from inventory.readers import Reader, reader_of
from inventory.roles import is_allowed, require

from .kinds import ROOTS
from .problems import Fault, Problem, answer_problem
from .reading import AlwaysJson, JsonParser
from .throttles import AnonymousReading, SignedIn
from .tokens import BearerToken

BASE = "/api/v1"
REFERENCE = re.compile(r"[A-Za-z0-9._-]{1,64}", re.ASCII)


class Session(SessionAuthentication):
    """The browser's own sign-in; whoever is signed in this way sends a CSRF token with each change."""

    def authenticate_header(self, request: Any) -> str:
        return "Bearer"


class ApiView(APIView):
    """JSON in, JSON out. Who may do what is asked of `roles`, `visibility` and the actions."""

    authentication_classes = [BearerToken, Session]
    permission_classes = [AllowAny]
    parser_classes = [JsonParser]
    renderer_classes = [JSONRenderer]
    content_negotiation_class = AlwaysJson
    throttle_classes: list[Any] = [AnonymousReading, SignedIn]
    query_fields: tuple[str, ...] = ()
    """Names that may stand behind the ? of an address."""

    @cached_property
    def reader(self) -> Reader:
        """Who asks."""
        return reader_of(self.request.user)

    def initial(self, request: Any, *args: Any, **kwargs: Any) -> None:
        super().initial(request, *args, **kwargs)
        faults: list[Fault] = [
            (
                name if name.isidentifier() else "?",
                _("This cannot be asked for here; use: %(names)s.")
                % {"names": ", ".join(self.query_fields) or _("nothing")},
            )
            for name in request.query_params
            if name not in self.query_fields
        ]
        if faults:
            raise Problem(400, faults[0][1], faults[0][0], "unknown-filter")
        for name, value in request.query_params.items():
            if "\0" in value or len(value) > 200 or len(request.query_params.getlist(name)) > 1:
                raise Problem(400, _("Write each filter once, in at most 200 characters."), name)

    def get_exception_handler(self) -> Any:
        return answer_problem

    def handle_exception(self, exc: Exception) -> Response:
        response = answer_problem(exc)
        response.exception = True
        return response

    def finalize_response(self, request: Any, response: Any, *args: Any, **kwargs: Any) -> Any:
        response = super().finalize_response(request, response, *args, **kwargs)
        # What is told depends on who asks: no shared cache may keep it.
        response.setdefault("Cache-Control", "private, no-cache")
        return response

    def find(self, plural: str, reference: str) -> Any:
        """A record this person may read; otherwise there is none."""
        model: type[Root] = ROOTS[plural]
        found = None
        if REFERENCE.fullmatch(reference):
            found = self.reader.records(model).filter(reference=reference).first()
        if found is None:
            raise Http404
        return found

    def require(self, verb: str, root: Root | None = None) -> None:
        """Refuse early what the action would refuse; somebody unknown is asked to sign in first."""
        if not self.request.user.is_authenticated and not is_allowed(None, verb, root):
            raise Problem(401, _("Sign in, or send a token, to do this."))
        require(self.request.user, verb, root)


class NothingHere(ApiView):
    """An address of this interface that leads nowhere."""

    def initial(self, request: Any, *args: Any, **kwargs: Any) -> None:
        raise Http404
