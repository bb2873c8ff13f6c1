"""Tokens for programs: signed, with an end, never stored.

A token holds a username, the day it ends and a digest that changes with the person's
password; it is signed with the server's secret key. So nothing in the database or a
backup opens the door, and a token dies with its day, with a new password, with a closed
account. It gives exactly the rights of its person. A keeper makes one with
`manage.py issue_token NAME --days 90`.
"""

from __future__ import annotations

from typing import Any

from django.core import signing
from django.utils import timezone
from django.utils.crypto import constant_time_compare
from django.utils.translation import gettext as _
from rest_framework.authentication import BaseAuthentication
from rest_framework.exceptions import AuthenticationFailed

from inventory.models import User

_SALT = "inventory.api.token"
MOST_DAYS = 366


def issue_token(user: User, days: int) -> str:
    """A token for a person, good for so many days."""
    if not 1 <= days <= MOST_DAYS:
        raise ValueError(
            _("%(days)s days; a token lasts 1 to %(most)s days.") % {"days": days, "most": MOST_DAYS}
        )
    ends = int(timezone.now().timestamp()) + days * 86_400
    return signing.dumps({"name": user.username, "ends": ends, "digest": _digest(user)}, salt=_SALT)


def person_of(token: str) -> User | None:
    """Whose token this is, or None where it is no good."""
    try:
        read = signing.loads(token, salt=_SALT)
        name, ends, digest = read["name"], int(read["ends"]), str(read["digest"])
    except (signing.BadSignature, KeyError, TypeError, ValueError):
        return None
    user = User.objects.filter(username=name, is_active=True).first()
    if user is None or ends < timezone.now().timestamp():
        return None
    return user if constant_time_compare(digest, _digest(user)) else None


def _digest(user: User) -> str:
    """Changes whenever the person's password does."""
    return str(user.get_session_auth_hash())[:32]


class BearerToken(BaseAuthentication):
    """`Authorization: Bearer TOKEN`."""

    def authenticate(self, request: Any) -> tuple[User, str] | None:
        kind, _space, token = request.headers.get("Authorization", "").partition(" ")
        if kind.lower() != "bearer":
            return None
        user = person_of(token.strip()) if len(token) < 1000 else None
        if user is None:
            raise AuthenticationFailed(_("The token is not good, or no longer; ask a keeper for a new one."))
        return user, "token"

    def authenticate_header(self, request: Any) -> str:
        return "Bearer"
