"""What an error looks like: one shape, whatever went wrong, and never a traceback.

`{"error": code, "message": sentence, "where": path}`; more fields where they help: `all`
(every fault found in a body), `fields` (both versions of a stale record).
"""

from __future__ import annotations

import logging
from collections.abc import Mapping
from typing import Any

from django.core.exceptions import (
    NON_FIELD_ERRORS,
    PermissionDenied,
    RequestDataTooBig,
    SuspiciousOperation,
    ValidationError,
)
from django.db import DataError, IntegrityError, OperationalError
from django.db.models import Model, ProtectedError, RestrictedError
from django.http import Http404
from django.utils.translation import gettext as _
from rest_framework import exceptions
from rest_framework.response import Response

from inventory.actions import ActionError, NotAllowed, WrongState
from inventory.actions.differences import path_of
from inventory.organ.errors import OrganError, SchemeError
from inventory.organ.fault_search import SearchTooLong

logger = logging.getLogger(__name__)
MOST_FAULTS = 1000
Fault = tuple[str, str]
"""Where, and a sentence."""

CODES: Mapping[int, str] = {
    400: "invalid",
    401: "not-signed-in",
    403: "not-allowed",
    404: "not-found",
    405: "method-not-allowed",
    406: "not-acceptable",
    409: "conflict",
    412: "stale",
    413: "too-large",
    415: "not-json",
    422: "cannot-be-read",
    428: "version-required",
    429: "too-many-requests",
    500: "internal",
    503: "busy",
}
"""The code of an error by its HTTP status, where nothing more exact is said."""


class Problem(Exception):
    """An answer that is an error."""

    def __init__(self, status: int, message: str, where: str = "", code: str = "", **more: Any) -> None:
        super().__init__(message)
        self.status, self.message, self.where = status, message, where
        self.code, self.more = code or CODES[status], more

    def answer(self) -> Response:
        """The error as it is sent."""
        return Response(
            {"error": self.code, "message": self.message, "where": self.where, **self.more}, self.status
        )


class BadBody(Problem):
    """A body with faults, each with its place."""

    def __init__(self, faults: list[Fault]) -> None:
        where, message = faults[0]
        listed = [{"where": place, "message": text} for place, text in faults[:MOST_FAULTS]]
        super().__init__(400, message, where, all=listed)


def answer_problem(error: Exception, _context: Any = None) -> Response:
    """The answer to anything that was raised."""
    problem = as_problem(error)
    response = problem.answer()
    if problem.status == 401:
        response["WWW-Authenticate"] = "Bearer"
    if isinstance(error, exceptions.Throttled) and error.wait:
        response["Retry-After"] = str(int(error.wait) + 1)
    if problem.status == 503:
        response["Retry-After"] = "1"
    return response


def as_problem(error: Exception) -> Problem:
    """An exception as an error of this interface."""
    if isinstance(error, Problem):
        return error
    if isinstance(error, exceptions.APIException):
        return _of_framework(error)
    if isinstance(error, ValidationError):
        return BadBody(faults_of(error))
    if isinstance(error, NotAllowed | PermissionDenied):
        return Problem(403, str(error) or _("You may not do this."))
    if isinstance(error, Http404):
        return Problem(404, _("There is nothing here that you may read; check the address."))
    if isinstance(error, WrongState):
        return Problem(409, str(error), code="wrong-state")
    if isinstance(error, ActionError):
        return Problem(400, str(error))
    if isinstance(error, SearchTooLong):
        return Problem(422, str(error), code="too-much-to-search")
    if isinstance(error, OrganError):
        place = error.place if isinstance(error, SchemeError) else ""
        return Problem(422, str(error), place)
    return _of_database(error)


def _of_framework(error: exceptions.APIException) -> Problem:
    """What the framework refuses: methods, media types, missing sign-in, too many requests."""
    detail = error.detail if isinstance(error.detail, str) else str(error.default_detail)
    return Problem(error.status_code, str(detail), code=CODES.get(error.status_code, "invalid"))


def _of_database(error: Exception) -> Problem:
    """What the database refuses, and whatever nobody foresaw."""
    if isinstance(error, ProtectedError | RestrictedError):
        return Problem(
            409,
            _("Something else still names what you want to remove; change that first."),
            code="still-named",
        )
    if isinstance(error, IntegrityError):
        return Problem(409, _("Somebody saved the same at the same moment; read the record again."))
    if isinstance(error, DataError):
        return Problem(400, _("A value does not fit its field; shorten it."))
    if isinstance(error, OperationalError):
        logger.warning("the database did not answer: %s", error)
        return Problem(503, _("The database is busy; try again in a moment."))
    if isinstance(error, RequestDataTooBig):
        return Problem(413, _("The request is too large; send at most 8 MB."))
    if isinstance(error, SuspiciousOperation):
        return Problem(400, _("The request was refused."))
    logger.error("an error nobody foresaw in the API", exc_info=error)
    return Problem(
        500, _("Something went wrong here, not with you; it was written down. Nothing was changed.")
    )


def faults_of(error: ValidationError) -> list[Fault]:
    """Faults that models found, each at its field's path in the record."""
    row: Model | None = getattr(error, "row", None)
    if not hasattr(error, "error_dict"):
        place = path_of(row, "").rstrip("#") if row is not None else ""
        return [(place, message) for message in error.messages]
    found = []
    for name, messages in error.message_dict.items():
        field = "" if name == NON_FIELD_ERRORS else name
        place = path_of(row, field).rstrip("#") if row is not None else field
        found += [(place, message) for message in messages]
    return found
