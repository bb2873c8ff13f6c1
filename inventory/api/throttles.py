"""How often may somebody ask: people who are not signed in less than those who are, sums less than records."""

from __future__ import annotations

import os
import re

from django.core.exceptions import ImproperlyConfigured
from rest_framework.throttling import AnonRateThrottle, SimpleRateThrottle, UserRateThrottle

_RATE = re.compile(r"\d{1,6}/(second|minute|hour|day)", re.ASCII)


def _rate(name: str, default: str) -> str:
    """A rate from the environment, such as 120/minute."""
    value = os.environ.get(name, default)
    if not _RATE.fullmatch(value):
        raise ImproperlyConfigured(f"{name} is {value!r}; write a rate such as {default}.")
    return value


class ByAddress(SimpleRateThrottle):
    """Counts by the address the connection comes from: a header anybody can write does not reset it."""

    def get_ident(self, request: object) -> str:
        return str(request.META.get("REMOTE_ADDR", ""))  # type: ignore[attr-defined]


class AnonymousReading(ByAddress, AnonRateThrottle):
    """Requests of people who are not signed in."""

    scope = "api-anonymous"
    rate = _rate("API_RATE_ANONYMOUS", "120/minute")


class AnonymousSums(ByAddress, AnonRateThrottle):
    """Sums asked for by people who are not signed in: they cost more than reading."""

    scope = "api-anonymous-sums"
    rate = _rate("API_RATE_ANONYMOUS_SUMS", "20/minute")


class SignedIn(UserRateThrottle):
    """Requests of people who are signed in, by person."""

    scope = "api-signed-in"
    rate = _rate("API_RATE_SIGNED_IN", "1200/minute")
